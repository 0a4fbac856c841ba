"""The templates that are printed and sewn on: mirrored, one a section, each whole when cut out."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from converter.drawing.labels import CLEAR, Label, extent, tag
from converter.drawing.section_plan import SectionPlan, Stroke, section_plans
from converter.drawing.shapes import grown, hatch, turned
from converter.drawing.svg import INK, LABEL_FONT, SOFT_INK, Element, Sheet, xml_id
from converter.drawing.template_labels import BAR_HEIGHT, ScaleBar, TemplateLabels, template_labels
from converter.fabric_codes import fabric_codes, has_several
from converter.measures import is_metric, units_of
from converter.model import BACKGROUND, Fabric, Glyph, Pattern, Point, Ring

MARGIN = 0.3  # mm round a template, so that no pen is cut off at the drawing's edge
GAP = 4.0  # mm between the templates of one drawing
END_RING = 0.8  # mm, the radius of the ring round the end of a join
# The hatch of each fabric in turn, as degrees from 45°: slanted one way, the other, both; level, upright, both.
HATCHES: tuple[tuple[float, ...], ...] = ((0.0,), (90.0,), (0.0, 90.0), (-45.0,), (45.0,), (-45.0, 45.0))
CUT_PEN, SECTION_PEN, SEW_PEN, HATCH_PEN, MARK_PEN, BAR_PEN = 0.2, 0.45, 0.3, 0.18, 0.25, 0.18  # mm


@dataclass(frozen=True, slots=True)
class Template:
    """One section's template, drawn on its own: its SVG, and its size in mm."""

    section: str
    svg: str
    width: float
    height: float
    cut_line: Ring  # in the drawing's own mm
    section_line: Ring


def template_svg(pattern: Pattern, glyph: Glyph, font: str = LABEL_FONT) -> str:
    """All templates of a glyph, side by side in mm, one group ``template-A`` a section."""
    plans = section_plans(pattern, glyph)
    places, width, height = _rows([_size(plan) for plan in plans])
    sheet = Sheet(width, height, f"{tag(glyph)}: templates, mirrored", font)
    for plan, place in zip(plans, places, strict=True):
        _draw(sheet, _placed(plan, place), glyph, pattern.fabrics, is_metric(units_of(pattern)))
    return sheet.tostring()


def section_templates(
    pattern: Pattern, glyph: Glyph, font: str = LABEL_FONT, metric: bool = False
) -> tuple[Template, ...]:
    """Each section's template as a drawing of its own, in order; ``metric``: scale bars in cm, not inches."""
    templates = []
    for plan in section_plans(pattern, glyph):
        width, height = _size(plan)
        sheet = Sheet(width, height, f"{tag(glyph)}: template {plan.section}, mirrored", font)
        plan = _placed(plan, (0.0, 0.0))
        _draw(sheet, plan, glyph, pattern.fabrics, metric)
        templates.append(Template(plan.section, sheet.tostring(), width, height, plan.cut, plan.outline))
    return tuple(templates)


def _size(plan: SectionPlan) -> tuple[float, float]:
    (left, top), (right, bottom) = plan.bounds()
    return right - left + 2 * MARGIN, bottom - top + 2 * MARGIN


def _placed(plan: SectionPlan, place: Point) -> SectionPlan:
    """The plan moved so that its drawing's top left corner lies at ``place``."""
    left, top = plan.bounds()[0]
    return plan.moved(place[0] + MARGIN - left, place[1] + MARGIN - top)


def _draw(
    sheet: Sheet, plan: SectionPlan, glyph: Glyph, fabrics: Mapping[str, Fabric], metric: bool = False
) -> None:
    group = sheet.layer(f"template-{plan.section}", f"template {plan.section}")
    labels = template_labels(plan, glyph, fabric_codes(fabrics) if has_several(glyph) else {}, metric)
    _draw_shade(sheet, group, plan, labels, fabrics)
    _draw_lines(sheet, group, plan)
    for piece, label in zip(plan.pieces, labels.numbers, strict=True):
        sheet.label(group, label, class_="piece-number", id=xml_id(f"number-{piece.id}"))
    _draw_tag(sheet, group, labels.tag, glyph, plan.section)
    for step, label in labels.joins:
        sheet.label(group, label, class_="join-label", id=xml_id(f"join-{step}-{plan.section}"))
    if labels.bar:
        _draw_bar(sheet, group, labels.bar)


