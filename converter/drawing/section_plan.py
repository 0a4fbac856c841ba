"""A section made ready to be drawn: mirrored, with its cutting line, seams, joined sides and marks."""

from collections.abc import Callable
from dataclasses import dataclass

from converter.covering import centre_marks
from converter.drawing.block import block_size
from converter.drawing.cut_lines import cut_lines
from converter.drawing.joins import JoinEdge, join_edges
from converter.drawing.shapes import outward_lines
from converter.geometry import Line
from converter.model import Glyph, Pattern, Piece, Point, Ring
from converter.seams import Seam, outline, seams

ON_SIDE = 0.02  # mm
ARROW = 1.8  # mm, the size of an arrow
EDGE_GAP = 0.9  # mm from the section's outline to the second line that marks the block's edge

Stroke = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class SectionPlan:
    """One section's geometry, mirrored; ``origin`` is where the mirrored block's corner lies. All mm."""

    section: str
    pieces: tuple[Piece, ...]
    outline: Ring
    cut: Ring
    seams: tuple[Seam, ...]
    joins: tuple[JoinEdge, ...]
    arrows: tuple[Ring, ...]  # where the middle of a patch lies
    allowance: float  # round the block
    join_allowance: float
    origin: Point
    block: tuple[float, float]

    def bounds(self) -> tuple[Point, Point]:
        """Top left and bottom right corner of the cutting line's box."""
        xs, ys = [x for x, _ in self.cut], [y for _, y in self.cut]
        return (min(xs), min(ys)), (max(xs), max(ys))

    def moved(self, dx: float, dy: float) -> "SectionPlan":
        """The same somewhere else."""

        def move(point: Point) -> Point:
            return point[0] + dx, point[1] + dy

        return SectionPlan(
            self.section,
            tuple(_piece(move, p) for p in self.pieces),
            _ring(move, self.outline),
            _ring(move, self.cut),
            tuple(_seam(move, s) for s in self.seams),
            tuple(_join(move, j) for j in self.joins),
            tuple(_ring(move, arrow) for arrow in self.arrows),
            self.allowance,
            self.join_allowance,
            move(self.origin),
            self.block,
        )

    def sides(self) -> list[Stroke]:
        """The sides of the section's outline."""
        return list(zip(self.outline, [*self.outline[1:], self.outline[0]], strict=True))

    def allowance_at(self, side: Stroke) -> float:
        """The allowance along a side of the outline."""
        line = self.outward(*side)
        joined = any(abs(line.side(e.start)) + abs(line.side(e.end)) < 2 * ON_SIDE for e in self.joins)
        return self.join_allowance if joined else self.allowance

    def outward(self, start: Point, end: Point) -> Line:
        """The line of the side that holds the two points, its normal pointing out of the section."""
        return min(outward_lines(self.outline), key=lambda line: abs(line.side(start)) + abs(line.side(end)))

    def ticks(self) -> list[Stroke]:
        """Marks across the allowance, square to the joined side, at the places that must meet."""
        return [tick for edge in self.joins for tick in self._across(edge, edge.marks)]

    def end_ticks(self) -> list[Stroke]:
        """The same at the ends of joins."""
        return [tick for edge in self.joins for tick in self._across(edge, edge.ends)]

    def _across(self, edge: JoinEdge, places: tuple[Point, ...]) -> list[Stroke]:
        nx, ny, _ = self.outward(edge.start, edge.end)
        reach = self.join_allowance
        return [((x, y), (x + nx * reach, y + ny * reach)) for x, y in places]

    def block_edges(self) -> list[Stroke]:
        """The second, outer line along sides that lie on the block's own edge."""
        (left, top), (width, height) = self.origin, self.block
        gap = min(EDGE_GAP, self.allowance / 3)
        lines = []
        for start, end in self.sides():
            for axis, at in ((0, left), (0, left + width), (1, top), (1, top + height)):
                if abs(start[axis] - at) < 0.01 and abs(end[axis] - at) < 0.01:
                    nx, ny, _ = self.outward(start, end)
                    (ax, ay), (bx, by) = start, end
                    lines.append(((ax + nx * gap, ay + ny * gap), (bx + nx * gap, by + ny * gap)))
        return lines


def section_plans(pattern: Pattern, glyph: Glyph) -> list[SectionPlan]:
    """A plan for each section of a glyph, in order, where they lie in the mirrored block."""
    width, height = block_size(pattern, glyph)
    pieces = {piece.id: piece for piece in glyph.pieces}
    marks = centre_marks(glyph, pattern.block)
    all_seams, all_joins, cuts = seams(glyph), join_edges(glyph), cut_lines(glyph, pattern.block)

    def mirror(point: Point) -> Point:
        return width - point[0], point[1]

    plans = []
    for section in glyph.sections:
        edge = _ring(mirror, outline(glyph, section.pieces))
        plans.append(
            SectionPlan(
                section.id,
                tuple(_piece(mirror, pieces[i]) for i in section.pieces),
                edge,
                _ring(mirror, cuts[section.id]),
                tuple(_seam(mirror, s) for s in all_seams if s.kind == "inner" and s.section == section.id),
                tuple(_join(mirror, j) for j in all_joins if j.section == section.id),
                tuple(_ring(mirror, mark.arrow(ARROW)) for mark in marks if mark.piece in section.pieces),
                pattern.block.seam_allowance,
                pattern.block.inner_allowance,
                (0.0, 0.0),
                (width, height),
            )
        )
    return plans


def _ring(change: Callable[[Point], Point], ring: Ring) -> Ring:
    return tuple(change(p) for p in ring)


def _piece(change: Callable[[Point], Point], piece: Piece) -> Piece:
    return Piece(piece.id, piece.fabric, _ring(change, piece.polygon))


def _seam(change: Callable[[Point], Point], seam: Seam) -> Seam:
    return Seam(change(seam.start), change(seam.end), seam.kind, seam.section, seam.step, seam.added)


def _join(change: Callable[[Point], Point], edge: JoinEdge) -> JoinEdge:
    ends = change(edge.start), change(edge.end)
    return JoinEdge(edge.section, edge.join, *ends, _ring(change, edge.marks), _ring(change, edge.ends))
