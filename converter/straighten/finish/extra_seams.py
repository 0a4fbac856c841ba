"""Seams that no edge of the figure asks for, where one saves a section: along lines through two of its corners."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, islice

from converter.geometry import Line, line_through
from converter.model import Point, Polygons
from converter.sewing.plan import plan_block
from converter.sewing.problem import ON_LINE, cut_problem, distinct_lines, edges_of
from converter.sewing.search import Search
from converter.straighten.finish.verdict import Judge, Verdict, price_of_pieces
from converter.straighten.improve import ESTIMATE_STATES
from converter.verify import NotSewableError

MOST = 2  # extra seams in a block
MOST_TRIED = 400  # lines
LEAST_GAIN = (
    200  # thousandths of a piece: for a match point or two less a proof of the fewest pieces is not given up
)


def with_extra_seams(verdict: Verdict, judge: Judge) -> Verdict:
    """The same figure sewn with one or two more seams, if that costs less in all: a piece more for a section less."""
    extra: tuple[Line, ...] = ()
    for _ in range(MOST):
        if len(verdict.plan.sections) == 1:
            return verdict
        best = _best_line(verdict, judge, extra)
        if best is None:
            return verdict
        extra = (*extra, best)
        try:
            plan = plan_block(
                verdict.figure, judge.width, judge.height, judge.prices, judge.budget, extra, judge.min_piece_width
            )
        except NotSewableError:  # the line runs along an edge, with nothing between them
            return verdict
        narrow = judge.narrow(plan)
        change = price_of_pieces(plan, narrow, judge) - price_of_pieces(verdict.plan, verdict.narrow, judge)
        if change >= 0:
            return verdict
        verdict = replace(verdict, plan=plan, cost=verdict.cost + change, narrow=narrow)
    return verdict


def _best_line(verdict: Verdict, judge: Judge, extra: tuple[Line, ...]) -> Line | None:
    """The line with which the block costs least by a short search; None where none gains enough."""
    best, limit = None, verdict.plan.cost - LEAST_GAIN + 1
    for line in islice(_lines_through_corners(verdict.figure), MOST_TRIED):
        problem = cut_problem(verdict.figure, (*extra, line), (judge.width, judge.height))
        cost = Search(problem, judge.prices, ESTIMATE_STATES).cost_below(limit)
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
