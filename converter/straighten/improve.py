"""Makes a figure cheaper to sew without making it less true than it may be: moves, judged by the real cost of sewing.

The best move is made, and so on until none helps, alone or before another.
"""

import math
from collections.abc import Iterator, Sequence
from heapq import heappop, heappush

from converter.fidelity import iou
from converter.sewing.problem import Figure, cut_problem
from converter.sewing.search import PIECE, Search
from converter.straighten.crests import price_of_beaks
from converter.straighten.drawing import keeps_sense, line_drawing, shape_of
from converter.straighten.judging import Judge, Verdict, judged, price_of_distance, price_of_untruth
from converter.straighten.measured import Measured
from converter.straighten.moves import Moves, bevels, moves
from converter.straighten.polish import polished

DETOUR = 1.2  # pieces: a move may cost this much if the next one more than makes up for it
DETOURS = 3
LEAST_GAIN = 1e-3  # pieces
TRIED = 16  # of a round's moves, the most promising first, until one is better in full
# How far a climb may go: the sum of (edges of the figure)² over the moves that are compared.
FIRST_EFFORT = 10_000  # from each start: about as far as trying to do without each of its edges
LAST_EFFORT = 120_000  # from each of the best of these
FREE_GAIN = 0.5  # pieces: the effort that finds so much does not count, for there may be more to find
FINALISTS = 2
ESTIMATE_STATES = 12  # of the search, while moves are compared


def best_of(starts: Sequence[Verdict], judge: Judge) -> list[Verdict]:
    """The best figures that moves lead to from some ``starts``: all are moved a little, the best of them on.

    All of them are moved on where no figure keeps to the limits.
    """
    passed: set[Figure] = set()
    first = {verdict.figure: verdict for verdict in (improved(s, judge, FIRST_EFFORT, passed) for s in starts)}
    best: list[Verdict] = []
    for verdict in sorted(first.values(), key=_by_cost):
        # A figure that is as true as it can be leaves room for moves that would make a rough one too untrue.
        best.append(polished(improved(polished(verdict, judge), judge, LAST_EFFORT, set()), judge))
        if len(best) >= FINALISTS and not all(map(judge.breaks_a_limit, best)):
            break
    return sorted(best, key=_by_cost)


def _by_cost(verdict: Verdict) -> tuple[float, Figure]:
    return verdict.cost, verdict.figure


def improved(start: Verdict, judge: Judge, effort: int, passed: set[Figure]) -> Verdict:
    """The best figure that moves lead to from ``start``: one at a time, or two where none helps alone.

    Ends at a figure that was ``passed`` before, to which its own are added, or when the ``effort`` is gone; what
    gains as much as ``FREE_GAIN`` does not count.
    """
    best = start
    tried: set[Figure] = set()
    while effort > 0 and best.figure not in passed:
        passed.add(best.figure)
        better, spent = _better(best, judge, effort, tried)
        if better is None:
            break
        if better.cost > best.cost - FREE_GAIN:
            effort -= spent
        best = better
    return best


def _better(
    best: Verdict, judge: Judge, effort: int, tried: set[Figure]
) -> tuple[Verdict | None, int]:
    """A better figure one move away, or two: over one of the detours that were not ``tried``; and the effort."""
    left = effort
    for kind in (moves, bevels):  # a bevel costs a piece: it is for where nothing else helps
        better, detours, spent = _best_move(kind, best.figure, best.cost, judge, left, DETOUR)
        left -= spent
        for figure in detours:
            if better is not None or left <= 0:
                break
            if figure in tried:
                continue
            tried.add(figure)
            better, _, spent = _best_move(moves, figure, best.cost, judge, left, 0.0)
            left -= spent
        if better is not None or left <= 0:
            return better, effort - left
    return None, effort - left


def _best_move(
    kind: Moves, start: Figure, cost: float, judge: Judge, effort: int, detour: float
) -> tuple[Verdict | None, list[Figure], int]:
    """The best of the moves that the effort suffices for, if it costs less than ``cost``; the figures that cost at most
    ``detour`` more than that, the most promising first; and the effort that it took."""
    drawing = line_drawing(start, judge.symmetry)
    if drawing is None:
        return None, [], 0
    limit = cost + detour
    waiting: list[tuple[float, int, Figure, Iterator[float]]] = []
    spent = 0
    seen: set[Figure] = set()
    for moved in kind(drawing, judge.samples, judge.size, 0.97 * judge.most_hausdorff):
        figure = moved.drawing.figure() if moved else None
        if moved is None or figure is None or figure in seen or not keeps_sense(start, figure):
            continue
        seen.add(figure)
        spent += sum(len(row) for row in drawing.rings) ** 2
        if spent > effort:
            break
        bounds = _bounds(moved, figure, judge, (cost, limit))
        heappush(waiting, (next(bounds), len(seen), figure, bounds))
    tried: list[Figure] = []
    while waiting and waiting[0][0] < limit:
        bound, number, figure, bounds = heappop(waiting)
        higher = next(bounds, None)
        if higher is not None:
            heappush(waiting, (higher, number, figure, bounds))
        elif bound < cost - LEAST_GAIN and len(tried) < TRIED:
            tried.append(figure)
            verdict = judged(figure, judge)
            if verdict is not None and verdict.cost < cost - LEAST_GAIN and not verdict.lopsided:
                return verdict, [], spent
        elif len(tried) < DETOURS:
            tried.append(figure)
        else:
            break
    return None, tried[:DETOURS], spent


def _bounds(moved: Measured, figure: Figure, judge: Judge, limits: Sequence[float]) -> Iterator[float]:
    """What a figure costs at least, ever nearer to its cost but for narrow pieces and sharp corners.

    What is cheap to know comes first, and a short search for each of the ``limits``: it gets far only where it need
    not look beyond.
    """
    cost = judge.level * price_of_beaks(figure, judge.crests, judge.size)
    least = len({line for row in moved.drawing.rings for line in row}) + 1 + judge.prices.section / PIECE
    yield least + cost
    cost += price_of_distance(moved.farthest, judge)
    yield least + cost
    shape = shape_of(figure)
    if shape is None:
        yield math.inf
        return
    cost += price_of_untruth(iou(shape, judge.outline), judge)
    yield least + cost
    problem = cut_problem(figure)
    for limit in limits:
        search = Search(problem, judge.prices, ESTIMATE_STATES)
        estimate = search.cost_below(math.ceil((limit - cost) * PIECE)) / PIECE + cost
        yield estimate
        if estimate < limit:
            return
