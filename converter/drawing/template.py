"""The templates that are printed and sewn on: mirrored, one a section, each whole when cut out."""

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, degrees, hypot, sqrt

from converter.drawing.block import block_size
from converter.drawing.joins import JoinEdge, join_edges
from converter.drawing.labels import CLEAR, Label, Sizes, along, inside, number_labels, tag
from converter.drawing.shapes import grown, hatch, outward_lines
from converter.drawing.svg import INK, LABEL_FONT, SOFT_INK, Element, Sheet, xml_id
from converter.geometry import Line, split_convex
from converter.model import BACKGROUND, Glyph, Pattern, Piece, Point, Ring
from converter.seams import Seam, outline, seams

# A tip is cut where it would lie further than this many seam allowances from its corner: square corners stay
# whole (1.41), anything sharper than about 70° is blunted. Above 1, so no allowance is lost.
TIP_REACH = 1.75
MARGIN = 0.3  # mm round a template, so that no pen is cut off at the drawing's edge
GAP = 4.0  # mm between the templates of one drawing
CUT_PEN, SECTION_PEN, SEW_PEN, HATCH_PEN, MARK_PEN = 0.2, 0.45, 0.3, 0.18, 0.25  # mm
EDGE_GAP = 0.9  # mm from the section's outline to the second line that marks the block's edge


@dataclass(frozen=True, slots=True)
class Template:
    """One section's template, drawn on its own: its SVG, and its size in mm."""

    section: str
    svg: str
    width: float
    height: float
    cut_line: Ring  # in the drawing's own mm
    section_line: Ring


@dataclass(frozen=True, slots=True)
class _Plan:
    """One section's geometry, mirrored; ``origin`` is where the mirrored block's corner lies."""

    section: str
    pieces: tuple[Piece, ...]
    outline: Ring
    cut: Ring
    seams: tuple[Seam, ...]
    joins: tuple[JoinEdge, ...]
    origin: Point
    block: tuple[float, float]

    def size(self) -> tuple[float, float]:
        (left, top), (right, bottom) = _bounds(self.cut)
        return right - left + 2 * MARGIN, bottom - top + 2 * MARGIN


def template_svg(pattern: Pattern, glyph: Glyph, font: str = LABEL_FONT) -> str:
    """All templates of a glyph, side by side in mm, one group ``template-A`` a section."""
    plans = _plans(pattern, glyph)
    places, width, height = _rows([plan.size() for plan in plans])
    sheet = Sheet(width, height, f"{tag(glyph)}: templates, mirrored", font)
    for plan, place in zip(plans, places, strict=True):
        _draw(sheet, _moved(plan, place), pattern, glyph)
    return sheet.tostring()


def section_template(pattern: Pattern, glyph: Glyph, section_id: str, font: str = LABEL_FONT) -> Template:
    """One section's template with its size and lines; KeyError when there is no such section."""
    for plan in _plans(pattern, glyph):
        if plan.section == section_id:
            width, height = plan.size()
            sheet = Sheet(width, height, f"{tag(glyph)}: template {section_id}, mirrored", font)
            plan = _moved(plan, (0.0, 0.0))
            _draw(sheet, plan, pattern, glyph)
            return Template(section_id, sheet.tostring(), width, height, plan.cut, plan.outline)
    raise KeyError(section_id)


def section_template_svg(pattern: Pattern, glyph: Glyph, section_id: str, font: str = LABEL_FONT) -> str:
    """One section's template as a drawing of its own."""
    return section_template(pattern, glyph, section_id, font).svg


def section_template_size(pattern: Pattern, glyph: Glyph, section_id: str) -> tuple[float, float]:
    """Width and height in mm of :func:`section_template_svg`'s drawing, without drawing it."""
    for plan in _plans(pattern, glyph):
        if plan.section == section_id:
            return plan.size()
    raise KeyError(section_id)


def _plans(pattern: Pattern, glyph: Glyph) -> list[_Plan]:
    width, height = block_size(pattern, glyph)
    pieces = {piece.id: piece for piece in glyph.pieces}
    all_seams, all_joins = seams(glyph), join_edges(glyph)

    def mirror(point: Point) -> Point:
        return width - point[0], point[1]

    plans = []
    for section in glyph.sections:
        edge = _ring(mirror, outline(glyph, section.pieces))
        plans.append(
            _Plan(
                section.id,
                tuple(_piece(mirror, pieces[i]) for i in section.pieces),
                edge,
                grown(edge, pattern.block.seam_allowance, TIP_REACH),
                tuple(_seam(mirror, s) for s in all_seams if s.kind == "inner" and s.section == section.id),
                tuple(_join(mirror, j) for j in all_joins if j.section == section.id),
                (0.0, 0.0),
                (width, height),
            )
        )
    return plans


