"""A figure judged in full: with its plan, and against the whole outline. Lengths in mm, prices in pieces."""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.polygon import orient

from converter.compiled import Floats
from converter.fidelity import hausdorff, iou
from converter.geometry import convex_width, corner_degrees
from converter.model import Polygons
from converter.sewing.plan import Plan, plan_block
from converter.sewing.search import Prices
from converter.sewing.trees import PIECE
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import corners_of
from converter.straighten.cost.evaluate import KEPT, excess_of, spike_of
from converter.straighten.cost.figures import drawing_of, shape_of
from converter.straighten.cost.nearest import beside
from converter.straighten.cost.overlap import price_of_beaks
from converter.straighten.outline.chain import hard_corners
from converter.straighten.outline.crests import Crest
from converter.straighten.outline.lines import symmetry_maps
from converter.straighten.outline.symmetry import Symmetry
from converter.verify import NotSewableError

SAMPLE_STEP = 0.03  # of size
UNLIKE_PRICE = 6.0
# The search keeps so much more of the limits than it has to: it measures a lighter outline, and a figure that it takes
# for the best must not turn out to break a limit by a hair.
SPARE_OVERLAP, SPARE_DISTANCE = 5e-4, 0.99
LIGHTER = 5e-4  # of size: so near to the outline is the one that many figures are compared with
ALL_STATES, LEAST_STATES = (
    20,
    40,
)  # edges with which the search has its whole budget, and what is left of that at least
CORNER_WEIGHT = 1e-6  # of a step: corners count for what is far, not for where lines go


@dataclass(frozen=True, slots=True)
class Treatment:
    """How the parts that a letter has in common with others are to be drawn.

    ``places``: which of the outline's samples, and where (mm) the figure's edge is to be there. ``model``: the whole
    outline with these parts drawn so; empty where there is no treatment.
    """

    places: tuple[tuple[int, float, float], ...] = ()
    model: Polygons = ()


AS_IT_COMES = Treatment()


@dataclass(frozen=True, slots=True)
class Target:
    """What figures are to be like, and what they cost."""

    outline: MultiPolygon
    width: float  # of the block
    height: float
    size: float
    prices: Prices
    min_piece_width: float
    truth: float  # price of a whole overlap
    least_overlap: float
    farthest: float  # mm
    sharpest: float  # degrees
    crests: tuple[Crest, ...]
    symmetry: Symmetry
    budget: int
    treatment: Treatment = AS_IT_COMES

    def aim(self) -> Aim:
        """The same on numbers, with an outline of fewer points."""
        points, weights = samples_of(self.outline, self.size)
        held = np.zeros(len(points))
        for k, x, y in self.treatment.places:
            points[k] = x, y
            held[k] = UNLIKE_PRICE * weights[k] / self.size
        top, foot = self.outline.bounds[1::2]
        lighter = shapely.simplify(self.outline, LIGHTER * self.size)
        return Aim(
            points=points,
            weights=weights,
            held=held,
            outline=_edges(lighter),
            area=float(lighter.area),
            maps=symmetry_maps(self.symmetry),
            crests=np.array(
                [(*c.point, c.along_x, c.price, c.reach * self.size) for c in self.crests], dtype=float
            ).reshape(-1, 5),
            top=top,
            foot=foot,
            size=self.size,
            width=self.width,
            height=self.height,
            least_width=self.min_piece_width,
            sharpest=math.sin(math.radians(self.sharpest)),
            least_overlap=self.least_overlap + SPARE_OVERLAP,
            farthest=SPARE_DISTANCE * self.farthest,
            truth=self.truth,
            section=self.prices.section,
            match=self.prices.match,
        )


@dataclass(frozen=True, slots=True)
class Verdict:
    """A figure with its plan and what it costs; see :class:`converter.straighten.cost.evaluate.Cost`."""

    figure: Polygons
    plan: Plan
    overlap: float
    distance: float  # mm
    violation: float
    price: float
    unlike: float = 0.0  # the share of the price for what is not drawn as in other letters

    @property
    def rank(self) -> tuple[float, float, Polygons]:
        """Less is better; figures of the same cost in a settled order."""
        return self.violation if self.violation > KEPT else 0.0, self.price, self.figure


def judged(figure: Polygons, target: Target, aim: Aim) -> Verdict | None:
    """The figure with its full cost; None where it is no valid figure: where rings cross, or edges run side by side
    with nothing between them."""
    shape = shape_of(figure)
    drawing = drawing_of(figure, symmetry_maps(Symmetry())) if shape is not None else None
    if shape is None or drawing is None:
        return None
    budget = states_for(len(drawing.edges), target.budget)
    try:
        plan = plan_block(
            figure, target.width, target.height, target.prices, budget, least_width=target.min_piece_width
        )
    except NotSewableError:
        return None
    overlap, distance = iou(shape, target.outline), hausdorff(shape, target.outline)
    limits = aim._replace(least_overlap=target.least_overlap, farthest=target.farthest)
    corners = corners_of(drawing)[0]
    violation = (
        pieces_violation(plan, target) + excess_of(overlap, distance, limits) + spike_of(corners, limits)
    )
    price = plan.cost / PIECE + target.truth * (1 - overlap)
    price += price_of_beaks(drawing, corners, aim.crests)
    unlike = beside(drawing, aim).unlike
    return Verdict(figure, plan, overlap, distance, violation, price + unlike, unlike)


def states_for(edges: int, budget: int) -> int:
    """How many of a whole ``budget`` of states the search for seams of a figure gets.

    A state takes about as long as the square of the edges: up to 20 edges get the whole budget.
    """
    return max(LEAST_STATES, min(budget, budget * ALL_STATES**2 // max(edges, 1) ** 2))


def pieces_violation(plan: Plan, target: Target) -> float:
    """By how much the plan's pieces are narrower and sharper than they may be, each as a share of the limit."""
    violation = 0.0
    for piece in plan.pieces:
        width, sine = (
            convex_width(piece.polygon),
            math.sin(math.radians(min(90.0, *corner_degrees(piece.polygon)))),
        )
        if width < target.min_piece_width - 1e-6:
            violation += 1 - width / target.min_piece_width
        violation += max(1 - sine / math.sin(math.radians(target.sharpest)), 0.0)
    return violation


def samples_of(outline: MultiPolygon, size: float) -> tuple[Floats, Floats]:
    """Points in the middle of short pieces of the outline with their lengths, and its corners, which hardly weigh."""
    step = SAMPLE_STEP * size
    points, weights = [], []
    for polygon in outline.geoms:
        for ring in (polygon.exterior, *polygon.interiors):
            along = shapely.get_coordinates(shapely.segmentize(ring, step))
            points.append((along[1:] + along[:-1]) / 2)
            weights.append(np.hypot(*(along[1:] - along[:-1]).T))
            corners = shapely.get_coordinates(ring)[:-1]
            hard = hard_corners(corners)
            points.append(corners[hard])
            weights.append(np.full(int(hard.sum()), CORNER_WEIGHT * step))
    return np.ascontiguousarray(np.concatenate(points)), np.concatenate(weights)


def _edges(outline: MultiPolygon) -> Floats:
    """All edges, a row each, with the ink on the same side all round."""
    rows = []
    for part in shapely.get_parts(outline):
        polygon = orient(part)
        for ring in (polygon.exterior, *polygon.interiors):
            corners = shapely.get_coordinates(ring)
            rows.append(np.hstack([corners[:-1], corners[1:]]))
    return np.ascontiguousarray(np.concatenate(rows))
