"""Curves to chords, never further from the curve than the tolerance, with the curve's extrema kept."""

import math
from itertools import pairwise

from converter.budgets import fonts as budgets
from converter.fonts.errors import GlyphError
from converter.fonts.glyphs import Curve
from converter.model import Point

_SAME_PLACE = 1e-9  # parameter distance below which an extremum is an end of the curve


def flatten_contour(curves: list[Curve], tolerance: float) -> list[Point]:
    """The corners of a closed contour, without the start repeated at its end. Units as in the curves."""
    corners: list[Point] = []
    for curve in curves:
        corners.extend(_corners(curve, tolerance))
        if len(corners) > budgets.CORNERS.most:
            raise GlyphError(f"more than {budgets.CORNERS.most} corners after flattening")
    start = curves[0][0]
    if not corners or corners[-1] != start:
        corners.append(start)
    return [corner for index, corner in enumerate(corners) if corner != corners[index - 1]]


def _corners(curve: Curve, tolerance: float) -> list[Point]:
    """Corners after the curve's first point, its last point among them.

    A curve cut into n equal steps stays within max|B''| / (8 n²) of its chords (the error of linear
    interpolation, any textbook of numerical analysis).
    """
    if len(curve) == 2:
        return [curve[1]]
    if len(curve) == 3:
        (ax, ay), (bx, by), (cx, cy) = curve
        bend = 2 * math.hypot(ax - 2 * bx + cx, ay - 2 * by + cy)
    else:
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = curve
        bend = 6 * max(
            math.hypot(ax - 2 * bx + cx, ay - 2 * by + cy), math.hypot(bx - 2 * cx + dx, by - 2 * cy + dy)
        )
    stops = [0.0, *_extrema(curve), 1.0]
    corners: list[Point] = []
    for first, last in pairwise(stops):
        steps = max(1, math.ceil((last - first) * math.sqrt(bend / (8 * tolerance))))
        if steps > budgets.CORNERS.most:
            raise GlyphError(f"more than {budgets.CORNERS.most} corners after flattening")
        corners.extend(_at(curve, first + (last - first) * step / steps) for step in range(1, steps + 1))
    corners[-1] = curve[-1]
    return corners


def _at(curve: Curve, t: float) -> Point:
    u = 1 - t
    weights = (
        (u * u, 2 * u * t, t * t) if len(curve) == 3 else (u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t)
    )
    return (
        sum(w * p[0] for w, p in zip(weights, curve, strict=True)),
        sum(w * p[1] for w, p in zip(weights, curve, strict=True)),
    )


def _extrema(curve: Curve) -> list[float]:
    """Parameters strictly inside the curve where it is horizontal or vertical."""
    found: set[float] = set()
    for axis in (0, 1):
        p = [point[axis] for point in curve]
        if len(p) == 3:
            found.update(_roots(0.0, p[0] - 2 * p[1] + p[2], p[1] - p[0]))
        else:
            a, b, c = p[1] - p[0], p[2] - p[1], p[3] - p[2]
            found.update(_roots(a - 2 * b + c, 2 * (b - a), a))
    return sorted(t for t in found if _SAME_PLACE < t < 1 - _SAME_PLACE)


def _roots(a: float, b: float, c: float) -> list[float]:
    """Real roots of a t² + b t + c, by the formula that does not cancel."""
    if a == 0:
        return [-c / b] if b else []
    discriminant = b * b - 4 * a * c
    if discriminant < 0:
        return []
    q = -(b + math.copysign(math.sqrt(discriminant), b)) / 2
    return [q / a, c / q] if q else [0.0]
