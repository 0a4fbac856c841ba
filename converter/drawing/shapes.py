"""Convex shapes that text and hatching have to fit into. Plain floats, mm, y down."""

from collections.abc import Iterable, Sequence
from math import cos, floor, hypot, radians, sin, sqrt

import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from converter.geometry import Line, signed_area, split_convex, without_flat_corners
from converter.model import Point, Ring

_SAME = 1e-9  # mm
_FLAT = 1e-3  # mm


def outward_lines(ring: Sequence[Point]) -> list[Line]:
    """One line a side of a convex polygon, its normal pointing out."""
    turn = 1.0 if signed_area(ring) > 0 else -1.0
    lines = []
    for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
        length = hypot(bx - ax, by - ay)
        if length > _SAME:
            nx, ny = turn * (by - ay) / length, turn * (ax - bx) / length
            lines.append(Line(nx, ny, nx * ax + ny * ay))
    return lines


def room_for_box(ring: Sequence[Point], width: float, height: float, clear: float) -> Ring:
    """Where the middle of an upright box may lie so that the box keeps ``clear`` mm inside a convex polygon.

    Empty where the box does not fit.
    """
    room: Ring = tuple(ring)
    for nx, ny, d in outward_lines(ring):
        reach = abs(nx) * width / 2 + abs(ny) * height / 2 + clear
        room = split_convex(room, Line(nx, ny, d - reach), _SAME)[1]
        if len(room) < 3:
            return ()
    return room


def barred_for_box(points: Iterable[Point], width: float, height: float, clear: float) -> BaseGeometry:
    """Where the middle of an upright box may not lie, to keep ``clear`` mm off the hull of the points."""
    x, y = width / 2 + clear, height / 2 + clear
    return hull([(px + sx * x, py + sy * y) for px, py in points for sx in (-1, 1) for sy in (-1, 1)])


def hull(points: Sequence[Point]) -> BaseGeometry:
    """The convex hull of at least two points."""
    # By way of a line: shapely makes many separate points twenty times more slowly.
    return LineString(points).convex_hull


def hull_ring(points: Sequence[Point]) -> Ring:
    """The corners of the convex hull, without those that are flat to a thousandth of a mm."""
    shape = hull(points)
    assert isinstance(shape, Polygon)  # the points of a piece of cloth enclose an area
    return without_flat_corners([(x, y) for x, y in shape.exterior.coords[:-1]], _FLAT)


def turned(points: Iterable[Point], degrees: float) -> Ring:
    """The points turned about the origin, from x towards y."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    return tuple((c * x - s * y, s * x + c * y) for x, y in points)


def box(middle: Point, width: float, height: float) -> Ring:
    """The corners of an upright box."""
    (x, y), w, h = middle, width / 2, height / 2
    return (x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h)


def grown(ring: Ring, distance: float, tip_reach: float) -> Ring:
    """A convex polygon grown by ``distance`` with mitred corners.

    Corners whose tip would lie further than ``tip_reach`` times the distance from the corner are cut there,
    square to the corner's middle: nothing of the distance is lost as long as ``tip_reach`` is at least 1.
    """
    distance = distance if distance > _SAME else 0.0  # GEOS makes nothing of a shape grown by next to nothing
    shape = Polygon(ring).buffer(distance, join_style="mitre", mitre_limit=tip_reach)
    assert isinstance(shape, Polygon)  # growing one convex shape gives one
    return tuple((x, y) for x, y in shape.exterior.coords[:-1])


def hatch(
    ring: Ring, spacing: float, origin: Point, leave_out: Sequence[Ring] = ()
) -> list[tuple[Point, Point]]:
    """Lines at 45° in a polygon, ``spacing`` mm apart; those of all shapes with one ``origin`` match.

    ``leave_out``: shapes that the lines keep off. Lines shorter than half the spacing are dropped.
    """
    area: BaseGeometry = Polygon(ring)
    for shape in leave_out:
        area = area.difference(Polygon(shape))
    step = spacing * sqrt(2)
    left, top, right, bottom = area.bounds if not area.is_empty else (0, 0, -1, -1)
    base = origin[0] + origin[1]
    first, last = floor((left + top - base) / step) + 1, floor((right + bottom - base) / step)
    lines = []
    for k in range(first, last + 1):
        total = base + k * step  # all points of one line have the same x + y
        ray = LineString([(left - 1, total - left + 1), (right + 1, total - right - 1)])
        for part in shapely.get_parts(ray.intersection(area)):
            if isinstance(part, LineString) and part.length > spacing / 2:
                a, b = part.coords[0], part.coords[-1]
                lines.append(((a[0], a[1]), (b[0], b[1])))
    return lines
