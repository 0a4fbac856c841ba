"""The data of ``colouring.pdf``: the whole alphabet to colour in, as large as pages hold it."""

from collections.abc import Sequence
from math import ceil

from converter.drawing import blank_picture
from converter.drawing.block import block_size
from converter.drawing.labels import tag
from converter.model import Glyph, Pattern
from converter.printing.paper import BODY
from converter.printing.typesetting import PAGE_FONT, Item

MOST_ON_A_PAGE = 30
GAP = 3.0  # mm between blocks
HEADING = 9.0  # mm for the line with a name, at the head of a page


def colouring_items(pattern: Pattern, glyphs: Sequence[Glyph]) -> list[Item]:
    """A page each: its blocks in outline, their grid, their sizes in mm."""
    pages = ceil(len(glyphs) / MOST_ON_A_PAGE)
    each = ceil(len(glyphs) / pages)
    return [_page(pattern, glyphs[k : k + each]) for k in range(0, len(glyphs), each)]


def _page(pattern: Pattern, glyphs: Sequence[Glyph]) -> Item:
    sizes = [block_size(pattern, glyph) for glyph in glyphs]
    columns, scale = _grid(len(glyphs), max(w for w, _ in sizes), max(h for _, h in sizes))
    pictures = [
        {"figure": f"{g.key}/blank", "tag": tag(g), "width": w * scale, "height": h * scale}
        for g, (w, h) in zip(glyphs, sizes, strict=True)
    ]
    data = {"columns": columns, "gap": GAP, "heading": HEADING, "pictures": pictures}
    return data, {f"{g.key}/blank": blank_picture(pattern, g, PAGE_FONT) for g in glyphs}


def _grid(count: int, width: float, height: float) -> tuple[int, float]:
    """The number of columns that lets blocks of that size become largest, and their scale."""
    room: tuple[float, float] = (BODY[0] + GAP, BODY[1] - HEADING + GAP)

    def scale(columns: int) -> float:
        rows = ceil(count / columns)
        return min((room[0] / columns - GAP) / width, (room[1] / rows - GAP) / height)

    best = max(range(1, count + 1), key=lambda columns: (round(scale(columns), 6), -columns))
    return best, scale(best)
