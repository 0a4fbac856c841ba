"""Makes a figure cheaper to sew without making it less true than it may be: moves, judged by the real cost of sewing.

The best move is made, and so on until none helps, alone or before another.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush

from shapely.geometry import MultiPolygon

from converter.fidelity import hausdorff, iou
from converter.geometry import convex_width, corner_degrees
from converter.sewing.plan import Plan, plan_block
from converter.sewing.problem import Figure, cut_problem
from converter.sewing.search import PIECE, Prices, Search
from converter.straighten.crests import Crest, price_of_beaks
from converter.straighten.drawing import keeps_sense, line_drawing, shape_of
from converter.straighten.measured import Measured, Samples
from converter.straighten.moves import Moves, bevels, moves
from converter.straighten.symmetry import Symmetry, is_symmetric

DETOUR = 1.2  # pieces: a move may cost this much if the next one more than makes up for it
DETOURS = 3
LEAST_GAIN = 1e-3  # pieces
TRIED = 16  # of a round's moves, the most promising first, until one is better in full
FIRST_EFFORT = 40_000  # for each start: the sum of (edges of the figure)² over the moves that are compared
MOVE_EFFORT = 80_000  # for each of the best, after that
RESCUE_EFFORT = 150_000  # for the best of these, where all of them still break a limit
FINALISTS = 2
# A state of the search costs as the square of the edges: up to 20 edges get the whole budget.
SEARCH_EFFORT = 400
LEAST_STATES = 40
ESTIMATE_STATES = 12  # of the search, while moves are compared

# What breaks a limit costs so much (in pieces) that it is done only where nothing else is left.
NARROW = 8.0  # a piece too narrow
SHARP = 3.0  # a piece with a corner too sharp
LOPSIDED = 3.0  # a figure without a symmetry that the font has
TOPOLOGY = 50.0  # a part or a counter lost or made
UNTRUE, UNTRUER = 10.0, 300.0  # too little in common with the outline, and for a whole IoU less
FAR, FARTHER = 8.0, 400.0  # too far from the outline at all, and for each size that it is farther


@dataclass(frozen=True, slots=True)
class Judge:
    """What a figure is measured by; all prices in pieces. Lengths in mm."""

    outline: MultiPolygon
    width: float
    height: float
    size: float
    prices: Prices
    min_piece_width: float
    truth: float  # price of a whole IoU
    level: float  # times the price of a beak
    least_iou: float
    most_hausdorff: float  # mm
    sharpest: float  # degrees
    crests: tuple[Crest, ...]
    samples: Samples
    symmetry: Symmetry
    budget: int = 400

    def narrow(self, plan: Plan) -> int:
        """How many of the plan's pieces are narrower than they may be."""
        return sum(convex_width(p.polygon) < self.min_piece_width - 1e-6 for p in plan.pieces)

    def breaks_a_limit(self, verdict: "Verdict") -> bool:
        """Whether a figure has too narrow a piece, shares too little with the outline, or is too far from it."""
        return (
            verdict.narrow > 0 or verdict.iou < self.least_iou or verdict.hausdorff > self.most_hausdorff
        )


@dataclass(frozen=True, slots=True)
class Verdict:
    """A figure with its plan and what it costs."""

    figure: Figure
    plan: Plan
    iou: float
    hausdorff: float
    narrow: int
    lopsided: bool  # without a symmetry that the font has
    cost: float


def judged(figure: Figure, judge: Judge) -> Verdict | None:
    """The figure with its full cost; None where it is no valid figure."""
    shape = shape_of(figure)
    if shape is None:
        return None
    edges = sum(len(ring) for polygon in figure for ring in polygon)
    budget = max(LEAST_STATES, min(judge.budget, SEARCH_EFFORT * judge.budget // edges**2))
    plan = plan_block(
        figure, judge.width, judge.height, judge.prices, budget, least_width=judge.min_piece_width
    )
    truth = iou(shape, judge.outline)
    off = hausdorff(shape, judge.outline)
    narrow = judge.narrow(plan)
    lopsided = not is_symmetric(shape, judge.symmetry)
    cost = price_of_pieces(plan, narrow, judge) + price_of_untruth(truth, judge)
    cost += judge.level * price_of_beaks(figure, judge.crests, judge.size)
    cost += LOPSIDED * lopsided
    cost += TOPOLOGY * (_topology(shape) != _topology(judge.outline))
    cost += price_of_distance(off, judge)
    return Verdict(figure, plan, truth, off, narrow, lopsided, cost)


def price_of_pieces(plan: Plan, narrow: int, judge: Judge) -> float:
    """What the plan costs to sew, with its ``narrow`` pieces that are too narrow, and those that are too sharp."""
    sharp = sum(min(corner_degrees(p.polygon)) < judge.sharpest for p in plan.pieces)
    return plan.cost / PIECE + NARROW * narrow + SHARP * sharp


def price_of_distance(off: float, judge: Judge) -> float:
    """What it costs (pieces) that the figure is ``off`` (mm) from the outline; nothing up to the limit."""
    over = off - judge.most_hausdorff
    return FAR + FARTHER * over / judge.size if over > 0 else 0.0


def _topology(shape: MultiPolygon) -> tuple[int, ...]:
    """Counters of each separate part."""
    return tuple(sorted(len(polygon.interiors) for polygon in shape.geoms))


def price_of_untruth(truth: float, judge: Judge) -> float:
    """What an IoU of ``truth`` costs (pieces), more for what is below the limit."""
    under = judge.least_iou - truth
    return judge.truth * (1 - truth) + (UNTRUE + UNTRUER * under if under > 0 else 0.0)


def best_of(starts: Sequence[Verdict], judge: Judge) -> list[Verdict]:
    """The best figures that moves lead to from some ``starts``: all are moved a little, the best of them on.

    And the very best farther still, where no figure keeps to the limits.
    """
    passed: set[Figure] = set()
    first = [improved(start, judge, FIRST_EFFORT, passed) for start in starts]
    first = list({verdict.figure: (verdict, ended) for verdict, ended in first}.values())
    first.sort(key=lambda climbed: climbed[0].cost)
    last = [
        (verdict, ended) if ended else improved(verdict, judge, MOVE_EFFORT, set())
        for verdict, ended in first[:FINALISTS]
    ]
    last.sort(key=lambda climbed: climbed[0].cost)
    best = [verdict for verdict, _ in last]
    if last and not last[0][1] and all(map(judge.breaks_a_limit, best)):
        best[0], _ = improved(best[0], judge, RESCUE_EFFORT, set())
    return best


def improved(start: Verdict, judge: Judge, effort: int, passed: set[Figure]) -> tuple[Verdict, bool]:
    """The best figure that moves lead to from ``start``: one at a time, or two where none helps alone.

    And whether they lead no further; else the effort was used up. Ends at a figure that was ``passed`` before, to
    which its own are added.
    """
    best = start
    tried: set[Figure] = set()
    while effort > 0:
        if best.figure in passed:
            return best, True
        passed.add(best.figure)
        better, spent = _better(best, judge, effort, tried)
        effort -= spent
        if better is None:
            return best, effort > 0
        best = better
    return best, False


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
