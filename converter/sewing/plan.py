"""From the best tree of cuts to pieces, sections in sewing order, and joins."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from converter.geometry import Line, centroid, signed_area, split_convex
from converter.model import BACKGROUND, FIGURE, Join, Piece, Point, Polygons, Ring, Section, section_name
from converter.sewing.bound import lower_bound
from converter.sewing.problem import CutProblem, cut_problem
from converter.sewing.search import Cut, Prices, Search
from converter.sewing.spans import ON_LINE
from converter.verify import NotSewableError


@dataclass(frozen=True, slots=True)
class Plan:
    """How one block is sewn, and what is known about it."""

    pieces: tuple[Piece, ...]
    sections: tuple[Section, ...]
    joins: tuple[Join, ...]
    match_points: int
    distinct_lines: int
    lower_bound: int
    states: int
    complete: bool  # the search was not cut short by its budget
    cost: int  # thousandths of a piece, by the search's prices

    @property
    def proved_minimal(self) -> bool:
        """No other way of cutting this figure by straight seams has fewer pieces."""
        return len(self.pieces) <= self.lower_bound


def block_ring(width: float, height: float) -> Ring:
    """The block's edge as a ring, from the top left corner."""
    return ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))


def plan_block(
    figure: Polygons,
    width: float,
    height: float,
    prices: Prices,
    budget: int,
    extra_lines: Sequence[Line] = (),
    least_width: float = 0.0,
    fabric_of: Callable[[Ring], str] | None = None,
) -> Plan:
    """The cheapest way of sewing the figure into a block of that size (mm).

    Of the orders that a section may be sewn in, one without pieces narrower than ``least_width`` (mm) is taken, or
    the one whose narrowest piece is widest.

    ``fabric_of``: the fabric of a piece by its ring, where the figure is of several; else it is all of one.

    The figure must have no crossing edges; what of it lies outside the block is left out. ``budget`` bounds
    the states of the search. Raises :class:`NotSewableError` where two edges that are not one line are nearer than a
    hair.
    """
    problem = cut_problem(figure, extra_lines, (width, height))
    result = Search(problem, prices, budget).run(width, height, least_width)
    tree, block = result.tree, block_ring(width, height)
    lines = [line.line for line in problem.lines]
    builder = Builder(
        lines,
        fabric_of or (lambda ring: FIGURE if inside(figure, centroid(ring)) else BACKGROUND),
        ON_LINE,
    )
    builder.assemble(tree, block)
    return Plan(
        pieces=tuple(builder.pieces),
        sections=tuple(builder.sections),
        joins=tuple(builder.joins),
        match_points=_match_points(problem, tree, problem.all_spans),
        distinct_lines=sum(1 for line in problem.lines if line.on),
        lower_bound=lower_bound(problem),
        states=result.states,
        complete=result.complete,
        cost=result.cost,
    )


def inside(figure: Polygons, point: Point) -> bool:
    """Whether a point lies in the figure (even-odd over all its rings)."""
    x, y = point
    odd = False
    for polygon in figure:
        for ring in polygon:
            for k, (x1, y1) in enumerate(ring):
                x0, y0 = ring[k - 1]
                if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
                    odd = not odd
    return odd


def _match_points(problem: CutProblem, tree: Cut | None, part: int) -> int:
    if tree is None or tree.one_section:
        return 0
    line = problem.lines[tree.line]
    here = sum(1 for p, m in line.crossings if part & p and part & m)
    return (
        here
        + _match_points(problem, tree.plus, part & line.plus)
        + _match_points(problem, tree.minus, part & line.minus)
    )


class Builder:
    """Names the pieces, sections and joins of a tree of cuts.

    ``lines``: what the tree's cuts follow. ``fabric_of``: the fabric of a piece by its ring. ``on_line`` (mm): a
    corner that is nearer to a line than this lies on it.
    """

    def __init__(self, lines: Sequence[Line], fabric_of: Callable[[Ring], str], on_line: float) -> None:
        self._lines = lines
        self._fabric_of = fabric_of
        self._on_line = on_line
        self.pieces: list[Piece] = []
        self.sections: list[Section] = []
        self.joins: list[Join] = []

    def assemble(self, tree: Cut | None, region: Ring) -> str:
        """Adds the sections and joins that make the region; returns what the last join makes."""
        if tree is None or tree.one_section:
            return self._section(tree, region)
        plus, minus = self._cut(region, tree.line)
        sides = [(tree.plus, plus), (tree.minus, minus)]
        # The side with more sections first, then the upper left one: a maker builds on what is largest.
        sides.sort(key=lambda side: (-_section_count(side[0]), _place(side[1])))
        first, second = (self.assemble(*side) for side in sides)
        makes = f"{first}+{second}"
        self.joins.append(Join(len(self.joins) + 1, (first, second), makes))
        return makes

    def _section(self, tree: Cut | None, region: Ring) -> str:
        rings: list[Ring] = []
        while tree is not None:
            plus, minus = self._cut(region, tree.line)
            if tree.plus is None:
                rings.append(plus)
                tree, region = tree.minus, minus
            else:
                rings.append(minus)
                tree, region = tree.plus, plus
        rings.append(region)
        rings.reverse()
        if len(rings) > 1 and self._is_figure(rings[1]) and not self._is_figure(rings[0]):
            rings[:2] = rings[1::-1]  # the first seam joins two pieces; begin with the figure's
        name = section_name(len(self.sections))
        ids = tuple(f"{name}{number}" for number in range(1, len(rings) + 1))
        self.pieces += [
            Piece(piece_id, self._fabric_of(ring), _from_top_left(ring))
            for piece_id, ring in zip(ids, rings, strict=True)
        ]
        self.sections.append(Section(name, ids))
        return name

    def _cut(self, region: Ring, line: int) -> tuple[Ring, Ring]:
        """Both sides of the region; raises :class:`NotSewableError` where one is nothing but rounding."""
        plus, minus = split_convex(region, self._lines[line], self._on_line)
        if not plus or not minus:
            x, y = centroid(region)
            raise NotSewableError(
                f"two seams near ({x:.1f}, {y:.1f}) mm run side by side, with no cloth between them", (x, y)
            )
        return plus, minus

    def _is_figure(self, ring: Ring) -> bool:
        return self._fabric_of(ring) != BACKGROUND


def _place(ring: Ring) -> tuple[float, float]:
    """Where a ring is, from the top, then from the left; what is level but for rounding is level."""
    x, y = centroid(ring)
    return round(y, 2), round(x, 2)


def _section_count(tree: Cut | None) -> int:
    if tree is None or tree.one_section:
        return 1
    return _section_count(tree.plus) + _section_count(tree.minus)


def _from_top_left(ring: Ring) -> Ring:
    """The same ring, clockwise as seen, from its topmost (then leftmost) corner."""
    points = ring if signed_area(ring) > 0 else ring[::-1]
    start = min(range(len(points)), key=lambda k: (points[k][1], points[k][0]))
    return points[start:] + points[:start]
