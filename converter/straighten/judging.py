"""What a figure costs: to sew, and in what it is untrue to the outline. All prices in pieces, lengths in mm."""

import math
from dataclasses import dataclass

from shapely.geometry import MultiPolygon

from converter.fidelity import hausdorff, iou
from converter.geometry import convex_width, corner_degrees
from converter.sewing.plan import Plan, plan_block
from converter.sewing.problem import Figure
from converter.sewing.search import PIECE, Prices
from converter.straighten.crests import Crest, price_of_beaks
from converter.straighten.drawing import shape_of
from converter.straighten.measured import Samples
from converter.straighten.symmetry import Symmetry, is_symmetric
from converter.verify import NotSewableError

# A state of the search costs as the square of the edges: up to 20 edges get the whole budget.
SEARCH_EFFORT = 400
LEAST_STATES = 40

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

    def allows(self, verdict: "Verdict") -> bool:
        """Whether a figure is true enough and near enough to the outline, with its symmetry and no narrow piece."""
        near = verdict.iou >= self.least_iou and verdict.hausdorff <= self.most_hausdorff
        return near and not verdict.narrow and not verdict.lopsided


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


def judged(figure: Figure, judge: Judge, limit: float = math.inf) -> Verdict | None:
    """The figure with its full cost; None where it is no valid figure, or costs no less than the ``limit``.

    No valid figure is one whose rings cross, or whose edges run side by side with nothing between them.
    """
    shape = shape_of(figure)
    if shape is None:
        return None
    edges = sum(len(ring) for polygon in figure for ring in polygon)
    budget = max(LEAST_STATES, min(judge.budget, SEARCH_EFFORT * judge.budget // edges**2))
    try:
        plan = plan_block(
            figure, judge.width, judge.height, judge.prices, budget, least_width=judge.min_piece_width
        )
    except NotSewableError:
        return None
    narrow = judge.narrow(plan)
    truth = iou(shape, judge.outline)
    cost = price_of_pieces(plan, narrow, judge) + price_of_untruth(truth, judge)
    cost += judge.level * price_of_beaks(figure, judge.crests, judge.size)
    if cost >= limit:  # what follows takes time, and costs nothing less
        return None
    off = hausdorff(shape, judge.outline)
    lopsided = not is_symmetric(shape, judge.symmetry)
    cost += LOPSIDED * lopsided
    cost += TOPOLOGY * (_topology(shape) != _topology(judge.outline))
    cost += price_of_distance(off, judge)
    if cost >= limit:
        return None
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


def price_of_a_change(truth: float, judge: Judge) -> float:
    """What a change of the IoU costs at ``truth`` (pieces for a whole one)."""
    return judge.truth + (UNTRUER if truth < judge.least_iou else 0.0)