def _moved(plan: _Plan, place: Point) -> _Plan:
    """The plan moved so that its drawing's top left corner lies at ``place``."""
    left, top = _bounds(plan.cut)[0]
    dx, dy = place[0] + MARGIN - left, place[1] + MARGIN - top

    def move(point: Point) -> Point:
        return point[0] + dx, point[1] + dy

    return _Plan(
        plan.section,
        tuple(_piece(move, p) for p in plan.pieces),
        _ring(move, plan.outline),
        _ring(move, plan.cut),
        tuple(_seam(move, s) for s in plan.seams),
        tuple(_join(move, j) for j in plan.joins),
        (dx, dy),
        plan.block,
    )


def _draw(sheet: Sheet, plan: _Plan, pattern: Pattern, glyph: Glyph) -> None:
    name, allowance = plan.section, pattern.block.seam_allowance
    group = sheet.layer(f"template-{name}", f"template {name}")
    numbers, tag_label, join_labels = _labels(plan, glyph, allowance)
    boxes = [label.box() for label in numbers]
    spacing = max(1.5, min(3.0, min(plan.block) / 34))
    keep_off = [_padded(b) for b in boxes]
    shade = [
        line
        for piece in plan.pieces
        if piece.fabric != BACKGROUND
        for line in _shade(piece.polygon, spacing, plan.origin, keep_off)
    ]
    if shade:
        sheet.strokes(group, shade, class_="figure-shade", stroke=SOFT_INK, stroke_width=HATCH_PEN)
    cut_style = {"stroke_dasharray": "1.6 1.1", "stroke": INK, "stroke_width": CUT_PEN, "fill": "none"}
    sheet.polygon(group, plan.cut, class_="cut-line", id=f"cut-{name}", **cut_style)
    for start, end in _block_edges(plan):
        sheet.line(group, start, end, class_="block-edge", stroke=INK, stroke_width=SECTION_PEN)
    for seam in plan.seams:
        sheet.line(
            group,
            seam.start,
            seam.end,
            class_="sew-line",
            id=xml_id(f"seam-{seam.added}"),
            stroke=INK,
            stroke_width=SEW_PEN,
        )
    sheet.polygon(
        group,
        plan.outline,
        class_="section-line",
        id=f"section-{name}",
        fill="none",
        stroke=INK,
        stroke_width=SECTION_PEN,
        stroke_linejoin="miter",
    )
    for mark in _ticks(plan, allowance):
        sheet.line(group, *mark, class_="match-mark", stroke=INK, stroke_width=MARK_PEN)
    for piece, label in zip(plan.pieces, numbers, strict=True):
        sheet.label(group, label, class_="piece-number", id=xml_id(f"number-{piece.id}"))
    _draw_tag(sheet, group, tag_label, glyph, name)
    for step, label in join_labels:
        sheet.label(group, label, class_="join-label", id=xml_id(f"join-{step}-{name}"))


def _shade(ring: Ring, spacing: float, origin: Point, keep_off: list[Ring]) -> list[tuple[Point, Point]]:
    """The hatch of a piece; closer together in a piece so small that it would have none."""
    for finer in (1, 2, 4, 8):
        lines = hatch(ring, spacing / finer, origin, keep_off)
        if len(lines) > 1:
            return lines
    return lines


def _draw_tag(sheet: Sheet, group: Element, label: Label, glyph: Glyph, section: str) -> None:
    text = sheet.text(group, "", label.middle, label.size, label.angle)
    sheet.span(text, f"{tag(glyph)} ", class_="tag", font_weight="bold")
    sheet.span(text, "section ", fill=SOFT_INK)
    sheet.span(text, section, class_="section-id", font_weight="bold")


def _labels(
    plan: _Plan, glyph: Glyph, allowance: float
) -> tuple[list[Label], Label, list[tuple[int, Label]]]:
    """Numbers in the pieces, the tag and the joins' names in the seam allowance, none on another."""
    ticks: list[Ring] = list(_ticks(plan, allowance))
    second_line: list[Ring] = list(_block_edges(plan))
    largest = max(2.6, min(5.0, min(plan.block) * 0.055))
    rings = [(str(n), piece.polygon) for n, piece in enumerate(plan.pieces, 1)]
    around = [(plan.cut, plan.outline)]
    barred: list[Ring] = [*ticks, *second_line]
    sizes = Sizes(min(3.0, 0.42 * allowance), min(1.6, 0.42 * allowance))
    tag_label = _tag_label(f"{tag(glyph)} section {plan.section}", plan, sizes, barred)
    barred.append(tag_label.box())
    numbers = number_labels(rings, Sizes(largest, 1.8), around, barred)
    for label in numbers:
        barred += [label.box(), *([label.leader] if label.leader else [])]
    small = Sizes(min(2.2, 0.36 * allowance), min(1.5, 0.36 * allowance))
    join_labels = []
    for edge in plan.joins:
        join_label = _edge_label(f"join {edge.join}", plan, edge.start, edge.end, small, barred)
        if join_label:
            barred.append(join_label.box())
            join_labels.append((edge.join, join_label))
    return numbers, tag_label, join_labels


