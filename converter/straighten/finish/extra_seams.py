"""Seams that no edge of the figure asks for, where one saves a section: along lines through two of its corners."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, islice

import numpy as np

from converter.compiled import Floats, Integers, compiled, int64
from converter.geometry import Line, line_through
from converter.model import Point, Polygons
from converter.sewing.plan import plan_block
from converter.sewing.problem import cut_edges, distinct_lines, edges_of
from converter.sewing.spans import ON_LINE, find_spans
from converter.sewing.trees import PIECE, cost_below
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
    tried = list(islice(_lines_through_corners(verdict.figure), MOST_TRIED))
    if not tried:
        return None
    lines, edges, owners = cut_edges(verdict.figure, extra, (target.width, target.height))
    limit = verdict.plan.cost - LEAST_GAIN + 1
    prices = target.prices
    best = best_extra(np.array(tried), lines, edges, owners, limit, prices.section, prices.match)
    return None if best < 0 else tried[best]


@compiled
def best_extra(
    tried: Floats, lines: Floats, edges: Floats, owners: Integers, limit: int, section: int, match: int
) -> int:
    """Which line saves most beside the ``lines`` that the edges lie on; -1 where none costs less than the limit.

    ``lines``, ``edges`` and ``owners`` as for :func:`converter.sewing.spans.find_spans`.
    """
    best, count = -1, len(lines)
    extended = np.empty((count + 1, 3))
    for k in range(count):
        for c in range(3):
            extended[k, c] = lines[k, c]
    for n in range(len(tried)):
        for c in range(3):
            extended[count, c] = tried[n, c]
        cost, _ = cost_below(limit, find_spans(extended, edges, owners), section, match, int64(STATES))
        if cost < limit:
            best, limit = n, cost
    return best


def _lines_through_corners(figure: Polygons) -> Iterator[Line]:
    """Lines through two corners that no edge lies on, each once."""
    edges = edges_of(figure)
    lines, _ = distinct_lines(edges)
    corners: list[Point] = sorted({p for edge in edges for p in edge})
    x, y = np.array(corners).T
    # Which corners lie on each line, a row each.
    on = [np.abs(line.nx * x + line.ny * y - line.d) <= ON_LINE for line in lines]
    known = np.array(on).T[:, None] & np.array(on).T[None]
    joined = known.any(axis=2)
    for p, q in combinations(range(len(corners)), 2):
        if not joined[p, q]:
            line = line_through(corners[p], corners[q])
            here = np.nonzero(np.abs(line.nx * x + line.ny * y - line.d) <= ON_LINE)[0]
            joined[np.ix_(here, here)] = True
            yield line
