"""Where the texts of a template stand: numbers in the pieces, all else in the seam allowance."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, degrees, hypot

from converter.drawing.labels import Label, Sizes, along, box_along, inside, number_labels, tag
from converter.drawing.section_plan import SectionPlan, Stroke
from converter.geometry import Line, split_convex
from converter.model import Glyph, Point, Ring

NUMBER_LEAST = 2.15  # mm; the em of the smallest number, a little over 6 pt
TAG_MOST, TAG_LEAST = 3.0, 1.6  # mm
JOIN_MOST, JOIN_LEAST = 2.2, 1.5  # mm
BAR_EM, BAR_HEIGHT = 2.15, 2.0  # mm
# The lengths of scale bars, the longest that has room; each can be checked on any ruler.
BARS = ((25.4, "1 in"), (12.7, "1/2 in"))
METRIC_BARS = ((20.0, "2 cm"), (10.0, "1 cm"))


@dataclass(frozen=True, slots=True)
class ScaleBar:
    """A bar of a known length, mm, with its name in its middle."""

    length: float
    name: Label


@dataclass(frozen=True, slots=True)
class TemplateLabels:
    """The numbers in order of the pieces, the tag with the section's id, each join's name, the scale bar."""

    numbers: list[Label]
    tag: Label
    joins: list[tuple[int, Label]]
    bar: ScaleBar | None


def template_labels(
    plan: SectionPlan, glyph: Glyph, codes: Mapping[str, str], metric: bool = False
) -> TemplateLabels:
    """Places for all texts of a template: none on another, on a mark or on a line that is sewn.

    ``codes``: the letters of fabrics, which stand after the numbers of their pieces.
    """
    barred: list[Ring] = [*plan.ticks(), *plan.end_ticks(), *plan.block_edges(), *plan.arrows]
    tag_label = _tag_label(f"{tag(glyph)} section {plan.section}", plan, barred)
    barred.append(tag_label.box())
    most = max(2.6, min(5.0, min(plan.block) * 0.055))
    rings = [(f"{n}{codes.get(p.fabric, '')}", p.polygon) for n, p in enumerate(plan.pieces, 1)]
    numbers = number_labels(
        rings, Sizes(most, NUMBER_LEAST), beside_in=[[(plan.cut, plan.outline)]], barred=barred
    )
    for label in numbers:
        barred += [label.box(), *([label.leader] if label.leader else [])]
    barred.append(
        tag_label.box(2 * plan.allowance)
    )  # a join's name stands beside the tag, not squeezed under it
    sizes = _fitting(plan.join_allowance, 0.5, JOIN_MOST, JOIN_LEAST)
    joins = []
    for edge in plan.joins:
        join_label = _side_label(f"join {edge.join}", plan, (edge.start, edge.end), sizes, barred)
        if join_label:
            barred.append(join_label.box())
            joins.append((edge.join, join_label))
    barred += [label.box(2 * plan.allowance) for _, label in joins]  # nor does the bar
    return TemplateLabels(
        numbers, tag_label, joins, _scale_bar(plan, METRIC_BARS if metric else BARS, barred)
    )


def _scale_bar(plan: SectionPlan, bars: tuple[tuple[float, str], ...], barred: list[Ring]) -> ScaleBar | None:
    """The longest bar that has room in the allowance, at one end of a side: where nothing is joined at first."""
    joined = [{_key(edge.start), _key(edge.end)} for edge in plan.joins]
    sides = sorted(plan.sides(), key=lambda s: ({_key(s[0]), _key(s[1])} in joined, -round(_length(s), 3)))
    for length, name in bars:
        for side in sides:
            band, angle, middle = _band(plan, side)
            share = length / _length(side) / 2 - 0.5  # from the middle of the side to where it begins
            (ax, ay), (bx, by) = side
            near = middle[0] + share * (bx - ax), middle[1] + share * (by - ay)
            place = box_along((length, BAR_HEIGHT), band, angle, barred, near)
            if place:
                return ScaleBar(length, Label(name, place, BAR_EM, angle))
    return None


def _tag_label(text: str, plan: SectionPlan, barred: list[Ring]) -> Label:
    """The tag in the allowance of the side that has most room for it: level sides first, joined ones last.

    Where the allowance is too narrow for any text it stands in the section, off the seams.
    """
    joined = [{_key(edge.start), _key(edge.end)} for edge in plan.joins]

    def rank(side: Stroke) -> tuple[bool, bool, float]:
        (ax, ay), (bx, by) = side
        is_steep = abs(by - ay) > abs(bx - ax)
        return {_key(side[0]), _key(side[1])} in joined, is_steep, -round(_length(side), 3)

    found = []
    for side in sorted(plan.sides(), key=rank):
        sizes = _fitting(plan.allowance_at(side), 0.42, TAG_MOST, TAG_LEAST)
        if label := _side_label(text, plan, side, sizes, barred):
            found.append(label)
    if found:
        return max(found, key=lambda label: round(label.size, 6))  # the first of the largest
    lines = [*barred, *plan.sides(), *((seam.start, seam.end) for seam in plan.seams)]
    sizes = Sizes(TAG_LEAST, TAG_LEAST / 4)
    return inside(text, plan.cut, sizes, lines) or Label(text, plan.cut[0], sizes.least)


def _side_label(text: str, plan: SectionPlan, side: Stroke, sizes: Sizes, barred: list[Ring]) -> Label | None:
    """A label in the allowance along one side of the section, at the side's middle where it is free."""
    band, angle, near = _band(plan, side)
    return along(text, band, angle, sizes, barred, near)


def _band(plan: SectionPlan, side: Stroke) -> tuple[Ring, float, Point]:
    """The allowance along a side, the way in which it is read in degrees, and its middle."""
    (ax, ay), (bx, by) = side
    nx, ny, d = plan.outward(*side)
    angle = degrees(atan2(nx, -ny))  # along the side
    if not -90 <= round(angle, 6) < 90:  # to be read from below or from the right
        angle += 180 if angle < 0 else -180
    reach = plan.allowance_at(side) * 0.55
    middle = (ax + bx) / 2 + nx * reach, (ay + by) / 2 + ny * reach
    return split_convex(plan.cut, Line(nx, ny, d), 1e-9)[0], angle, middle


def _length(side: Stroke) -> float:
    (ax, ay), (bx, by) = side
    return hypot(bx - ax, by - ay)


def _fitting(allowance: float, share: float, most: float, least: float) -> Sizes:
    """Sizes of text for a seam allowance: at most a share of it."""
    return Sizes(min(most, share * allowance), min(least, share * allowance))


def _key(point: Point) -> tuple[float, float]:
    return round(point[0], 2), round(point[1], 2)
