"""How true a straight-edged figure is to the outline that it stands for. Lengths in mm."""

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from converter.model import BACKGROUND, Piece, Point

HAUSDORFF_STEP = 0.4  # mm between the points at which distances are taken; see `hausdorff`
STRIDE = 6  # of the points between which distances are taken, from one to the next that is measured first
HAIR = 0.05  # mm: no cloth shows a stroke of twice this width
CHINK = 1e-3  # mm: pieces meet but for rounding
END_DEGREES = 60.0  # where the outline turns by more at both ends of an edge, a stroke ends there
ROUGHLY = 0.015  # of the height of capitals: a rough outline may be so far off
SAME = 0.1  # of the smaller one's area: two parts that share as much are one part drawn twice


def iou(a: BaseGeometry, b: BaseGeometry) -> float:
    """Area in both ÷ area in either (intersection over union): 1 for the same shape, 0 for apart or empty."""
    # No more can be in both than is in one; edges that agree but for rounding, or a shape that carries a grid
    # (`set_precision`), to which the intersection is moved, would else give more than 1.
    both = min(shapely.intersection(a, b).area, a.area, b.area)
    either = a.area + b.area - both
    return float(both / either) if either > 0 else 0.0


def hausdorff(a: BaseGeometry, b: BaseGeometry, step: float = HAUSDORFF_STEP) -> float:
    """The farthest that a point of either boundary is from the other boundary.

    Taken at the corners and at points no more than ``step`` apart along both boundaries, from each point to
    the other boundary itself, so that the result is short of the truth by less than ``step / 2``.
    """
    return max(_farthest(a, b, step), _farthest(b, a, step))


def _farthest(a: BaseGeometry, b: BaseGeometry, step: float) -> float:
    points = shapely.get_coordinates(shapely.segmentize(a.boundary, step))
    target = b.boundary
    shapely.prepare(target)
    some = points[::STRIDE]
    off = np.asarray(shapely.distance(shapely.points(some), target))
    farthest = np.max(off, initial=0.0)
    # No other point is farther than the one before it that was measured, and what they are apart: few can be farther.
    before = np.arange(len(points)) // STRIDE
    left = points[off[before] + np.hypot(*(points - some[before]).T) > farthest]
    return float(np.max(shapely.distance(shapely.points(left), target), initial=farthest))


def cloth(pieces: Iterable[Piece]) -> BaseGeometry:
    """What is seen of the figure once it is sewn: its pieces together."""
    return shapely.union_all([Polygon(p.polygon).buffer(CHINK) for p in pieces if p.fabric != BACKGROUND])


def seen(shape: BaseGeometry, hair: float = 2 * HAIR) -> MultiPolygon:
    """What an eye sees of a shape: what hangs together by a hair is apart, what a hair closes is open, no dust.

    ``hair``: what is thinner is not seen.
    """
    left = shape.buffer(-hair / 2)
    return MultiPolygon([part for part in parts(left) if part.area > max(HAIR, hair * hair / 4)])


def parts(shape: BaseGeometry) -> list[Polygon]:
    """The separate parts of a shape."""
    return list(shapely.get_parts(shape))


def counters(shape: BaseGeometry) -> list[Polygon]:
    """The holes of all parts of a shape, filled."""
    return [Polygon(ring) for part in parts(shape) for ring in part.interiors]


def where_unlike(meant: Sequence[Polygon], there: Sequence[Polygon]) -> Point | None:
    """A place where parts (or counters) are not those that were meant: lost, torn in two, run together, or new.

    None where each has exactly one that it stands for.
    """
    for one, others, own in [*((m, there, True) for m in meant), *((t, meant, False) for t in there)]:
        same = [other for other in others if _is_same(one, other)]
        if len(same) == 1:
            continue
        place: BaseGeometry = min(same, key=lambda part: part.area, default=one)
        if own and same:
            place = _tear(one, same)
        point = shapely.point_on_surface(place)
        return point.x, point.y
    return None


def _tear(one: Polygon, halves: Sequence[Polygon]) -> BaseGeometry:
    """What is missing between the halves of a part."""
    missing = shapely.get_parts(one.difference(MultiPolygon(halves).buffer(2 * HAIR)))
    between = [m for m in missing if sum(m.distance(half) < 4 * HAIR for half in halves) > 1]
    return max(between, key=lambda m: m.area) if between else shapely.shortest_line(*halves[:2])


def _is_same(a: Polygon, b: Polygon) -> bool:
    return bool(a.intersection(b).area > SAME * min(a.area, b.area))


def intricacy(outline: BaseGeometry, size: float) -> int:
    """How many straight edges an outline takes that is followed but roughly; ``size``: the height of capitals (mm)."""
    rough = shapely.simplify(outline, ROUGHLY * size)
    return len(shapely.get_coordinates(rough)) - sum(1 + len(part.interiors) for part in parts(rough))


def stroke_ends(shape: BaseGeometry, least: float) -> list[Point]:
    """The middles of the edges, ``least`` long or more (mm), on which strokes, arms and serifs end squarely.

    Such an edge has an outward corner at either end; round ends, drawn as many short edges, have none.
    """
    ends: list[Point] = []
    for part in parts(shape):
        ring = [(float(x), float(y)) for x, y in orient(part).exterior.coords[:-1]]
        turns = [
            math.degrees(turn(ring[k - 1], ring[k], ring[(k + 1) % len(ring)])) for k in range(len(ring))
        ]
        for k, (px, py) in enumerate(ring):
            qx, qy = ring[k - 1]
            if min(turns[k - 1], turns[k]) > END_DEGREES and math.hypot(px - qx, py - qy) >= least:
                ends.append(((px + qx) / 2, (py + qy) / 2))
    return ends


def turn(a: Point, b: Point, c: Point) -> float:
    """The angle by which a path turns at ``b``, in radians; positive to the left where y is up."""
    vx, vy, wx, wy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    return math.atan2(vx * wy - vy * wx, vx * wx + vy * wy)
