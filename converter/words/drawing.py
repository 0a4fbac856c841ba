"""The layout as a drawing, in colour or blank for colouring in, and the colour table: SVG, mm on paper."""

from typing import Any

import svgwrite

from converter.geometry import centroid, convex_width
from converter.measures import Units, length_text, size_text
from converter.model import FIGURE
from converter.words.colours import Colouring
from converter.words.parts import Layout, PlacedBlock, Strip

PAPER = (260.0, 170.0)  # the layout itself is drawn as large as fits in this, never larger than it is
_RULE = "#5b6770"
_TEXT = "#22303a"
_FONT = "Helvetica, Arial, sans-serif"
_NUMBER_SIZE = 2.4
_LEAST_WIDTH = 3.0  # mm on paper; a narrower piece has no room for a number


def layout_svg(
    layout: Layout,
    colouring: Colouring | None = None,
    units: Units = "in",
    *,
    captions: bool = True,
    numbers: bool = False,
    paper: tuple[float, float] = PAPER,
) -> str:
    """The layout drawn: in colour, or blank (outlines only) where ``colouring`` is None.

    ``captions`` adds sizes and row numbers round it; ``numbers`` puts the number of its fabric (as in the
    colour table) in each piece and strip that has room, on white: the drawing to colour in by number.
    """
    drawing, place = _sheet(layout, captions, paper)
    _cloth(drawing, layout, colouring, place, numbers)
    if captions:
        _captions(drawing, layout, units, place)
    return str(drawing.tostring())


def assembly_svg(layout: Layout, units: Units = "in", *, paper: tuple[float, float] = PAPER) -> str:
    """The map that goes with the assembly steps: every block and strip with its id, letters in pale grey."""
    drawing, place = _sheet(layout, True, paper)
    letters = drawing.add(drawing.g(id="letters", fill="#dfe4e7"))
    lines = drawing.add(drawing.g(id="parts", fill="none", stroke=_RULE, stroke_width=0.25))
    ids = drawing.add(drawing.g(id="ids", font_family=_FONT, font_size=3, text_anchor="middle", fill=_TEXT))
    for block in layout.blocks:
        for piece in layout.glyph(block).pieces:
            if piece.fabric == FIGURE:
                corners = [place.at(block.x + x, block.y + y) for x, y in piece.polygon]
                letters.add(drawing.polygon(corners))
    for part in _parts(layout):
        spot, size = place.at(part.x, part.y), place.size(part.width, part.height)
        lines.add(drawing.rect(spot, size))
        middle = (round(spot[0] + size[0] / 2, 3), round(spot[1] + size[1] / 2, 3))
        upright = size[0] < 7 and size[1] > size[0]
        turn = {"transform": f"rotate(-90 {middle[0]} {middle[1]})"} if upright else {}
        ids.add(drawing.text(part.id, (middle[0], round(middle[1] + 1, 3)), **turn))
    _captions(drawing, layout, units, place)
    return str(drawing.tostring())


def colour_table_svg(colouring: Colouring, width: float = 120.0) -> str:
    """The fabrics: number, colour, the same in grey, name and value; it can be read without colour."""
    row, head = 9.0, 9.0
    full = (width, round(head + row * len(colouring.table) + 2, 3))
    drawing = svgwrite.Drawing(
        size=(f"{full[0]}mm", f"{full[1]}mm"), viewBox=f"0 0 {full[0]} {full[1]}", debug=False
    )
    drawing.add(drawing.rect((0, 0), full, fill="#ffffff"))
    text = drawing.add(drawing.g(font_family=_FONT, font_size=3.4, fill=_TEXT))
    for x, title in ((2, "no."), (12, "colour"), (34, "in grey"), (56, "fabric")):
        text.add(drawing.text(title, (x, 6), font_weight="bold"))
    swatches = drawing.add(drawing.g(stroke=_RULE, stroke_width=0.25))
    for index, fabric in enumerate(colouring.table):
        y = round(head + index * row, 3)
        swatches.add(drawing.rect((12, y), (20, row - 2), fill=fabric.colour))
        swatches.add(drawing.rect((34, y), (20, row - 2), fill=fabric.grey))
        base = round(y + 4.8, 3)
        text.add(drawing.text(str(fabric.number), (2, base), font_weight="bold"))
        text.add(drawing.text(fabric.label, (56, base)))
        if fabric.label != fabric.colour:
            text.add(drawing.text(fabric.colour, (width - 2, base), text_anchor="end"))
    return str(drawing.tostring())


class _Place:
    """Layout mm to paper mm."""

    def __init__(self, scale: float, left: float, top: float) -> None:
        self.scale, self.left, self.top = scale, left, top

    def at(self, x: float, y: float) -> tuple[float, float]:
        return round(self.left + x * self.scale, 3), round(self.top + y * self.scale, 3)

    def size(self, width: float, height: float) -> tuple[float, float]:
        return round(width * self.scale, 3), round(height * self.scale, 3)