def _draw_bar(sheet: Sheet, group: Element, bar: ScaleBar) -> None:
    """A line with a stroke across each end, broken for its name."""
    half, gap, end = bar.length / 2, extent(bar.name.text, bar.name.size)[0] / 2, BAR_HEIGHT / 2
    lines = [((s * half, -end), (s * half, end)) for s in (-1, 1)]
    lines += [((s * half, 0.0), (s * gap, 0.0)) for s in (-1, 1)]
    x, y = bar.name.middle
    placed = []
    for line in lines:
        a, b = turned(line, bar.name.angle)
        placed.append(((a[0] + x, a[1] + y), (b[0] + x, b[1] + y)))
    parts = sheet.group(group, class_="scale-bar")
    sheet.strokes(parts, placed, stroke=INK, stroke_width=BAR_PEN)
    sheet.label(parts, bar.name)


def _draw_shade(
    sheet: Sheet, group: Element, plan: SectionPlan, labels: TemplateLabels, fabrics: Mapping[str, Fabric]
) -> None:
    """A hatch for each fabric but the background."""
    spacing = max(1.5, min(3.0, min(plan.block) / 34))  # mm
    keep_off = [grown(label.box(), CLEAR, 2.0) for label in (*labels.numbers, labels.tag)]
    others = [name for name in fabrics if name != BACKGROUND]
    for piece_fabric in dict.fromkeys(piece.fabric for piece in plan.pieces if piece.fabric != BACKGROUND):
        place = others.index(piece_fabric) if piece_fabric in others else len(others)
        shade: list[Stroke] = []
        for piece in plan.pieces:
            if piece.fabric == piece_fabric:
                for turn in HATCHES[place % len(HATCHES)]:
                    shade += _shade(piece.polygon, spacing, plan.origin, keep_off, turn)
        style: dict[str, object] = {"stroke": SOFT_INK, "stroke_width": HATCH_PEN}
        if shade:
            sheet.strokes(group, shade, class_="figure-shade", **style, **{"data-fabric": piece_fabric})


def _shade(ring: Ring, spacing: float, origin: Point, keep_off: list[Ring], turn: float) -> list[Stroke]:
    """The hatch of a piece, turned by degrees; closer together in a piece so small that it would have none."""
    ring, *off = (turned(r, -turn) for r in (ring, *keep_off))
    middle = turned([origin], -turn)[0]
    for finer in (1, 2, 4, 8):
        lines = hatch(ring, spacing / finer, middle, off)
        if len(lines) > 1:
            break
    return [(a, b) for a, b in (turned(line, turn) for line in lines)]


def _draw_lines(sheet: Sheet, group: Element, plan: SectionPlan) -> None:
    name = plan.section
    style: dict[str, object] = {"stroke": INK, "fill": "none"}
    dashes: dict[str, object] = {"stroke_dasharray": "1.6 1.1", "stroke_width": CUT_PEN}
    sheet.polygon(group, plan.cut, class_="cut-line", id=f"cut-{name}", **style, **dashes)
    for start, end in plan.block_edges():
        sheet.line(group, start, end, class_="block-edge", **style, stroke_width=SECTION_PEN)
    for seam in plan.seams:
        name_of_seam = xml_id(f"seam-{seam.added}")
        sheet.line(
            group, seam.start, seam.end, class_="sew-line", id=name_of_seam, **style, stroke_width=SEW_PEN
        )
    sheet.polygon(
        group,
        plan.outline,
        class_="section-line",
        id=f"section-{name}",
        stroke_width=SECTION_PEN,
        stroke_linejoin="round",
        **style,
    )
    for arrow in plan.arrows:
        sheet.polygon(group, arrow, class_="patch-arrow", fill=INK)
    for start, end in plan.ticks():
        sheet.line(group, start, end, class_="match-mark", **style, stroke_width=MARK_PEN)
    for start, end in plan.end_ticks():
        sheet.line(group, start, end, class_="seam-end", **style, stroke_width=MARK_PEN)
        sheet.dot(group, start, END_RING, class_="seam-end-ring", **style, stroke_width=MARK_PEN)


def _draw_tag(sheet: Sheet, group: Element, label: Label, glyph: Glyph, section: str) -> None:
    text = sheet.text(group, "", label.middle, label.size, label.angle)
    sheet.span(text, f"{tag(glyph)} ", class_="tag", font_weight="bold")
    sheet.span(text, "section ", fill=SOFT_INK)
    sheet.span(text, section, class_="section-id", font_weight="bold")


def _rows(sizes: list[tuple[float, float]]) -> tuple[list[Point], float, float]:
    """Places for drawings in rows, about half as wide again as high; and the width and height of it all."""
    target = max(
        sqrt(sum((w + GAP) * (h + GAP) for w, h in sizes)) * 1.25, max((w for w, _ in sizes), default=1.0)
    )
    places: list[Point] = []
    x = y = row = width = 0.0
    for w, h in sizes:
        if x and x + w > target:
            x, y, row = 0.0, y + row + GAP, 0.0
        places.append((x, y))
        x, row, width = x + w + GAP, max(row, h), max(width, x + w)
    return places, max(width, 1.0), max(y + row, 1.0)
