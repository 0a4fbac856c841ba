"""How well one colour reads on another: relative luminance and contrast ratio.

Source: Web Content Accessibility Guidelines (WCAG) 2.2, definitions of relative luminance and contrast ratio;
3:1 for large text is its success criterion 1.4.3 (level AA). A letter in fabric is large text by far.
"""

LARGE_TEXT = 3.0


def luminance(colour: str) -> float:
    """Relative luminance of ``#rrggbb``, 0 for black to 1 for white.

    >>> luminance("#000000"), luminance("#ffffff")
    (0.0, 1.0)
    """
    red, green, blue = (_linear(int(colour[i : i + 2], 16) / 255) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21, the order does not matter.

    >>> contrast("#000000", "#ffffff")
    21.0
    """
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def ratio_text(ratio: float) -> str:
    """To two places, never rounded up: 2.999 does not pass as 3.

    >>> ratio_text(2.999), ratio_text(21.0)
    ('2.99', '21.00')
    """
    return f"{int(ratio * 100 + 1e-9) / 100:.2f}"


def grey(colour: str) -> str:
    """The grey of the same luminance: what a good grey print makes of the colour."""
    linear = luminance(colour)
    value = 12.92 * linear if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055
    return "#" + f"{round(value * 255):02x}" * 3


def ink(colour: str) -> str:
    """Black or white, whichever reads better on the colour."""
    return "#000000" if contrast(colour, "#000000") >= contrast(colour, "#ffffff") else "#ffffff"


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4