def _tag_label(text: str, plan: _Plan, sizes: Sizes, barred: list[Ring]) -> Label:
    """The tag in the allowance of the side that has most room for it, joined sides last."""
    joined = [{_key(edge.start), _key(edge.end)} for edge in plan.joins]
    sides = list(zip(plan.outline, [*plan.outline[1:], plan.outline[0]], strict=True))

    def rank(side: tuple[Point, Point]) -> tuple[bool, bool, float]:
        (ax, ay), (bx, by) = side
        steep = abs(by - ay) > abs(bx - ax)
        return {_key(side[0]), _key(side[1])} in joined, steep, -round(hypot(bx - ax, by - ay), 3)

    sides.sort(key=rank)
    found = [label for start, end in sides if (label := _edge_label(text, plan, start, end, sizes, barred))]
    if found:
        return max(found, key=lambda label: round(label.size, 6))  # the first of the largest
    upright = inside(text, plan.cut, Sizes(sizes.most, sizes.least / 2), barred)
    return upright or Label(text, _middle(*_bounds(plan.cut)), sizes.least / 2)


def _edge_label(
    text: str, plan: _Plan, start: Point, end: Point, sizes: Sizes, barred: list[Ring]
) -> Label | None:
    """A label in the allowance along one side of the section, at the side's middle where it is free."""
    nx, ny, d = _outward(plan.outline, start, end)
    band = split_convex(plan.cut, Line(nx, ny, d + SECTION_PEN / 2), 1e-9)[0]
    angle = degrees(atan2(nx, -ny))  # along the side
    if not -90 <= round(angle, 6) < 90:
        angle += 180 if angle < 0 else -180
    depth = max(nx * x + ny * y - d for x, y in band)
    middle = _middle(start, end)
    return along(
        text, band, angle, sizes, barred, (middle[0] + nx * depth * 0.55, middle[1] + ny * depth * 0.55)
    )


def _ticks(plan: _Plan, allowance: float) -> list[tuple[Point, Point]]:
    """Marks across the allowance, square to the joined side, at the places that must meet."""
    ticks = []
    for edge in plan.joins:
        nx, ny, _ = _outward(plan.outline, edge.start, edge.end)
        ticks += [((x, y), (x + nx * allowance, y + ny * allowance)) for x, y in edge.marks]
    return ticks


def _block_edges(plan: _Plan) -> list[tuple[Point, Point]]:
    """The second, outer line along sides that lie on the block's own edge."""
    (left, top), (width, height) = plan.origin, plan.block
    lines = []
    for start, end in zip(plan.outline, [*plan.outline[1:], plan.outline[0]], strict=True):
        for axis, at in ((0, left), (0, left + width), (1, top), (1, top + height)):
            if abs(start[axis] - at) < 0.01 and abs(end[axis] - at) < 0.01:
                nx, ny, _ = _outward(plan.outline, start, end)
                lines.append(
                    (
                        (start[0] + nx * EDGE_GAP, start[1] + ny * EDGE_GAP),
                        (end[0] + nx * EDGE_GAP, end[1] + ny * EDGE_GAP),
                    )
                )
    return lines


def _outward(ring: Ring, start: Point, end: Point) -> Line:
    """The line of the ring's side that holds the two points, its normal pointing out of the ring."""
    return min(outward_lines(ring), key=lambda line: abs(line.side(start)) + abs(line.side(end)))


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


def _padded(ring: Ring) -> Ring:
    return grown(ring, CLEAR, 2.0)


def _bounds(ring: Ring) -> tuple[Point, Point]:
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return (min(xs), min(ys)), (max(xs), max(ys))


def _middle(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def _key(point: Point) -> tuple[float, float]:
    return round(point[0], 2), round(point[1], 2)


def _ring(change: Callable[[Point], Point], ring: Ring) -> Ring:
    return tuple(change(p) for p in ring)


def _piece(change: Callable[[Point], Point], piece: Piece) -> Piece:
    return Piece(piece.id, piece.fabric, _ring(change, piece.polygon))


def _seam(change: Callable[[Point], Point], seam: Seam) -> Seam:
    return Seam(change(seam.start), change(seam.end), seam.kind, seam.section, seam.step, seam.added)


def _join(change: Callable[[Point], Point], edge: JoinEdge) -> JoinEdge:
    return JoinEdge(edge.section, edge.join, change(edge.start), change(edge.end), _ring(change, edge.marks))
