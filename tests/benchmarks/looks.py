"""What the eye sees at once and no mean shows: edges that slant, strokes that are gone."""

import math
from collections.abc import Sequence

import shapely
from shapely.geometry import MultiPolygon, Polygon

from converter.fidelity import cloth, counters, seen
from converter.model import Piece, Polygons
from converter.sewing.problem import edges_of

LONG = 1 / 5  # of the cap height: an edge of this length is seen to slant
SAMPLES = 20
LEVEL = 1e-6  # mm between the ends


def tilted_edges(outline: Polygons, figure: Polygons, cap_height: float) -> int:
    """How many long edges of the outline are level or upright, while most of the figure's edges next to them are not.

    Lengths in mm; the outline is the font's own in the block (``Made.guide``).
    """
    edges = edges_of(figure)
    if not edges:
        return 0
    tree = shapely.STRtree([shapely.LineString(edge) for edge in edges])
    count = 0
    for (px, py), (qx, qy) in edges_of(outline):
        if _is_level(((px, py), (qx, qy))) and math.hypot(qx - px, qy - py) >= LONG * cap_height:
            shares = [(k + 0.5) / SAMPLES for k in range(SAMPLES)]
            points = [shapely.Point(px + f * (qx - px), py + f * (qy - py)) for f in shares]
            slanted = sum(not _is_level(edges[k]) for k in tree.nearest(points))
            count += slanted > SAMPLES / 2
    return count


def is_torn(outline: Polygons, pieces: Sequence[Piece]) -> bool:
    """Whether the pieces of the figure, put together, have other parts or counters than the outline."""
    sewn, meant = seen(cloth(pieces)), seen(MultiPolygon([Polygon(p[0], p[1:]) for p in outline]))
    return len(sewn.geoms) != len(meant.geoms) or len(counters(sewn)) != len(counters(meant))


def _is_level(edge: tuple[tuple[float, float], tuple[float, float]]) -> bool:
    (px, py), (qx, qy) = edge
    return min(abs(qx - px), abs(qy - py)) < LEVEL
