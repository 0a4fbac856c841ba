"""The cutting plan of one fabric as a drawing: strips, and the patches in them, numbered as in the list."""

import svgwrite

from converter.fabric.buying import FabricPlan
from converter.fabric.cutting import Cutting
from converter.measures import fabric_text, length_text
from converter.model import Fabric

_WIDTH = 180.0  # mm on paper, the fabric's usable width
_RULE = "#5b6770"
_TEXT = "#22303a"
_FONT = "Helvetica, Arial, sans-serif"


def cutting_plan_svg(plan: FabricPlan, fabric: Fabric, cutting: Cutting, most_strips: int = 60) -> str:
    """SVG text, mm, not to scale with the fabric: its width is drawn 180 mm wide.

    Only the first ``most_strips`` strips are drawn, and the drawing says so; the list has all.
    """
    scale = _WIDTH / plan.width
    strips = plan.strips[:most_strips]
    depth = (strips[-1].start + strips[-1].height if strips else 0.0) * scale
    left, top = 24.0, 14.0
    total = (left + _WIDTH + 6, top + depth + 8)
    drawing = svgwrite.Drawing(
        size=(f"{total[0]:.2f}mm", f"{total[1]:.2f}mm"),
        viewBox=f"0 0 {total[0]:.2f} {total[1]:.2f}",
        debug=False,
    )
    drawing.add(drawing.rect((0, 0), (round(total[0], 2), round(total[1], 2)), fill="#ffffff"))
    text = drawing.add(drawing.g(font_family=_FONT, fill=_TEXT, font_size=3.2))
    head = f"{fabric.label}: buy {fabric_text(plan.length, cutting.units)}"
    text.add(drawing.text(head, (left, 6), font_size=4.6, font_weight="bold"))
    width = f"usable width {length_text(plan.width, cutting.units)}"
    text.add(drawing.text(width, (left + _WIDTH, 6), text_anchor="end"))
    cloth = drawing.add(drawing.g(id="fabric"))
    cloth.add(drawing.rect((left, top), (_WIDTH, _n(depth)), fill="#eceff0", stroke=_RULE, stroke_width=0.25))
    patches = drawing.add(drawing.g(id="patches", stroke=_RULE, stroke_width=0.18))
    numbers = drawing.add(drawing.g(font_family=_FONT, font_size=2.8, text_anchor="middle"))
    for strip in strips:
        y = top + strip.start * scale
        middle = y + strip.height * scale / 2 + 1.1
        text.add(
            drawing.text(
                length_text(strip.height, cutting.units, "up"), (left - 2, _n(middle)), text_anchor="end"
            )
        )
        for placed in strip.placed:
            spot = (_n(left + placed.x * scale), _n(y + placed.y * scale))
            size = (_n(placed.width * scale), _n(placed.height * scale))
            patches.add(drawing.rect(spot, size, fill=fabric.colour or "#ffffff"))
            centre = (_n(spot[0] + size[0] / 2), _n(spot[1] + size[1] / 2 + 1))
            numbers.add(drawing.text(str(placed.cut + 1), centre, fill=_ink(fabric.colour)))
        patches.add(drawing.line((left, _n(y)), (left + _WIDTH, _n(y)), stroke_width=0.35))
    if len(strips) < len(plan.strips):
        more = f"{len(plan.strips) - len(strips)} more strips are in the cutting list."
        text.add(drawing.text(more, (left, _n(top + depth + 5))))
    return str(drawing.tostring())


def _n(value: float) -> float:
    return round(value, 2)


def _ink(colour: str) -> str:
    """Black or white, whichever is farther from the colour's brightness (ITU-R BT.601 luma)."""
    if not colour:
        return "#000000"
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return "#ffffff" if 0.299 * red + 0.587 * green + 0.114 * blue < 140 else "#000000"
