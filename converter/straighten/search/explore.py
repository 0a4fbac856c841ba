"""One step of the search: what the moves of a drawing lead to, the most promising first.

All moves are estimated coarsely, the better ones again after a fit, and so on (successive halving: Karnin, Koren and
Somekh, "Almost optimal exploration in multi-armed bandits", ICML 2013); only what may be better than the limit is gone
on with.
"""

import numpy as np

from converter.compiled import Floats, Integers, compiled, inner
from converter.sewing.trees import PIECE
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import Drawing, compact, lines_used
from converter.straighten.cost.evaluate import estimate, evaluated, excess_of, is_less
from converter.straighten.cost.nearest import RUN_SHARE, Beside, beside, beside_again, eased, refitted
from converter.straighten.search.candidate import Candidate, rank
from converter.straighten.search.moves import EASE, SNAP, find_moves, made

LEAST_GAIN = 1e-3  # pieces
TRIED = 100  # of a drawing's moves, the most promising first, that are looked at in full
EVALUATION = 20_000  # what it takes to search for seams and measure pieces, in units of work
WHOLE_RUN = 0.9  # with this share of its samples on it a line stays put even where the figure is too far off
HOPELESS = 0.2  # of size: with a corner farther from the outline than this no move is worth fitting
# Of the area between figure and outline: so much at least is taken to be left by the fits that follow, before the first
# and after each.
LEFT = (0.7, 0.8, 0.9, 0.95)
TOO_FAR = (
    2.5,
    2.0,
    1.8,
)  # of the limit: farther from the outline than this after each fit a move is given up


@inner
def may_pay(drawing: Drawing, fit: Beside, left: float, violation: float, price: float, aim: Aim) -> bool:
    """Whether a drawing may be better than a limit, with so much ``left`` of the area between it and the outline."""
    # With as much outside as inside the outline (the fit is to its middle): (a - off / 2) / (a + off / 2).
    off = left * fit.area_off / (2 * aim.area)
    overlap = (1 - off) / (1 + off)
    least = lines_used(drawing) + 1 + aim.section / PIECE + aim.truth * (1 - overlap)
    return is_less(excess_of(overlap, 0.0, aim), least, violation, price)


@inner
def _farthest(values: Floats) -> float:
    farthest = 0.0
    for k in range(len(values)):
        farthest = max(farthest, values[k])
    return farthest


@compiled
def settled(
    drawing: Drawing, before: float, violation: float, price: float, aim: Aim
) -> tuple[Drawing, Beside, bool, int]:
    """A drawing fitted anew and brought back to the outline; False where it is given up on the way; and the work.

    ``before`` (mm): as far from the outline it was before its move.
    """
    fit = beside(drawing, aim)
    work = 1
    far = max(aim.farthest, before)
    if (
        not fit.fine
        or _farthest(fit.corner_off) > HOPELESS * aim.size + before
        or not may_pay(drawing, fit, LEFT[0], violation, price, aim)
    ):
        return drawing, fit, False, work
    for n in range(3):
        there = refitted(drawing, fit, aim)
        again = beside(there, aim)
        work += 1
        if again.fine:
            drawing, fit = there, again
        if fit.farthest > TOO_FAR[n] * far or not may_pay(drawing, fit, LEFT[n + 1], violation, price, aim):
            return drawing, fit, False, work
    if fit.farthest > aim.farthest:
        closer, nearer = eased(drawing, fit, aim, RUN_SHARE)
        work += 4
        if nearer.farthest < fit.farthest:
            drawing, fit = closer, nearer
    return drawing, fit, True, work


@compiled
def carried_out(
    move: Integers, drawing: Drawing, fit: Beside, violation: float, price: float, aim: Aim
) -> tuple[Drawing, Beside, bool, int]:
    """The drawing with a move made and settled, as :func:`settled`."""
    if move[0] == EASE:
        moved, there = eased(drawing, fit, aim, WHOLE_RUN if move[1] else RUN_SHARE)
        return moved, there, there.fine, 4
    moved, fine = made(move, drawing, fit, aim)
    if not fine:
        return moved, fit, False, 0
    if move[0] == SNAP:
        there = beside_again(fit, moved, aim)
        return moved, there, there.fine, 1
    return settled(moved, fit.farthest, violation, price, aim)


@compiled
def outcomes(
    moves: Integers, drawing: Drawing, fit: Beside, violation: float, price: float, aim: Aim, most: int
) -> tuple[Floats, int]:
    """The least that each of the moves leads to, shape (moves, 2): violation, price; infinite where to nothing better.

    Also the work that it took, in samples beside an edge; after ``most`` no further move is looked at.
    """
    unit = len(drawing.edges) * len(aim.points)
    work = 0
    least = np.empty((len(moves), 2))
    for m in range(len(moves)):
        least[m, 0] = least[m, 1] = np.inf
        if work > most:
            continue
        moved, there, fine, steps = carried_out(moves[m], drawing, fit, violation, price, aim)
        work += steps * unit
        if not fine:
            continue
        cost = estimate(moved, there.farthest, there.unlike, aim, violation, price)
        work += unit
        if is_less(cost.violation, cost.price, violation, price):
            least[m, 0], least[m, 1] = cost.violation, cost.price
    return least, work


def explored(one: Candidate, aim: Aim, stage: int, most: int, states: int) -> tuple[Candidate | None, int]:
    """The best candidate that one move leads to, if it is better; and the work that it took.

    ``stage``: 0 for the moves that save lines, 1 for those on to a crossing, 2 for bevels. ``most``: the work after
    which no further move is looked at; ``states``: of the search for seams.
    """
    fit = beside(one.drawing, aim)
    violation, price = one.cost.violation, one.cost.price - LEAST_GAIN
    moves = find_moves(one.drawing, fit, aim, stage)
    least, work = outcomes(moves, one.drawing, fit, violation, price, aim, most)
    # Costs are rounded for the order, so that equals are in the order of the moves on any machine.
    ranked = sorted((rank(*row), m) for m, row in enumerate(np.round(least, 9).tolist()) if row[1] < np.inf)
    best, before, tried = None, None, 0
    limit = rank(violation, price)
    for promise, m in ranked:
        if promise >= limit or tried == TRIED:
            break
        if promise == before:
            continue
        before, tried = promise, tried + 1
        moved, there, _, _ = carried_out(moves[m], one.drawing, fit, violation, price, aim)
        cost = evaluated(moved, there.farthest, there.unlike, aim, states, *limit)
        found = Candidate(compact(moved), one.holes, cost)
        work += EVALUATION
        if found.rank < limit:
            best, limit = found, found.rank
    return best, work
