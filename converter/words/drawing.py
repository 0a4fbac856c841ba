"""The layout as a drawing, in colour or blank for colouring in, and the colour table: SVG, mm on paper."""

from typing import Any

from converter.geometry import centroid, convex_width
from converter.measures import Units
from converter.words.canvas import FONT, PAPER, RULE, TEXT, Canvas, caption, draw_measures, sheet
from converter.words.colours import Colouring
from converter.words.contrast import ink
from converter.words.parts import Layout

_NUMBER_SIZE = 2.4
_LEGEND = 0.55  # of a strip's height: as large as a legend on it is written
_EM = 0.62  # em; a character of a legend takes about so much on the mean
_SAME = 1e-3  # mm
_LEAST_WIDTH = 3.0  # mm on paper; a narrower piece has no room for a number


def layout_svg(
    layout: Layout,
    colouring: Colouring | None = None,
    units: Units = "in",
    *,
    captions: bool = True,
    numbers: bool = False,
    paper: tuple[float, float] = PAPER,
    font: str = FONT,
) -> str:
    """The layout drawn: in colour, or blank (outlines only) where ``colouring`` is None.

    ``captions`` adds the sizes round it; ``numbers`` puts the number of its fabric (as in the colour table)
    in each piece and strip that has room, on white: the drawing to colour in by number.
    """
    canvas = Canvas.fitting(
        layout.width, layout.height, paper, font, caption=caption(layout, units) if captions else ""
    )
    if colouring and not numbers:
        draw_cloth(canvas, layout, colouring)
    else:
        _outlines(canvas, layout)
    if colouring and numbers:
        _numbers(canvas, layout, colouring)
    if captions:
        draw_measures(canvas, layout, units)
    return canvas.text()


def colour_table_svg(colouring: Colouring, width: float = 120.0) -> str:
    """The fabrics: number, colour, the same in grey, name and value; it can be read without colour."""
    row, head = 9.0, 9.0
    drawing = sheet((width, round(head + row * len(colouring.table) + 2, 3)), FONT)
    text = drawing.add(drawing.g(font_size=3.4, fill=TEXT))
    for x, title in ((2, "no."), (12, "colour"), (34, "in grey"), (56, "fabric")):
        text.add(drawing.text(title, (x, 6), font_weight="bold"))
    swatches = drawing.add(drawing.g(stroke=RULE, stroke_width=0.25))
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


def draw_cloth(canvas: Canvas, layout: Layout, colouring: Colouring, prefix: str = "") -> None:
    """Strips and pieces of a layout in their colours, each outlined in its own, so that no gap shows between two.

    ``prefix`` begins the ids, where several layouts are on one sheet.
    """
    drawing = canvas.drawing
    strips, blocks = canvas.group(f"{prefix}strips"), canvas.group(f"{prefix}blocks")
    colours = {row.id: row.colour for row in colouring.table}

    def paint(fabric: str) -> dict[str, object]:
        return {"fill": colours[fabric], "stroke": colours[fabric], "stroke_width": 0.08}

    for strip in layout.strips:
        spot, size = canvas.at(strip.x, strip.y), canvas.size(strip.width, strip.height)
        strips.add(drawing.rect(spot, size, id=f"{prefix}{strip.id}", **paint(colouring.strips[strip.id])))
    for block in layout.blocks:
        group = canvas.group(f"{prefix}block-{block.id}", blocks)
        for piece in layout.glyph(block).pieces:
            corners = [canvas.at(block.x + x, block.y + y) for x, y in piece.polygon]
            group.add(drawing.polygon(corners, **paint(colouring.pieces[block.id, piece.id])))
    # Seams are dark enough to see on light cloth and light enough not to speak.
    edges = canvas.group(f"{prefix}edges", fill="none", stroke=RULE, stroke_width=0.12)
    _edges(canvas, layout, canvas.group(f"{prefix}seams", edges, stroke_opacity=0.3), pieces=True)
    _edges(canvas, layout, canvas.group(f"{prefix}part-edges", edges, stroke_opacity=0.45), pieces=False)
    if layout.legends:
        _legends(canvas, layout, colouring, prefix)


def _legends(canvas: Canvas, layout: Layout, colouring: Colouring, prefix: str) -> None:
    """What is written on the strip below each block, as large as both hold it; nothing where there is no strip."""
    colours = {row.id: row.colour for row in colouring.table}
    group = canvas.group(f"{prefix}legends", text_anchor="middle")
    for block, legend in zip(layout.blocks, layout.legends, strict=True):
        foot, middle = block.y + block.height, block.x + block.width / 2
        below = [
            s for s in layout.strips if abs(s.y - foot) < _SAME and s.x - _SAME <= middle <= s.x + s.width
        ]
        if not below:
            continue
        strip = below[0]
        size = min(_LEGEND * strip.height, _LEGEND * block.height / 3, block.width / (_EM * len(legend)))
        spot = canvas.at(middle, foot + (strip.height + 0.7 * size) / 2)
        paint = {"font_size": round(size * canvas.scale, 3), "fill": ink(colours[colouring.strips[strip.id]])}
        group.add(canvas.drawing.text(legend, spot, **paint))


def _outlines(canvas: Canvas, layout: Layout) -> None:
    lines = canvas.group("lines", fill="#ffffff", stroke=RULE, stroke_width=0.2, stroke_linejoin="round")
    _edges(canvas, layout, lines, pieces=False)
    _edges(canvas, layout, lines, pieces=True)


def _edges(canvas: Canvas, layout: Layout, group: Any, *, pieces: bool) -> None:
    """The outlines of all pieces, or of all blocks and strips."""
    drawing = canvas.drawing
    if not pieces:
        for part in layout.parts:
            group.add(drawing.rect(canvas.at(part.x, part.y), canvas.size(part.width, part.height)))
        return
    for block in layout.blocks:
        for piece in layout.glyph(block).pieces:
            group.add(drawing.polygon([canvas.at(block.x + x, block.y + y) for x, y in piece.polygon]))


def _numbers(canvas: Canvas, layout: Layout, colouring: Colouring) -> None:
    notes = canvas.group("numbers", font_size=_NUMBER_SIZE, text_anchor="middle", fill=TEXT)
    numbers = {row.id: str(row.number) for row in colouring.table}

    def note(fabric: str, x: float, y: float, room: float) -> None:
        if room * canvas.scale >= _LEAST_WIDTH:
            spot = canvas.at(x, y)
            base = (spot[0], round(spot[1] + _NUMBER_SIZE * 0.35, 3))
            notes.add(canvas.drawing.text(numbers[fabric], base))

    for strip in layout.strips:
        middle = strip.x + strip.width / 2, strip.y + strip.height / 2
        note(colouring.strips[strip.id], *middle, min(strip.width, strip.height))
    for block in layout.blocks:
        for piece in layout.glyph(block).pieces:
            x, y = centroid(piece.polygon)
            fabric = colouring.pieces[block.id, piece.id]
            note(fabric, block.x + x, block.y + y, convex_width(piece.polygon))
