"""The map that goes with the assembly steps: every block and strip with its id, letters in pale grey."""

from collections.abc import Sequence

from converter.measures import Units
from converter.model import FIGURE
from converter.words.canvas import FONT, PAPER, RULE, TEXT, Canvas, caption, draw_measures
from converter.words.parts import Layout, PlacedBlock, Strip

_PALE = "#dfe4e7"
_ID_SIZE = 3.0
_EM = 0.6  # em a character of an id, at most: digits, a dot, an s
_CAP = 0.36  # em; half the height of a digit
_TOUCH = 1e-3  # mm


def assembly_svg(
    layout: Layout, units: Units = "in", *, paper: tuple[float, float] = PAPER, font: str = FONT
) -> str:
    """The whole layout, as SVG text."""
    canvas = Canvas.fitting(layout.width, layout.height, paper, font, caption=caption(layout, units))
    _draw(canvas, layout, layout.blocks, layout.strips)
    draw_measures(canvas, layout, units)
    return canvas.text()


def row_svg(
    layout: Layout,
    blocks: Sequence[PlacedBlock],
    scale: float,
    *,
    width: float = PAPER[0],
    font: str = FONT,
) -> str:
    """Neighbouring blocks of one row with the strips beside and round them: a part of the map, larger.

    Drawn at ``scale``, or smaller where that would be wider than ``width`` mm.
    """
    inner = [s for s in layout.strips if s.kind not in ("border", "line")]
    beside = [s for s in inner if _touches(s, blocks)]
    frames = [s for s in beside if s.kind == "frame"]
    strips = beside + [s for s in inner if s.kind != "frame" and s not in beside and _touches(s, frames)]
    parts: tuple[PlacedBlock | Strip, ...] = (*blocks, *strips)
    left, top = min(p.x for p in parts), min(p.y for p in parts)
    right, bottom = max(p.x + p.width for p in parts), max(p.y + p.height for p in parts)
    paper = (min(width, (right - left) * scale), (bottom - top) * scale)
    canvas = Canvas.fitting(right - left, bottom - top, paper, font, origin=(left, top))
    _draw(canvas, layout, blocks, strips)
    return canvas.text()


def _touches(strip: Strip, blocks: Sequence[PlacedBlock | Strip]) -> bool:
    return any(
        strip.x <= b.x + b.width + _TOUCH
        and strip.x + strip.width >= b.x - _TOUCH
        and strip.y <= b.y + b.height + _TOUCH
        and strip.y + strip.height >= b.y - _TOUCH
        for b in blocks
    )


def _draw(canvas: Canvas, layout: Layout, blocks: Sequence[PlacedBlock], strips: Sequence[Strip]) -> None:
    drawing = canvas.drawing
    letters = canvas.group("letters", fill=_PALE, stroke=_PALE, stroke_width=0.1)
    lines = canvas.group("parts", fill="none", stroke=RULE, stroke_width=0.25)
    ids = canvas.group("ids", text_anchor="middle", fill=TEXT)
    for block in blocks:
        for piece in layout.glyph(block).pieces:
            if piece.fabric == FIGURE:
                letters.add(drawing.polygon([canvas.at(block.x + x, block.y + y) for x, y in piece.polygon]))
    parts: tuple[PlacedBlock | Strip, ...] = (*strips, *blocks)
    for part in parts:
        (x, y), (width, height) = canvas.at(part.x, part.y), canvas.size(part.width, part.height)
        lines.add(drawing.rect((x, y), (width, height)))
        ems = len(part.id) * _EM
        upright = width < ems * _ID_SIZE and height > width
        along, across = (height, width) if upright else (width, height)
        size = round(min(_ID_SIZE, across * 0.9, along / ems), 3)
        middle = (round(x + width / 2, 3), round(y + height / 2, 3))
        turn = {"transform": f"rotate(-90 {middle[0]} {middle[1]})"} if upright else {}
        base = (middle[0], round(middle[1] + size * _CAP, 3))
        ids.add(drawing.text(part.id, base, font_size=size, **turn))
