"""The cutting plan of one fabric as a drawing: strips, and the patches in them, numbered as in the list.

Strips that are cut into the same patches are drawn once, with their number; very high strips are drawn less
high than they are.
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
_LEAST_BESIDE = 24.0  # mm on paper for the strips' heights
_HEAD = 12.0
_FOOT = 6.0
_HEIGHTS = (3.2, 60.0)  # mm on paper: room for a number, and no more than a third of a page
_LABEL, _NUMBER = 3.2, 2.8  # mm, sizes of type
_LEAST_NUMBER = 1.1
_EM = 0.6  # em a character, at most
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
    beside = round(_beside(plan.alike[:MOST_STRIPS], cutting.units), 2)
    width = size[0] - beside - 1
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
    return tuple(
        _draw(plan, part, fabric.colour, cutting.units, width, font, beside=beside) for part in parts
    )


def _width_text(plan: FabricPlan, units: Units) -> str:
    return f"usable width {length_text(plan.width, units)}"


def _drawn_height(strip: CutStrip, scale: float) -> float:
    return min(max(strip.height * scale, _HEIGHTS[0]), _HEIGHTS[1])


def _strip_label(strip: CutStrip, count: int, units: Units) -> str:
    return f"{count} × " * (count > 1) + length_text(strip.height, units, "up")


def _beside(strips: Sequence[tuple[CutStrip, int]], units: Units) -> float:
    """Room for the strips' labels, mm on paper."""
    longest = max((len(_strip_label(strip, count, units)) for strip, count in strips), default=0)
    return max(_LEAST_BESIDE, longest * _EM * _LABEL + 4)


def _draw(
    plan: FabricPlan,
    strips: Sequence[tuple[CutStrip, int]],
    colour: str,
    units: Units,
    width: float,
    font: str,
    heads: tuple[str, str] = ("", ""),
    foot: str = "",
    beside: float = 0.0,
) -> PlanPart:
    scale = width / plan.width
    left, top = beside or round(_beside(strips, units), 2), _HEAD if heads[0] else 1.0
    depth = sum(_drawn_height(strip, scale) for strip, _ in strips)
    full = (_n(left + width + 1), _n(top + depth + (_FOOT if foot else 1.0)))
    drawing = svgwrite.Drawing(
        size=(f"{full[0]}mm", f"{full[1]}mm"),
        viewBox=f"0 0 {full[0]} {full[1]}",
        font_family=font,
        debug=False,
    )
    drawing.add(drawing.rect((0, 0), full, fill="#ffffff"))
    text = drawing.add(drawing.g(fill=_TEXT, font_size=_LABEL))
    if heads[0]:
        text.add(drawing.text(heads[0], (left, 6), font_size=4.6, font_weight="bold"))
        text.add(drawing.text(heads[1], (_n(left + width), 6), text_anchor="end"))
    cloth = drawing.add(drawing.g(id="fabric"))
    cloth.add(
        drawing.rect((left, top), (_n(width), _n(depth)), fill="#eceff0", stroke=_RULE, stroke_width=0.25)
    )
    patches = drawing.add(drawing.g(id="patches", stroke=_RULE, stroke_width=0.18))
    numbers = drawing.add(drawing.g(text_anchor="middle", fill=_ink(colour)))
    y = top
    for strip, count in strips:
        height = _drawn_height(strip, scale)
        down = height / strip.height
        label = _strip_label(strip, count, units)
        text.add(drawing.text(label, (left - 2, _n(y + height / 2 + 1.1)), text_anchor="end"))
        for placed in strip.placed:
            spot = (_n(left + placed.x * scale), _n(y + placed.y * down))
            size = (_n(placed.width * scale), _n(placed.height * down))
            patches.add(drawing.rect(spot, size, fill=colour or "#ffffff"))
            number = str(placed.cut + 1)
            type_size = min(_NUMBER, size[0] * 0.95 / (len(number) * _EM), size[1] * 0.85)
            if type_size >= _LEAST_NUMBER:
                centre = (_n(spot[0] + size[0] / 2), _n(spot[1] + size[1] / 2 + type_size * 0.36))
                numbers.add(drawing.text(number, centre, font_size=_n(type_size)))
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
