"""Symmetry that a letter has in the font, and how a figure is built from its part of it.

A symmetric letter is straightened in one half (or quarter) only and the rest is its image: symmetric exactly.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LinearRing, MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from converter.fidelity import hausdorff
from converter.geometry import Line, normal_form
from converter.model import Point
from converter.straighten.outline.chain import Floats, hard_corners

AREA_TOLERANCE = 0.03  # of the letter's area: what its image may miss or have too much, each counted half
DISTANCE_TOLERANCE = 0.02  # of size: how far the image's boundary may be off anywhere
TIP_REACH = 0.01  # of size: a tip this near to an axis is meant to be on it


@dataclass(frozen=True, slots=True)
class Symmetry:
    """Mirror axes x = ``x`` and y = ``y`` (mm), or a centre of half turns; None where there is none."""

    x: float | None = None
    y: float | None = None
    centre: tuple[float, float] | None = None  # only where there is no mirror axis

    @property
    def order(self) -> int:
        """How many copies of the part make the whole: 1, 2 or 4."""
        return (2 if self.x is not None else 1) * (2 if self.y is not None else 1) * (2 if self.centre else 1)

    def images(self, line: Line) -> list[Line]:
        """The line and its distinct images."""
        lines = [line]
        for image in self.line_maps():
            lines += [m for m in map(image, list(lines)) if not any(_same(m, other) for other in lines)]
        return lines

    def turned(self, line: Line) -> Line:
        """The line after half a turn about the centre."""
        assert self.centre is not None
        cx, cy = self.centre
        return Line(line.nx, line.ny, 2 * (line.nx * cx + line.ny * cy) - line.d)

    def line_maps(self) -> list[Callable[[Line], Line]]:
        """One map of lines for each axis, or the half turn."""
        maps: list[Callable[[Line], Line]] = []
        if self.x is not None:
            maps.append(lambda line: normal_form(-line.nx, line.ny, line.d - 2 * line.nx * (self.x or 0.0)))
        if self.y is not None:
            maps.append(lambda line: normal_form(line.nx, -line.ny, line.d - 2 * line.ny * (self.y or 0.0)))
        if self.centre is not None:
            maps.append(self.turned)
        return maps

    def point_maps(self) -> list[Callable[[Point], Point]]:
        """The same maps, of points."""
        maps: list[Callable[[Point], Point]] = []
        if self.x is not None:
            maps.append(lambda p: (2 * (self.x or 0.0) - p[0], p[1]))
        if self.y is not None:
            maps.append(lambda p: (p[0], 2 * (self.y or 0.0) - p[1]))
        if self.centre is not None:
            cx, cy = self.centre
            maps.append(lambda p: (2 * cx - p[0], 2 * cy - p[1]))
        return maps


def _same(a: Line, b: Line) -> bool:
    return abs(a.nx - b.nx) < 1e-9 and abs(a.ny - b.ny) < 1e-9 and abs(a.d - b.d) < 1e-6


def asymmetry(shape: BaseGeometry, image: BaseGeometry) -> float:
    """Share of a shape's area that differs from its image: 0 for the same, 1 for apart."""
    if shape.area == 0:
        return 0.0
    return float(shape.symmetric_difference(image).area / (2 * shape.area))


def mirrored(shape: BaseGeometry, symmetry: Symmetry) -> BaseGeometry:
    """The image of a shape under one of its symmetries (the mirror in x first)."""
    if symmetry.x is not None:
        return affinity.scale(shape, -1, 1, origin=(symmetry.x, 0))
    if symmetry.y is not None:
        return affinity.scale(shape, 1, -1, origin=(0, symmetry.y))
    return affinity.rotate(shape, 180, origin=symmetry.centre or (0, 0))


def is_symmetric(shape: BaseGeometry, symmetry: Symmetry) -> bool:
    """Whether a shape has these symmetries exactly, but for rounding."""
    parts = [Symmetry(x=symmetry.x), Symmetry(y=symmetry.y), Symmetry(centre=symmetry.centre)]
    return all(part.order == 1 or asymmetry(shape, mirrored(shape, part)) < 1e-6 for part in parts)


def find_symmetry(shape: MultiPolygon, size: float) -> Symmetry:
    """The symmetries that a shape has within the tolerances; ``size`` as in :mod:`.chain`."""
    left, top, right, bottom = shape.bounds
    x, y = (left + right) / 2, (top + bottom) / 2

    def has(symmetry: Symmetry) -> bool:
        image = mirrored(shape, symmetry)
        if asymmetry(shape, image) > AREA_TOLERANCE:
            return False
        return hausdorff(shape, image, step=size / 50) <= DISTANCE_TOLERANCE * size

    has_x, has_y = has(Symmetry(x=x)), has(Symmetry(y=y))
    if has_x or has_y:
        return Symmetry(x if has_x else None, y if has_y else None)
    return Symmetry(centre=(x, y)) if has(Symmetry(centre=(x, y))) else Symmetry()


def fundamental_part(shape: BaseGeometry, symmetry: Symmetry) -> BaseGeometry:
    """The part left of the vertical and above the horizontal axis; the whole shape where there is no axis."""
    if symmetry.x is None and symmetry.y is None:
        return shape
    left, top, right, bottom = shape.bounds
    reach = TIP_REACH * max(right - left, bottom - top)
    for axis, at in enumerate((symmetry.x, symmetry.y)):
        if at is not None:
            shape = _with_tips_on_axis(shape, axis, at, reach)
    right = symmetry.x if symmetry.x is not None else right + 1
    bottom = symmetry.y if symmetry.y is not None else bottom + 1
    return shapely.intersection(shape, box(left - 1, top - 1, right, bottom))


def _with_tips_on_axis(shape: BaseGeometry, axis: int, at: float, reach: float) -> BaseGeometry:
    """The shape with the corners in which it crosses an axis moved onto it, those nearer than ``reach`` (mm).

    A notch that misses the axis by a hair would else leave a stump of its far side in the part, for which no edge
    fits. The shape as it was where that would spoil it.
    """

    def moved(ring: LinearRing) -> Floats:
        corners = shapely.get_coordinates(ring)[:-1]
        off = corners[:, axis] - at
        near, before, after = np.abs(off) <= reach, np.roll(off, 1), np.roll(off, -1)
        alone = ~np.roll(near, 1) & ~np.roll(near, -1)  # the two corners of a blunt tip stay apart
        corners[near & alone & hard_corners(corners) & (before * after < 0), axis] = at
        return corners

    snapped = MultiPolygon(
        [
            Polygon(moved(polygon.exterior), [moved(ring) for ring in polygon.interiors])
            for polygon in shapely.get_parts(shape)
        ]
    )
    return snapped if shapely.is_valid(snapped) else shape


def unfolded(part: BaseGeometry, symmetry: Symmetry) -> BaseGeometry:
    """The whole shape of a part left of and above the mirror axes."""
    whole = part
    if symmetry.x is not None:
        whole = shapely.union(whole, affinity.scale(whole, -1, 1, origin=(symmetry.x, 0)))
    if symmetry.y is not None:
        whole = shapely.union(whole, affinity.scale(whole, 1, -1, origin=(0, symmetry.y)))
    return whole
