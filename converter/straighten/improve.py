"""Makes a figure cheaper to sew without making it less true than it may be: moves, judged by the real cost of sewing.

The best move is made, and so on until none helps.
"""

import math
from collections.abc import Iterator, Sequence
from heapq import heappop, heappush

from shapely.affinity import scale

from converter.fidelity import iou
from converter.sewing.problem import Figure, cut_problem
from converter.sewing.search import PIECE, Search
from converter.straighten.annealing import annealed
from converter.straighten.crests import price_of_beaks
from converter.straighten.drawing import keeps_sense, line_drawing, shape_of
from converter.straighten.figure import polygons_of, rings_of
from converter.straighten.judging import Judge, Verdict, judged, price_of_distance, price_of_untruth
from converter.straighten.measured import Measured
from converter.straighten.moves import Aim, Moves, bevels, moves, snaps
from converter.straighten.polish import polished
from converter.straighten.raster import Raster

LEAST_GAIN = 1e-3  # pieces
TRIED = 16  # of a round's moves, the most promising first, until one is better in full
# How far a climb may go: the sum of (edges of the figure)² over the moves that are compared.
FIRST_EFFORT = 10_000  # from each start: about as far as trying to do without each of its edges
LAST_EFFORT = 80_000  # from each of the best of these
FREE_GAIN = 0.5  # pieces: the effort that finds so much does not count, for there may be more to find
TOO_DEAR = 40.0  # pieces: a start so much dearer than the first is left out
FINALISTS = 2
ALIKE = 0.995  # IoU: figures that have so much in common differ by hairs
ANNEALINGS = 5  # of a figure in several sections, at most
FEW_SECTIONS = 2  # in so few it is annealed once only: further runs seldom help
HOPE = 1.0  # pieces: a figure no more than so much dearer than the best may yet be moved to a better one
ESTIMATE_STATES = 12  # of the search, while moves are compared
# Each where those before it do not help: a move on to a crossing saves no line, a bevel costs a piece.
KINDS: tuple[Moves, ...] = (moves, snaps, bevels)
# Times as wide. So far from the outline that moves lead back to it by other ways, to figures that those from a good
# start do not come to: mostly to ones in fewer sections.
STRETCH = 1.16


def best_of(starts: Sequence[Verdict], judge: Judge) -> list[Verdict]:
    """The best figures that moves lead to from some ``starts``, the most promising first; the cheapest comes first.

    All starts that are not far too dear are moved a little. But where the first leads to several sections, that figure
    is stretched and moved again in place of all but two of them (iterated local search: Lourenço, Martin and Stützle
    2003, from memory). The best of these that are unlike are moved on, and where that still leads to several, annealed.
    """
    starts = [start for start in starts if start.cost < starts[0].cost + TOO_DEAR]
    if not starts:
        return []
    passed: list[Verdict] = []
    first = improved(starts[0], judge, FIRST_EFFORT, passed)
    others = starts[1:]
    if _is_in_several(first, judge):
        stretched = judged(_stretched(first.figure), judge)
        others = [*starts[1:2], *([stretched] if stretched else [])]
    moved = [first, *(improved(start, judge, FIRST_EFFORT, passed) for start in others)]
    moved.sort(key=_by_cost)
    finalists = _unlike([verdict for verdict in moved if verdict.cost < moved[0].cost + HOPE], FINALISTS)
    # A figure that is as true as it can be leaves room for moves that would make a rough one too untrue.
    best = sorted((_moved_on(polished(verdict, judge), judge) for verdict in finalists), key=_by_cost)
    return _annealed(best, judge) if judge.symmetry.order == 1 and _is_in_several(best[0], judge) else best


def _is_in_several(verdict: Verdict, judge: Judge) -> bool:
    """Whether a figure that keeps the limits takes several sections."""
    return len(verdict.plan.sections) > 1 and judge.allows(verdict)


def _unlike(verdicts: Sequence[Verdict], most: int) -> list[Verdict]:
    """The first figures of which none is one before it again but for hairs: ways from several starts often meet."""
    found: list[Verdict] = []
    for verdict in verdicts:
        if len(found) < most and not any(_are_alike(verdict.figure, other.figure) for other in found):
            found.append(verdict)
    return found


def _are_alike(figure: Figure, other: Figure) -> bool:
    return iou(polygons_of(figure), polygons_of(other)) >= ALIKE


def _stretched(figure: Figure) -> Figure:
    """The figure wider, about its middle: its symmetry stays."""
    return rings_of(scale(polygons_of(figure), STRETCH, 1.0, origin="center"))


def _moved_on(verdict: Verdict, judge: Judge) -> Verdict:
    """The best figure that moves lead to from a polished one, polished."""
    moved = improved(verdict, judge, LAST_EFFORT, [])
    return verdict if moved is verdict else polished(moved, judge)


