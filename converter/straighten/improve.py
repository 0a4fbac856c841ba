"""Moves that make a figure cheaper to sew without making it less true than it may be.

Drop an edge; carry one line over to another; move a line on to a crossing that it just misses. Each is made on
all symmetric images at once, and judged by the real cost of sewing. The best move is made, and so on until
none helps.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry import MultiPolygon

from converter.fidelity import hausdorff, iou
from converter.geometry import Line, convex_width, corner_degrees, line_through, meet
from converter.sewing.plan import Plan, plan_block
from converter.sewing.problem import Figure, cut_problem
from converter.sewing.search import PIECE, Prices, Search
from converter.straighten.crests import Crest, beaks
from converter.straighten.drawing import LineDrawing, edge_ends, keeps_sense, line_drawing, shape_of
from converter.straighten.refit import Samples, eased, farthest, refitted
from converter.straighten.symmetry import Symmetry, is_symmetric

MERGE_REACH = 0.075  # of size: a line may be carried over to one this near at all ends of its edges
MERGE_DEGREES = 12.0
SNAP_REACH = 0.05  # of size: a line may be moved on to a crossing this near
REFITS = 2
DETOUR = 1.2  # pieces: a move may cost this much if the next one more than makes up for it
DETOURS = 3
TRIED = 16  # of a round's moves, the most promising first, until one is better in full
MOVE_EFFORT = 300_000  # for one start: the sum of (edges of the figure)² over the moves that are compared
SEARCH_EFFORT = (
    400  # a state of the search costs as the square of the edges: up to 20 edges get the whole budget
)
LEAST_STATES = 40
ESTIMATE_STATES = 20  # of the search, while moves are compared

# What breaks a limit costs so much (in pieces) that it is done only where nothing else is left.
NARROW = 4.0  # a piece too narrow
SHARP = 1.5  # a piece with a corner too sharp
LOPSIDED = 3.0  # a figure without a symmetry that the font has
BEAK = 2.0  # a bowl with a corner where it ought to be level
TOPOLOGY = 50.0  # a part or a counter lost or made
UNTRUE, UNTRUER = 5.0, 300.0  # too little in common with the outline, and for a whole IoU less
FAR, FARTHER = 3.0, 400.0  # too far from the outline at all, and for each size that it is farther


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
    cost = price_of_pieces(plan, narrow, judge) + _price_of_untruth(truth, judge)
    cost += BEAK * beaks(figure, judge.crests, judge.size)
    cost += LOPSIDED * lopsided
    cost += TOPOLOGY * (_topology(shape) != _topology(judge.outline))
    cost += _price_of_distance(off, judge)
    return Verdict(figure, plan, truth, off, narrow, lopsided, cost)


def price_of_pieces(plan: Plan, narrow: int, judge: Judge) -> float:
    """What the plan costs to sew, with its ``narrow`` pieces that are too narrow, and those that are too sharp."""
    sharp = sum(min(corner_degrees(p.polygon)) < judge.sharpest for p in plan.pieces)
    return plan.cost / PIECE + NARROW * narrow + SHARP * sharp


def _price_of_distance(off: float, judge: Judge) -> float:
    over = off - judge.most_hausdorff
    return FAR + FARTHER * over / judge.size if over > 0 else 0.0


def _topology(shape: MultiPolygon) -> tuple[int, ...]:
    """Counters of each separate part."""
    return tuple(sorted(len(polygon.interiors) for polygon in shape.geoms))


def _price_of_untruth(truth: float, judge: Judge) -> float:
    under = judge.least_iou - truth
    return judge.truth * (1 - truth) + (UNTRUE + UNTRUER * under if under > 0 else 0.0)


def improved(start: Verdict, judge: Judge) -> Verdict:
    """The best figure that moves lead to from ``start``: one at a time, or two where none helps alone."""
    best = start
    effort = MOVE_EFFORT
    tried: set[Figure] = set()
    while effort > 0:
        better, detours, spent = _best_move(best.figure, best.cost, judge, effort, DETOUR)
        effort -= spent
        for figure in detours[:DETOURS]:
            if better is not None or effort <= 0:
                break
            if figure in tried:
                continue
            tried.add(figure)
            better, _, spent = _best_move(figure, best.cost, judge, effort, 0.0)
            effort -= spent
        if better is None:
            return best
        best = better
    return best


def _best_move(
    start: Figure, cost: float, judge: Judge, effort: int, detour: float
) -> tuple[Verdict | None, list[Figure], int]:
    """The best of the moves that the effort suffices for, if it costs less than ``cost``; the figures that cost at most
    ``detour`` more than that, the most promising first; and the effort that it took."""
    drawing = line_drawing(start, judge.symmetry)
    if drawing is None:
        return None, [], 0
    spent = 0
    options: list[tuple[float, int, Figure]] = []
    dear: list[tuple[int, LineDrawing, Figure]] = []
    seen: set[Figure] = set()
    for number, moved in enumerate(_moves(drawing, judge)):
        figure = moved.figure() if moved else None
        if moved is None or figure is None or figure in seen or not keeps_sense(start, figure):
            continue
        seen.add(figure)
        spent += sum(len(row) for row in drawing.rings) ** 2
        if spent > effort:
            break
        estimate = _estimate(moved, figure, judge, cost)
        if estimate < cost - 1e-3:
            options.append((estimate, number, figure))
        else:
            dear.append((number, moved, figure))
    for _, _, figure in sorted(options)[:TRIED]:
        verdict = judged(figure, judge)
        if verdict is not None and verdict.cost < cost - 1e-3 and not verdict.lopsided:
            return verdict, [], spent
    if not detour:
        return None, [], spent
    options += [
        (_estimate(moved, figure, judge, cost + detour), number, figure) for number, moved, figure in dear
    ]
    return None, [figure for estimate, _, figure in sorted(options) if estimate < cost + detour], spent


def _estimate(drawing: LineDrawing, figure: Figure, judge: Judge, limit: float) -> float:
    """Cost but for narrow pieces and sharp corners; infinite as soon as it cannot be below the limit.

    What is cheap to know comes first.
    """
    cost = BEAK * beaks(figure, judge.crests, judge.size)
    least = len({line for row in drawing.rings for line in row}) + 1 + judge.prices.section / PIECE
    if least + cost >= limit:
        return math.inf
    shape = shape_of(figure)
    if shape is None:
        return math.inf
    cost += _price_of_untruth(iou(shape, judge.outline), judge)
    if least + cost >= limit:
        return math.inf
    cost += _price_of_distance(farthest(drawing, judge.samples), judge)
    search = Search(cut_problem(figure), judge.prices, ESTIMATE_STATES)
    if search.lower_bound() / PIECE + cost >= limit:
        return math.inf
    return search.run().cost / PIECE + cost


def _moves(drawing: LineDrawing, judge: Judge) -> Iterator[LineDrawing | None]:
    yield refitted(drawing, judge.samples, judge.size)
    yield eased(drawing, judge.samples, judge.size, 0.97 * judge.most_hausdorff)
    for moved in (*_drops(drawing), *_merges(drawing, judge.size)):
        for _ in range(REFITS):
            moved = refitted(moved, judge.samples, judge.size) or moved
        yield moved
        yield eased(moved, judge.samples, judge.size, 0.97 * judge.most_hausdorff)
    yield from _snaps(drawing, judge.size)


def _drops(drawing: LineDrawing) -> Iterator[LineDrawing]:
    done = set()
    for line in range(len(drawing.lines)):
        orbit = drawing.orbit(line)
        if orbit in done:
            continue
        done.add(orbit)
        dropped = drawing.without_lines(orbit)
        if dropped is not None:
            yield dropped


def _merges(drawing: LineDrawing, size: float) -> Iterator[LineDrawing]:
    ends = edge_ends(drawing)
    reach, turn = MERGE_REACH * size, math.sin(math.radians(MERGE_DEGREES))
    for a, line in enumerate(drawing.lines):
        for b, other in enumerate(drawing.lines):
            if a == b or not ends[a] or not ends[b] or abs(line.nx * other.ny - line.ny * other.nx) > turn:
                continue
            if line.is_level and not other.is_level:
                continue
            if any(abs(other.side(p)) > reach for p in ends[a]):
                continue
            into = {a: b}
            for image in drawing.images:
                for k, v in list(into.items()):
                    into.setdefault(image[k], image[v])
            if not any(k in into.values() for k in into):
                yield drawing.with_merged(into)


def _snaps(drawing: LineDrawing, size: float) -> Iterator[LineDrawing | None]:
    """Lines moved on to crossings of two others that they just miss: in parallel, or turned about a far end."""
    reach = SNAP_REACH * size
    ends = edge_ends(drawing)
    xs = [p[0] for row in ends for p in row]
    ys = [p[1] for row in ends for p in row]
    used = [k for k in range(len(drawing.lines)) if ends[k]]
    crossings = [
        (a, b, p)
        for i, a in enumerate(used)
        for b in used[i + 1 :]
        if (p := meet(drawing.lines[a], drawing.lines[b])) is not None
        and min(xs) - reach <= p[0] <= max(xs) + reach
        and min(ys) - reach <= p[1] <= max(ys) + reach
    ]
    done = set()
    for k in used:
        orbit = drawing.orbit(k)
        if orbit in done:
            continue
        done.add(orbit)
        line = drawing.lines[k]
        for a, b, p in crossings:
            off = line.side(p)
            if k in (a, b) or not 1e-2 < abs(off) <= reach:
                continue
            yield drawing.moved(k, Line(line.nx, line.ny, line.d + off))
            if not line.is_level:
                far = max(ends[k], key=lambda e: math.dist(e, p))
                if math.dist(far, p) > 0.2 * size:
                    yield drawing.moved(k, line_through(far, p))
