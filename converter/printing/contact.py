"""The contact sheet: every block of a set, small, with its name and status, as PDF and as pictures of its pages."""

from collections.abc import Iterator, Sequence
from math import floor

from converter.drawing import coloured_picture
from converter.drawing.block import block_size
from converter.drawing.labels import tag
from converter.measures import Units
from converter.model import Glyph, Pattern
from converter.packed import Packed
from converter.printing.page import imprint_of, page_data, shortened
from converter.printing.paper import BODY, PaperName
from converter.printing.progress import Tell, counting, nothing
from converter.printing.typesetting import PAGE_FONT, Item, typeset_in_parts, typeset_pictures

GAP = 2.5  # mm between blocks
CAPTION = 6.5  # mm under each block: its name and its status
PAGES_AT_ONCE = 8  # a thousand pictures
PIXELS_PER_INCH = 110.0  # a page of pictures is as high as a large screen
_CHARACTERS = 0.55  # em, a character of a name on the mean, in the page's typeface at 6 pt
_EM = 2.1  # mm


def contact_sheet(
    pattern: Pattern,
    glyphs: Sequence[Glyph],
    *,
    columns: int = 10,
    paper: PaperName = "a4",
    units: Units = "in",
    tell: Tell = nothing,
) -> dict[str, bytes]:
    """``contact.pdf``, and ``contact-001.png`` and so on, one for each of its pages.

    Blocks come in the order given, ``columns`` beside each other. The same pattern always gives the same bytes.
    """
    data = page_data("contact", imprint_of(pattern, units), paper, {})
    items = [*_items(pattern, glyphs, columns)]
    told = counting(tell, "contact.pdf", len(items))
    pdf, _ = typeset_in_parts("contact", data, items, told, PAGES_AT_ONCE)
    pictures = typeset_pictures("contact", data, items, PIXELS_PER_INCH, PAGES_AT_ONCE)
    return {"contact.pdf": pdf} | {f"contact-{n:03}.png": picture for n, picture in enumerate(pictures, 1)}


def _items(pattern: Pattern, glyphs: Sequence[Glyph], columns: int) -> Iterator[Item]:
    """A page each: its blocks, their names, their sizes in mm."""
    wide = (BODY[0] + GAP) / columns - GAP
    sizes = {glyph.key: block_size(pattern, glyph) for glyph in glyphs}
    scale = wide / max(width for width, _ in sizes.values())
    high = max(height for _, height in sizes.values()) * scale
    rows = max(1, floor((BODY[1] + GAP) / (high + CAPTION + GAP)))
    scale = min(scale, scale * (BODY[1] - CAPTION) / high)
    for start in range(0, len(glyphs), rows * columns):
        some = glyphs[start : start + rows * columns]
        blocks = [
            {
                "figure": f"{glyph.key}/coloured" if glyph.pieces else "",
                "name": shortened(tag(glyph), max(4, int(wide / (_EM * _CHARACTERS)))),
                "status": glyph.status,
                "width": sizes[glyph.key][0] * scale,
                "height": sizes[glyph.key][1] * scale,
            }
            for glyph in some
        ]
        data = {
            "columns": columns,
            "gap": GAP,
            "caption": CAPTION,
            "high": min(high, BODY[1] - CAPTION),
            "blocks": blocks,
        }
        yield (
            data,
            Packed({f"{g.key}/coloured": coloured_picture(pattern, g, PAGE_FONT) for g in some if g.pieces}),
        )