def _annealed(best: list[Verdict], judge: Judge) -> list[Verdict]:
    """The best figures and those that annealing led to, always on from the cheapest; the cheapest comes first."""
    raster = Raster(judge)
    for seed in range(ANNEALINGS):
        if seed and len(best[0].plan.sections) <= FEW_SECTIONS:
            break
        figure = annealed(best[0].figure, raster, judge, seed)
        found = judged(figure, judge) if figure else None
        if found is None:
            continue
        found = polished(found, judge)  # a raster is coarse: mostly the figure is a little too untrue
        if found.cost < best[0].cost + HOPE:
            best = sorted([*best, _moved_on(found, judge)], key=_by_cost)
    return best


def _by_cost(verdict: Verdict) -> tuple[float, Figure]:
    return verdict.cost, verdict.figure


def improved(start: Verdict, judge: Judge, effort: int, passed: list[Verdict]) -> Verdict:
    """The best figure that moves lead to from ``start``, one at a time.

    Ends where it meets a way that was ``passed`` before, to which its own is added, or when the ``effort`` is gone;
    what gains as much as ``FREE_GAIN`` does not count.
    """
    best = start
    own: list[Verdict] = []
    while effort > 0 and not _is_met(best, judge, passed):
        own.append(best)
        better, left = None, effort
        for kind in KINDS:
            better, spent = _best_move(kind, best, judge, left)
            left -= spent
            if better is not None or left <= 0:
                break
        if better is None:
            break
        if better.cost > best.cost - FREE_GAIN:
            effort = left
        best = better
    passed += own
    return best


def _is_met(verdict: Verdict, judge: Judge, passed: Sequence[Verdict]) -> bool:
    """Whether another way passed this figure but for hairs, and these hairs do not save much.

    Where limits are broken a hair may decide: there no two figures are the same.
    """
    return judge.allows(verdict) and any(
        other.cost < verdict.cost + HOPE and _are_alike(other.figure, verdict.figure) for other in passed
    )


def _best_move(kind: Moves, start: Verdict, judge: Judge, effort: int) -> tuple[Verdict | None, int]:
    """The best of the moves that the effort suffices for, if it is better than the start; and the effort it took."""
    drawing = line_drawing(start.figure, judge.symmetry)
    if drawing is None:
        return None, 0
    limit = start.cost - LEAST_GAIN
    waiting: list[tuple[float, int, Figure, Iterator[float]]] = []
    spent = 0
    seen: set[Figure] = set()
    aim = Aim(
        judge.samples, judge.size, 0.97 * judge.most_hausdorff, lambda fit, left: _least(fit, left, judge) < limit
    )
    for moved in kind(drawing, aim):
        figure = moved.drawing.figure() if moved else None
        if moved is None or figure is None or figure in seen or not keeps_sense(start.figure, figure):
            continue
        seen.add(figure)
        spent += sum(len(row) for row in drawing.rings) ** 2
        if spent > effort:
            break
        bounds = _bounds(moved, figure, judge, limit)
        heappush(waiting, (next(bounds), len(seen), figure, bounds))
    tried = 0
    while waiting and waiting[0][0] < limit and tried < TRIED:
        _, number, figure, bounds = heappop(waiting)
        higher = next(bounds, None)
        if higher is not None:
            heappush(waiting, (higher, number, figure, bounds))
            continue
        tried += 1
        verdict = judged(figure, judge, limit)
        if verdict is not None and not verdict.lopsided:
            return verdict, spent
    return None, spent


def _least(fit: Measured, left: float, judge: Judge) -> float:
    """About what a drawing costs at least, with so much left of the area between it and the outline."""
    # With as much outside as inside the outline (the fit is to its middle): (a - off / 2) / (a + off / 2).
    off = left * fit.area_off / (2 * judge.outline.area)
    return _cut_price(fit, judge) + price_of_untruth((1 - off) / (1 + off), judge)


def _cut_price(moved: Measured, judge: Judge) -> float:
    """What it costs at least to sew a drawing: a cut for each line, one section."""
    return len({line for row in moved.drawing.rings for line in row}) + 1 + judge.prices.section / PIECE


def _bounds(moved: Measured, figure: Figure, judge: Judge, limit: float) -> Iterator[float]:
    """What a figure costs at least, ever nearer to its cost but for narrow pieces and sharp corners.

    What is cheap to know comes first, a short search last: it looks no further where the ``limit`` is reached.
    """
    cost = judge.level * price_of_beaks(figure, judge.crests, judge.size)
    least = _cut_price(moved, judge)
    yield least + cost
    cost += price_of_distance(moved.farthest, judge)
    yield least + cost
    shape = shape_of(figure)
    if shape is None:
        yield math.inf
        return
    cost += price_of_untruth(iou(shape, judge.outline), judge)
    yield least + cost
    search = Search(cut_problem(figure), judge.prices, ESTIMATE_STATES)
    yield search.cost_below(math.ceil((limit - cost) * PIECE)) / PIECE + cost
