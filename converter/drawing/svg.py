"""The paper that every drawing is drawn on: one unit is 1 mm, numbers are short, text is harmless.

Every stroke and text is drawn through here, so that fonts, inks and line widths can be changed in one place.
"""

import re
from collections.abc import Iterable, Sequence
from typing import Any

import svgwrite
from svgwrite.extensions import Inkscape

from converter.drawing.labels import Label
from converter.model import Point

LABEL_FONT = "DejaVu Sans, Libertinus Sans, sans-serif"
INK = "#1b1b1b"  # lines that matter
SOFT_INK = "#6f6f6f"  # hatching, guides
DECIMALS = 4  # 1e-4 mm, as in the pattern file

Element = Any  # svgwrite ships no types
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Sheet:
    """One SVG drawing of ``width`` × ``height`` mm."""

    def __init__(self, width: float, height: float, title: str, font: str = LABEL_FONT) -> None:
        self._drawing = svgwrite.Drawing(
            size=(f"{number(width)}mm", f"{number(height)}mm"),
            viewBox=f"0 0 {number(width)} {number(height)}",
            debug=False,
        )
        self._drawing.set_desc(title=harmless(title))
        self._layers = Inkscape(self._drawing)
        self._font = font

    def layer(self, name: str, label: str, **style: object) -> Element:
        """A group that vector editors show as a layer of that name."""
        group = self._layers.layer(label=harmless(label), id=xml_id(name), debug=False, **_plain(style))
        group["aria-label"] = harmless(label)
        return self._drawing.add(group)

    def group(self, parent: Element | None = None, **style: object) -> Element:
        """A plain group, in ``parent`` or in the drawing itself."""
        return (parent or self._drawing).add(self._drawing.g(debug=False, **_plain(style)))

    def polygon(self, parent: Element, ring: Sequence[Point], **style: object) -> Element:
        """A closed polygon."""
        points = [(number(x), number(y)) for x, y in ring]
        return parent.add(self._drawing.polygon(points, debug=False, **_plain(style)))

    def line(self, parent: Element, start: Point, end: Point, **style: object) -> Element:
        """A straight line."""
        ends = [(number(x), number(y)) for x, y in (start, end)]
        return parent.add(self._drawing.line(*ends, debug=False, **_plain(style)))

    def path(self, parent: Element, rings: Iterable[Sequence[Point]], **style: object) -> Element:
        """One path of closed rings, filled even-odd so that holes are holes."""
        d = "".join("M" + "L".join(f"{number(x)} {number(y)}" for x, y in r) + "Z" for r in rings if r)
        return parent.add(self._drawing.path(d, fill_rule="evenodd", debug=False, **_plain(style)))

    def strokes(self, parent: Element, lines: Iterable[tuple[Point, Point]], **style: object) -> Element:
        """Many straight lines as one path, such as a hatch."""
        d = "".join(f"M{number(a)} {number(b)}L{number(c)} {number(e)}" for (a, b), (c, e) in lines)
        return parent.add(self._drawing.path(d, fill="none", debug=False, **_plain(style)))

    def dot(self, parent: Element, middle: Point, radius: float, **style: object) -> Element:
        """A filled dot."""
        at = (number(middle[0]), number(middle[1]))
        return parent.add(self._drawing.circle(at, number(radius), debug=False, **_plain(style)))

    def label(
        self, parent: Element, label: Label, ink: str = INK, halo: str | None = None, **style: object
    ) -> Element:
        """A label's text, and its leader where it has one; ``halo`` sets the leader off from any colour."""
        if label.leader:
            (start, end), pen = label.leader, label.size / 14
            for colour, more in ((halo, pen), (ink, 0.0)):
                if colour:
                    self.line(parent, start, end, class_="leader", stroke=colour, stroke_width=pen + 2 * more)
                    self.dot(parent, end, pen * 2.2 + more, class_="leader-dot", fill=colour)
        return self.text(parent, label.text, label.middle, label.size, label.angle, fill=ink, **style)

    def text(
        self, parent: Element, text: str, middle: Point, size: float, angle: float = 0.0, **style: object
    ) -> Element:
        """Text centred on a point; ``size`` is the em in mm."""
        x, y = number(middle[0]), number(middle[1])
        turn = {"transform": f"rotate({number(angle)} {x} {y})"} if angle else {}
        # No dominant-baseline: not every renderer knows it. 0.365 em is half the height of capitals.
        element = self._drawing.text(
            harmless(text),
            insert=(x, number(middle[1] + 0.365 * size)),
            font_size=number(size),
            text_anchor="middle",
            font_family=self._font,
            debug=False,
            **_plain({"fill": INK, **turn, **style}),
        )
        return parent.add(element)

    def span(self, text: Element, words: str, **style: object) -> Element:
        """Words added to a text; it is centred as a whole."""
        return text.add(self._drawing.tspan(harmless(words), debug=False, **_plain(style)))

    def tostring(self) -> str:
        """The drawing as a file's text."""
        return '<?xml version="1.0" encoding="UTF-8"?>\n' + str(self._drawing.tostring()) + "\n"


def number(value: float) -> float | int:
    """A coordinate with at most four decimals and no trailing zeros."""
    value = round(float(value), DECIMALS)
    return int(value) if value.is_integer() else value


def xml_id(text: str) -> str:
    """A valid, readable XML id; what it cannot hold becomes its code point."""
    safe = re.sub(r"[^A-Za-z0-9_.-]", lambda m: f"_{ord(m[0]):X}_", text)
    return safe if re.match(r"[A-Za-z_]", safe) else f"_{safe}"


def harmless(text: str) -> str:
    """Text without the characters that XML cannot hold, not even escaped."""
    return _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", text)


def _plain(style: dict[str, object]) -> dict[str, object]:
    return {key: number(v) if isinstance(v, int | float) else v for key, v in style.items()}
