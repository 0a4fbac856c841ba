"""Plane geometry on plain floats: straight lines, convex polygons. No shapely, no state.

A :class:`Line` divides the plane; its normal is of length 1, so ``side`` is a distance in the unit of the
coordinates (mm wherever this module is used).
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from converter.model import Point, Ring

ROUNDING = 1e-9  # of a unit normal: less is nothing


class Line(NamedTuple):
    """The points with ``nx·x + ny·y = d``; (nx, ny) has length 1."""

    nx: float
    ny: float
    d: float

    @property
    def is_level(self) -> bool:
        """Exactly horizontal or vertical."""
        return self.nx == 0.0 or self.ny == 0.0

    def side(self, point: Point) -> float:
        """Signed distance of the point, positive on the side to which the normal points."""
        return self.nx * point[0] + self.ny * point[1] - self.d


def line_through(p: Point, q: Point) -> Line:
    """The line through two points, in a form that does not depend on their order.

    Raises ZeroDivisionError when they are the same point.

    >>> line_through((0, 5), (10, 5))
    Line(nx=0.0, ny=1.0, d=5.0)
    """
    nx, ny = p[1] - q[1], q[0] - p[0]
    length = math.hypot(nx, ny)
    nx, ny, _ = normal_form(nx / length, ny / length)
    return Line(nx, ny, (nx * (p[0] + q[0]) + ny * (p[1] + q[1])) / 2)


def normal_form(nx: float, ny: float, d: float = 0.0) -> Line:
    """The line with the normal that points down, or to the right where it is level.

    What is off level by rounding alone is made level: else a mirror image would not be the line that it equals.
    """
    if abs(nx) < ROUNDING:
        nx, ny = 0.0, math.copysign(1.0, ny)
    elif abs(ny) < ROUNDING:
        nx, ny = math.copysign(1.0, nx), 0.0
    if ny < 0 or (ny == 0 and nx < 0):
        nx, ny, d = -nx, -ny, -d
    return Line(nx + 0.0, ny + 0.0, d)


def meet(a: Line, b: Line) -> Point | None:
    """Where two lines cross; None when they are parallel."""
    det = a.nx * b.ny - a.ny * b.nx
    if abs(det) < 1e-9:
        return None
    return (a.d * b.ny - b.d * a.ny) / det, (a.nx * b.d - b.nx * a.d) / det


def signed_area(ring: Sequence[Point]) -> float:
    """Area of a ring, positive when it runs from x towards y."""
    return sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(ring, [*ring[1:], *ring[:1]], strict=True)) / 2


def centroid(ring: Sequence[Point]) -> Point:
    """Mean of the corners: inside, where the ring is convex."""
    return sum(p[0] for p in ring) / len(ring), sum(p[1] for p in ring) / len(ring)


def deepest(point: Point, rings: Sequence[Sequence[Point]]) -> int:
    """Which of convex rings (each running from x towards y) holds a point deepest inside."""
    x, y = point

    def depth(ring: Sequence[Point]) -> float:
        edges = ((ring[k - 1], ring[k]) for k in range(len(ring)))
        return min((q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0]) for p, q in edges)

    def near(ring: Sequence[Point]) -> bool:
        return min(p[0] for p in ring) <= x <= max(p[0] for p in ring)

    among = [k for k, ring in enumerate(rings) if near(ring)] or range(len(rings))
    return max(among, key=lambda k: depth(rings[k]))


def split_convex(ring: Sequence[Point], line: Line, tolerance: float) -> tuple[Ring, Ring]:
    """The parts of a convex polygon on the positive and on the negative side of a line.

    Corners within ``tolerance`` of the line count as on it, and belong to both parts. A part with no corner
    off the line is empty. New corners are the same floats in both parts, so that parts tile exactly.
    """
    sides = [line.side(p) for p in ring]
    plus: list[Point] = []
    minus: list[Point] = []
    for k, p in enumerate(ring):
        s, t, q = sides[k - 1], sides[k], ring[k - 1]
        if (s > tolerance and t < -tolerance) or (s < -tolerance and t > tolerance):
            f = s / (s - t)
            cross = (q[0] + f * (p[0] - q[0]), q[1] + f * (p[1] - q[1]))
            plus.append(cross)
            minus.append(cross)
        if t >= -tolerance:
            plus.append(p)
        if t <= tolerance:
            minus.append(p)
    has_plus = any(s > tolerance for s in sides)
    has_minus = any(s < -tolerance for s in sides)
    return tuple(plus) if has_plus else (), tuple(minus) if has_minus else ()


def convex_width(ring: Sequence[Point]) -> float:
    """Width of a convex polygon: the least distance between two parallel lines that hold it.

    One of them carries an edge of the polygon (Houle and Toussaint, "Computing the width of a set", 1988).
    """
    best = math.inf
    for k, p in enumerate(ring):
        q = ring[k - 1]
        length = math.hypot(p[0] - q[0], p[1] - q[1])
        if length > 0:
            nx, ny = (q[1] - p[1]) / length, (p[0] - q[0]) / length
            best = min(best, max(abs(nx * (r[0] - p[0]) + ny * (r[1] - p[1])) for r in ring))
    return best


def corner_degrees(ring: Sequence[Point]) -> list[float]:
    """Inner angle at each corner of a convex polygon, in degrees."""
    angles = []
    for k, p in enumerate(ring):
        a, b = ring[k - 1], ring[(k + 1) % len(ring)]
        ux, uy, vx, vy = a[0] - p[0], a[1] - p[1], b[0] - p[0], b[1] - p[1]
        angles.append(math.degrees(math.atan2(abs(ux * vy - uy * vx), ux * vx + uy * vy)))
    return angles


def without_flat_corners(ring: Sequence[Point], tolerance: float) -> Ring:
    """The ring without corners that lie within ``tolerance`` of the line through their neighbours."""
    points = list(ring)
    k = 0
    while len(points) > 3 and k < len(points):
        a, p, b = points[k - 1], points[k], points[(k + 1) % len(points)]
        span = math.hypot(b[0] - a[0], b[1] - a[1])
        off = abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]))
        if span <= tolerance or off <= tolerance * span:
            del points[k]
            k = max(k - 1, 0)
        else:
            k += 1
    return tuple(points)
