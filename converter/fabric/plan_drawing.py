"""The cutting plan of one fabric as a drawing: strips, and the patches in them, numbered as in the list.

Strips that are cut into the same patches are drawn once, with their number.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import svgwrite

from converter.fabric.buying import CutStrip, FabricPlan
from converter.fabric.cutting import Cutting
from converter.measures import Units, fabric_text, length_text
from converter.model import Fabric

FONT = "Helvetica, Arial, sans-serif"
MOST_STRIPS = 60  # drawn; the list has all
_WIDTH = 180.0  # mm on paper, the fabric's usable width
_BESIDE = 26.0  # mm on paper for the strips' heights
_HEAD = 12.0
_FOOT = 6.0
_TALLEST = 60.0  # mm on paper, of one strip on a page
_LEAST_HEIGHT = 3.2  # mm on paper, for its number
_RULE = "#5b6770"
_TEXT = "#22303a"


@dataclass(frozen=True, slots=True)
class PlanPart:
    """Some strips of a plan, drawn; size in mm on paper."""

    svg: str
    width: float
    height: float


def cutting_plan_svg(
    plan: FabricPlan, fabric: Fabric, cutting: Cutting, most_strips: int = MOST_STRIPS
) -> str:
    """SVG text, mm, not to scale with the fabric: its usable width is drawn 180 mm wide.

    Only the first ``most_strips`` different strips are drawn, and the drawing says so; the list has all.
    """
    strips = plan.alike[:most_strips]
    heads = (
        f"{fabric.label}: buy {fabric_text(plan.length, cutting.units)}",
        _width_text(plan, cutting.units),
    )
    left_out = len(plan.alike) - len(strips)
    foot = f"{left_out} more strips are in the cutting list." if left_out else ""
    return _draw(plan, strips, fabric.colour, cutting.units, _WIDTH, FONT, heads, foot).svg


def cutting_plan_parts(
    plan: FabricPlan, fabric: Fabric, cutting: Cutting, size: tuple[float, float], font: str
) -> tuple[PlanPart, ...]:
    """The same for pages: no title, in parts of at most ``size`` mm."""
    tallest = max((strip.height for strip in plan.strips), default=1.0)
    width = min(size[0] - _BESIDE - 1, plan.width * _TALLEST / tallest)
    scale = width / plan.width
    parts: list[list[tuple[CutStrip, int]]] = [[]]
    room = size[1] - 2
    for strip in plan.alike[:MOST_STRIPS]:
        height = _drawn_height(strip[0], scale)
        if parts[-1] and height > room:
            parts.append([])
            room = size[1] - 2
        parts[-1].append(strip)
        room -= height
    return tuple(_draw(plan, part, fabric.colour, cutting.units, width, font) for part in parts)


def _width_text(plan: FabricPlan, units: Units) -> str:
    return f"usable width {length_text(plan.width, units)}"


def _drawn_height(strip: CutStrip, scale: float) -> float:
    return max(strip.height * scale, _LEAST_HEIGHT)


def _draw(
    plan: FabricPlan,
    strips: Sequence[tuple[CutStrip, int]],
    colour: str,
    units: Units,
    width: float,
    font: str,
    heads: tuple[str, str] = ("", ""),
    foot: str = "",
) -> PlanPart:
    scale = width / plan.width
    left, top = _BESIDE, _HEAD if heads[0] else 1.0
    depth = sum(_drawn_height(strip, scale) for strip, _ in strips)
    full = (_n(left + width + 1), _n(top + depth + (_FOOT if foot else 1.0)))
    drawing = svgwrite.Drawing(
        size=(f"{full[0]}mm", f"{full[1]}mm"),
        viewBox=f"0 0 {full[0]} {full[1]}",
        font_family=font,
        debug=False,
    )
    drawing.add(drawing.rect((0, 0), full, fill="#ffffff"))
    text = drawing.add(drawing.g(fill=_TEXT, font_size=3.2))
    if heads[0]:
        text.add(drawing.text(heads[0], (left, 6), font_size=4.6, font_weight="bold"))
        text.add(drawing.text(heads[1], (_n(left + width), 6), text_anchor="end"))
    cloth = drawing.add(drawing.g(id="fabric"))
    cloth.add(
        drawing.rect((left, top), (_n(width), _n(depth)), fill="#eceff0", stroke=_RULE, stroke_width=0.25)
    )
    patches = drawing.add(drawing.g(id="patches", stroke=_RULE, stroke_width=0.18))
    numbers = drawing.add(drawing.g(font_size=2.8, text_anchor="middle", fill=_ink(colour)))
    y = top
    for strip, count in strips:
        height = _drawn_height(strip, scale)
        down = height / strip.height
        label = f"{count} × " * (count > 1) + length_text(strip.height, units, "up")
        text.add(drawing.text(label, (left - 2, _n(y + height / 2 + 1.1)), text_anchor="end"))
        for placed in strip.placed:
            spot = (_n(left + placed.x * scale), _n(y + placed.y * down))
            size = (_n(placed.width * scale), _n(placed.height * down))
            patches.add(drawing.rect(spot, size, fill=colour or "#ffffff"))
            centre = (_n(spot[0] + size[0] / 2), _n(spot[1] + size[1] / 2 + 1))
            numbers.add(drawing.text(str(placed.cut + 1), centre))
        patches.add(drawing.line((left, _n(y)), (_n(left + width), _n(y)), stroke_width=0.35))
        y += height
    if foot:
        text.add(drawing.text(foot, (left, _n(y + 4.4))))
    return PlanPart(str(drawing.tostring()), *full)


def _n(value: float) -> float:
    return round(value, 2)


def _ink(colour: str) -> str:
    """Black or white, whichever is farther from the colour's brightness (ITU-R BT.601 luma)."""
    if not colour:
        return "#000000"
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#ffffff" if 0.299 * red + 0.587 * green + 0.114 * blue < 140 else "#000000"
