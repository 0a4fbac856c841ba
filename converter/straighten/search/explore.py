"""One step of the search: what the moves of a drawing lead to, the most promising first.

All moves are estimated coarsely, the better ones again after a fit, and so on (successive halving: Karnin, Koren and
Somekh, "Almost optimal exploration in multi-armed bandits", ICML 2013); only what may be better than the limit is gone
on with.
"""

import numpy as np

from converter.compiled import Floats, Integers, compiled
from converter.sewing.trees import PIECE
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import Drawing, compact, lines_used
from converter.straighten.cost.evaluate import Cost, estimate, evaluated, excess_of, is_less
from converter.straighten.cost.nearest import RUN_SHARE, Beside, beside, eased, refitted
from converter.straighten.search.moves import BEVEL, EASE, SNAP, find_moves, made

LEAST_GAIN = 1e-3  # pieces
TRIED = 16  # of a drawing's moves, the most promising first, that are looked at in full
EVALUATION = 20_000  # what it takes to search for seams and measure pieces, in units of work
WHOLE_RUN = 0.9  # with this share of its samples on it a line stays put even where the figure is too far off
HOPELESS = 0.2  # of size: with a corner farther from the outline than this no move is worth fitting
# Of the area between figure and outline: so much at least is taken to be left by the fits that follow, before the first
# and after each.
LEFT = (0.7, 0.8, 0.9, 0.95)
TOO_FAR = (2.5, 2.0, 1.8)  # of the limit: farther from the outline than this after each fit a move is given up


@compiled
def may_pay(drawing: Drawing, fit: Beside, left: float, violation: float, price: float, aim: Aim) -> bool:
    """Whether a drawing may be better than a limit, with so much ``left`` of the area between it and the outline."""
    # With as much outside as inside the outline (the fit is to its middle): (a - off / 2) / (a + off / 2).
    off = left * fit.area_off / (2 * aim.area)
    overlap = (1 - off) / (1 + off)
    least = lines_used(drawing) + 1 + aim.section / PIECE + aim.truth * (1 - overlap)
    return is_less(excess_of(overlap, 0.0, aim), least, violation, price)


@compiled
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
def _carried_out(
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
        there = beside(moved, aim)
        return moved, there, there.fine, 1
    return settled(moved, fit.farthest, violation, price, aim)


@compiled
def explored(
    drawing: Drawing, violation: float, price: float, aim: Aim, stage: int, most: int, budget: int
) -> tuple[Drawing, Cost, bool, int]:
    """The best drawing that one move leads to, its cost, whether it is better than the limits, and the work it took.

    ``stage``: 0 for the moves that save lines, 1 for moves on to a crossing, too, 2 for bevels, too. ``most``: the work
    after which no further move is looked at; the unit is a sample beside an edge. ``budget``: of the search for seams.
    """
    fit = beside(drawing, aim)
    unit = len(drawing.edges) * len(aim.points)
    work = unit
    best_drawing, best = drawing, Cost(violation, price - LEAST_GAIN, 0, 0, 0.0, 0.0)
    better = False
    if not fit.fine:
        return drawing, best, False, work
    moves = find_moves(drawing, fit, aim, stage == 1, stage == 2)
    violations, prices = np.empty(len(moves)), np.empty(len(moves))
    for m in range(len(moves)):
        violations[m] = prices[m] = np.inf
    for m in range(len(moves)):
        if work > most:
            break
        if stage > 0 and moves[m, 0] != (SNAP if stage == 1 else BEVEL):
            continue
        moved, there, fine, steps = _carried_out(moves[m], drawing, fit, violation, best.price, aim)
        work += steps * unit
        if not fine:
            continue
        least = estimate(moved, aim)
        work += unit
        if least.price == np.inf:
            continue
        violations[m] = least.violation + max(there.farthest / aim.farthest - 1, 0.0) - max(
            least.distance / aim.farthest - 1, 0.0
        )
        prices[m] = least.price
    tried = 0
    before_violation, before_price = -1.0, -1.0
    while tried < TRIED:
        pick = -1
        for m in range(len(moves)):
            if prices[m] < np.inf and (
                pick < 0 or is_less(violations[m], prices[m], violations[pick], prices[pick])
            ):
                pick = m
        if pick < 0 or not is_less(violations[pick], prices[pick], best.violation, best.price):
            break
        same = violations[pick] == before_violation and prices[pick] == before_price
        before_violation, before_price = violations[pick], prices[pick]
        prices[pick] = np.inf
        if same:
            continue
        tried += 1
        moved, there, fine, steps = _carried_out(moves[pick], drawing, fit, violation, price - LEAST_GAIN, aim)
        least = estimate(moved, aim)
        cost = evaluated(moved, aim, least, there.farthest, budget)
        work += EVALUATION
        if is_less(cost.violation, cost.price, best.violation, best.price):
            best_drawing, best, better = moved, cost, True
    return compact(best_drawing), best, better, work
