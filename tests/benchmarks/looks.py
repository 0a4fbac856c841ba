"""What the eye sees at once and no mean shows: edges that slant, strokes that are gone."""

import math
from collections.abc import Sequence

import shapely
from shapely.geometry import MultiPolygon, Polygon

from converter.model import FIGURE, Piece
from converter.sewing.problem import Figure, edges_of

LONG = 1 / 5  # of the cap height: an edge of this length is seen to slant
SAMPLES = 20
LEVEL = 1e-6  # mm between the ends
HAIR = 0.05  # mm: no cloth shows a stroke of twice this width
CHINK = 1e-3  # mm: pieces meet but for rounding


def tilted_edges(outline: Figure, figure: Figure, cap_height: float) -> int:
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


def is_torn(outline: Figure, pieces: Sequence[Piece]) -> bool:
    """Whether the pieces of the figure, put together, have other parts or counters than the outline."""
    cloth = shapely.union_all([Polygon(p.polygon).buffer(CHINK) for p in pieces if p.fabric == FIGURE])
    return _parts_and_counters(cloth) != _parts_and_counters(
        MultiPolygon([Polygon(p[0], p[1:]) for p in outline])
    )


def _parts_and_counters(shape: shapely.Geometry) -> tuple[int, int]:
    parts = [part for part in shapely.get_parts(shape.buffer(-HAIR)) if part.area > HAIR]
    return len(parts), sum(len(part.interiors) for part in parts)


def _is_level(edge: tuple[tuple[float, float], tuple[float, float]]) -> bool:
    (px, py), (qx, qy) = edge
    return min(abs(qx - px), abs(qy - py)) < LEVEL
