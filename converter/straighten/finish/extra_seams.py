"""Seams that no edge of the figure asks for, where one saves a section: along lines through two of its corners."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, islice

from converter.geometry import Line, line_through
from converter.model import Point, Polygons
from converter.sewing.plan import plan_block
from converter.sewing.problem import cut_problem, distinct_lines, edges_of
from converter.sewing.search import Search
from converter.sewing.spans import ON_LINE
from converter.sewing.trees import PIECE
from converter.straighten.cost.evaluate import KEPT
from converter.straighten.finish.verdict import Target, Verdict, pieces_violation
from converter.verify import NotSewableError

MOST = 2  # extra seams in a block
MOST_TRIED = 400  # lines
# Thousandths of a piece: for a match point or two less a proof of the fewest pieces is not given up.
LEAST_GAIN = 200
STATES = 12  # of the search, while lines are compared


def with_extra_seams(verdict: Verdict, target: Target) -> Verdict:
    """The same figure sewn with one or two more seams, if that costs less in all: a piece more for a section less."""
    extra: tuple[Line, ...] = ()
    for _ in range(MOST):
        may_gain = len(verdict.plan.sections) > 1 and verdict.violation <= KEPT
        best = _best_line(verdict, target, extra) if may_gain else None
        if best is None:
            return verdict
        extra = (*extra, best)
        try:
            plan = plan_block(
                verdict.figure, target.width, target.height, target.prices, target.budget, extra,
                target.min_piece_width,
            )  # fmt: skip
        except NotSewableError:  # the line runs along an edge, with nothing between them
            return verdict
        broken = pieces_violation(plan, target) - pieces_violation(verdict.plan, target)
        price = verdict.price + (plan.cost - verdict.plan.cost) / PIECE
        if broken > 1e-9 or price >= verdict.price:
            return verdict
        verdict = replace(verdict, plan=plan, price=price, violation=verdict.violation + broken)
    return verdict


def _best_line(verdict: Verdict, target: Target, extra: tuple[Line, ...]) -> Line | None:
    """The line with which the block costs least by a short search; None where none gains enough."""
    best, limit = None, verdict.plan.cost - LEAST_GAIN + 1
    for line in islice(_lines_through_corners(verdict.figure), MOST_TRIED):
        problem = cut_problem(verdict.figure, (*extra, line), (target.width, target.height))
        cost = Search(problem, target.prices, STATES).cost_below(limit)
        if cost < limit:
            best, limit = line, cost
    return best


def _lines_through_corners(figure: Polygons) -> Iterator[Line]:
    """Lines through two corners that no edge lies on, each once."""
    edges = edges_of(figure)
    lines, _ = distinct_lines(edges)
    corners: list[Point] = sorted({p for edge in edges for p in edge})
    for p, q in combinations(corners, 2):
        if all(abs(line.side(p)) > ON_LINE or abs(line.side(q)) > ON_LINE for line in lines):
            lines.append(line_through(p, q))
            yield lines[-1]