def _sheet(layout: Layout, captions: bool, paper: tuple[float, float]) -> tuple[Any, _Place]:
    scale = min(paper[0] / layout.width, paper[1] / layout.height, 1.0)
    width, height = layout.width * scale, layout.height * scale
    left, top, right, bottom = (16.0, 12.0, 4.0, 12.0) if captions else (1.0, 1.0, 1.0, 1.0)
    full = (round(width + left + right, 3), round(height + top + bottom, 3))
    if captions:
        full = (max(full[0], 110.0), full[1])
    drawing = svgwrite.Drawing(
        size=(f"{full[0]}mm", f"{full[1]}mm"), viewBox=f"0 0 {full[0]} {full[1]}", debug=False
    )
    drawing.add(drawing.rect((0, 0), full, fill="#ffffff"))
    return drawing, _Place(scale, left, top)


def _parts(layout: Layout) -> tuple[PlacedBlock | Strip, ...]:
    return (*layout.strips, *layout.blocks)


def _cloth(drawing: Any, layout: Layout, colouring: Colouring | None, place: _Place, numbers: bool) -> None:
    """Strips and pieces; in colour each is outlined in its own colour, so that no gap shows between two."""
    filled = colouring is not None and not numbers
    seams = {} if filled else {"stroke": _RULE, "stroke_width": 0.2, "stroke_linejoin": "round"}
    strips = drawing.add(drawing.g(id="strips", **seams))
    blocks = drawing.add(drawing.g(id="blocks", **seams))
    notes = drawing.add(
        drawing.g(id="numbers", font_family=_FONT, font_size=_NUMBER_SIZE, text_anchor="middle")
    )
    table = {row.id: row for row in colouring.table} if colouring else {}

    def paint(fabric: str) -> dict[str, object]:
        if not filled:
            return {"fill": "#ffffff"}
        colour = table[fabric].colour
        return {"fill": colour, "stroke": colour, "stroke_width": 0.08}

    def note(fabric: str, x: float, y: float, room: float) -> None:
        if numbers and table and room * place.scale >= _LEAST_WIDTH:
            spot = place.at(x, y)
            spot = (spot[0], round(spot[1] + _NUMBER_SIZE * 0.35, 3))
            notes.add(drawing.text(str(table[fabric].number), spot, fill=_TEXT))

    for strip in layout.strips:
        fabric = colouring.strips[strip.id] if colouring else ""
        spot, size = place.at(strip.x, strip.y), place.size(strip.width, strip.height)
        strips.add(drawing.rect(spot, size, id=strip.id, **paint(fabric)))
        room = min(strip.width, strip.height)
        note(fabric, strip.x + strip.width / 2, strip.y + strip.height / 2, room)
    for block in layout.blocks:
        group = blocks.add(drawing.g(id=f"block-{block.id}"))
        for piece in layout.glyph(block).pieces:
            fabric = colouring.pieces[block.id, piece.id] if colouring else ""
            corners = [place.at(block.x + x, block.y + y) for x, y in piece.polygon]
            group.add(drawing.polygon(corners, **paint(fabric)))
            x, y = centroid(piece.polygon)
            note(fabric, block.x + x, block.y + y, convex_width(piece.polygon))
    if filled:
        _edges(drawing, layout, place)


def _edges(drawing: Any, layout: Layout, place: _Place) -> None:
    """Thin seams round blocks and strips, dark enough to see on light cloth and light enough not to speak."""
    edges = drawing.add(
        drawing.g(id="edges", fill="none", stroke=_RULE, stroke_width=0.12, stroke_opacity=0.45)
    )
    for part in _parts(layout):
        edges.add(drawing.rect(place.at(part.x, part.y), place.size(part.width, part.height)))


def _captions(drawing: Any, layout: Layout, units: Units, place: _Place) -> None:
    lines = drawing.add(drawing.g(id="measures", stroke=_RULE, stroke_width=0.2, fill="none"))
    text = drawing.add(drawing.g(font_family=_FONT, font_size=3.4, fill=_TEXT))
    (x0, y0), (x1, y1) = place.at(0, 0), place.at(layout.width, layout.height)
    lines.add(drawing.line((x0, y0 - 3), (x1, y0 - 3)))
    lines.add(drawing.line((x0 - 3, y0), (x0 - 3, y1)))
    for x in (x0, x1):
        lines.add(drawing.line((x, y0 - 4.2), (x, y0 - 1.8)))
    for y in (y0, y1):
        lines.add(drawing.line((x0 - 4.2, y), (x0 - 1.8, y)))
    middle = (round((x0 + x1) / 2, 3), round((y0 + y1) / 2, 3))
    wide = drawing.text(length_text(layout.width, units), (middle[0], y0 - 5), text_anchor="middle")
    text.add(wide)
    turn = f"rotate(-90 {x0 - 5} {middle[1]})"
    high = length_text(layout.height, units)
    text.add(drawing.text(high, (x0 - 5, middle[1]), text_anchor="middle", transform=turn))
    finished = size_text(layout.width, layout.height, units)
    raw = size_text(*layout.unfinished, units)
    text.add(drawing.text(f"finished {finished}; with seam allowance {raw}", (x0, round(y1 + 6.5, 3))))
