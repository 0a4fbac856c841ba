"""Closed contours to disjoint polygons by the nonzero winding rule, whatever their overlaps.

All edges are cut where they meet, the faces between them are found, and a face is inside when the contours
wind round it a number of times that is not zero (OpenType, glyf table; PostScript, nonzero winding number
rule).
"""

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import shapely

from converter.budgets import fonts as budgets
from converter.fonts.errors import GlyphError
from converter.model import Point, Polygons, Ring

RAYS_AT_ONCE = 2_000_000  # faces times edges worked on at a time, which bounds the memory

_Floats = npt.NDArray[np.float64]
_Geometries = npt.NDArray[np.object_]


def nonzero_union(rings: Sequence[Sequence[Point]], grid: float, even_odd: bool = False) -> Polygons:
    """Polygons (outer ring anticlockwise in y-up axes, then its holes) of what the rings fill, in a stable
    order.

    ``grid``: edges are snapped to multiples of it, so that the result is exact there; a power of two keeps
    whole numbers whole. ``even_odd``: inside is what the rings wind round an odd number of times, as drawings may
    say. Raises :class:`GlyphError` when the edges cross each other too often to be a
    letter.
    """
    rings = [snapped for ring in rings if len(snapped := _snap(ring, grid)) >= 3]
    if not rings:
        return ()
    starts = np.concatenate([np.asarray(ring, dtype=float) for ring in rings])
    ends = np.concatenate([np.roll(np.asarray(ring, dtype=float), -1, axis=0) for ring in rings])
    edges: _Geometries = np.asarray(shapely.linestrings(np.stack([starts, ends], axis=1)))
    tree = shapely.STRtree(edges)
    if _edges_meet_elsewhere(tree, edges):
        edges = shapely.get_parts(shapely.union_all(edges, grid_size=grid))
    faces = shapely.get_parts(shapely.polygonize(edges))
    if len(faces) == 0:
        return ()
    turns = _winding(faces, tree, starts, ends)
    inside = faces[turns % 2 != 0 if even_odd else turns != 0]
    merged = shapely.coverage_union_all(inside) if len(inside) else shapely.MultiPolygon()
    if not merged.is_valid:  # of GEOS before 3.14, where a hole touches the outer ring
        merged = shapely.make_valid(merged, method="structure")
    polygons = [part for part in shapely.get_parts(merged) if part.area > 0]
    return tuple(sorted(_rings(part) for part in polygons))


def _snap(ring: Sequence[Point], grid: float) -> list[Point]:
    snapped = [(round(x / grid) * grid, round(y / grid) * grid) for x, y in ring]
    return [point for index, point in enumerate(snapped) if point != snapped[index - 1]]


def _edges_meet_elsewhere(tree: shapely.STRtree, edges: _Geometries) -> bool:
    """Whether edges meet other than at the ends of neighbours, so that they must be cut there.

    Cutting takes as long as there are crossings, so they are counted first, a handful of edges at a time.
    """
    at_least = 3 * len(edges)  # an edge meets itself and its two neighbours
    allowed = at_least + 2 * budgets.CROSSINGS.most  # each crossing is met from both sides
    near = met = 0
    for first in range(0, len(edges), 32):
        some, others = tree.query(edges[first : first + 32])
        near += len(some)
        met += int(np.count_nonzero(shapely.intersects(edges[first + some], edges[others])))
        if met > allowed or near > budgets.NEAR_PAIRS.most:
            raise GlyphError("its edges cross each other too often to be a letter")
    return met > at_least


def _winding(
    faces: _Geometries, tree: shapely.STRtree, starts: _Floats, ends: _Floats
) -> npt.NDArray[np.int_]:
    """How often the contours wind round each face: signed crossings of a ray from a point inside it."""
    if len(faces) * len(starts) > budgets.RAY_WORK.most:
        raise GlyphError("too many parts for one letter")
    turns = np.zeros(len(faces), dtype=np.int_)
    step = max(1, RAYS_AT_ONCE // len(starts))
    for first in range(0, len(faces), step):
        turns[first : first + step] = _ray_turns(faces[first : first + step], tree, starts, ends)
    return turns


def _ray_turns(
    faces: _Geometries, tree: shapely.STRtree, starts: _Floats, ends: _Floats
) -> npt.NDArray[np.int_]:
    points = shapely.get_coordinates(shapely.point_on_surface(faces))
    far = max(float(starts[:, 0].max()), float(points[:, 0].max())) + 1
    rays = np.stack([points, np.column_stack([np.full(len(points), far), points[:, 1]])], axis=1)
    face, edge = tree.query(shapely.linestrings(rays))
    (x0, y0), (x1, y1), (px, py) = starts[edge].T, ends[edge].T, points[face].T
    side = (x1 - x0) * (py - y0) - (px - x0) * (y1 - y0)  # positive: the point is left of the edge
    upward = (y0 <= py) & (py < y1) & (side > 0)
    downward = (y1 <= py) & (py < y0) & (side < 0)
    turns = np.bincount(face[upward], minlength=len(faces)) - np.bincount(
        face[downward], minlength=len(faces)
    )
    return turns.astype(np.int_)


def _rings(polygon: shapely.Polygon) -> tuple[Ring, ...]:
    holes = sorted(_tidy(_open_ring(hole), -1) for hole in polygon.interiors)
    return (_tidy(_open_ring(polygon.exterior), 1), *holes)


def _open_ring(ring: shapely.LinearRing) -> list[Point]:
    return [(float(x), float(y)) for x, y in shapely.get_coordinates(ring)[:-1]]


def _tidy(ring: Sequence[Point], direction: int) -> Ring:
    """Without corners on a straight edge, in the direction asked for, from the leftmost lowest corner."""
    corners = [p for i, p in enumerate(ring) if not _straight(ring[i - 1], p, ring[(i + 1) % len(ring)])]
    if ring_area(corners) * direction < 0:
        corners.reverse()
    first = corners.index(min(corners))
    return tuple(corners[first:] + corners[:first])


def _straight(a: Point, b: Point, c: Point) -> bool:
    cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    return cross == 0


def ring_area(ring: Sequence[Point]) -> float:
    """Signed area, positive when anticlockwise in y-up axes."""
    shifted = [*ring[1:], ring[0]] if ring else []
    return math.fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(ring, shifted, strict=True)) / 2
