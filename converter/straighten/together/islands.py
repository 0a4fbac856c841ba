"""Whole parts of outlines that are the same but for where they stand: a letter under its accents, the accents, dots.

An *island* is a connected part of an outline, with its counters. Lengths in mm.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Point, Polygon

from converter.model import Polygons, Ring
from converter.polygons import polygons_of

SAME = 0.001  # of size: islands that are nowhere farther apart, moved onto each other, are the same

Island = tuple[Ring, ...]  # its outer ring, then its counters


@dataclass(frozen=True, slots=True)
class Place:
    """Where an island stands: in which letter, as which of its polygons, and how far right and down."""

    letter: int
    number: int
    x: float
    y: float


def same_islands(outlines: Mapping[int, MultiPolygon], size: float) -> list[tuple[Place, ...]]:
    """The islands that occur more than once in outlines (by letter), in the order in which they occur first."""
    places: list[Place] = []
    moved: list[Polygon] = []
    for letter, outline in outlines.items():
        for number, polygon in enumerate(outline.geoms):
            x, y = polygon.bounds[:2]
            places.append(Place(letter, number, x, y))
            moved.append(_moved(polygon, -x, -y))
    reach = SAME * size
    extents = [Point(polygon.bounds[2:]) for polygon in moved]
    near: list[list[int]] = [[] for _ in places]
    for i, j in shapely.STRtree(extents).query(extents, predicate="dwithin", distance=2 * reach).T.tolist():
        if j < i:
            near[i].append(j)
    groups: dict[int, list[Place]] = {}
    for i, place in enumerate(places):
        first = next((j for j in sorted(near[i]) if j in groups and _are_same(moved[i], moved[j], reach)), i)
        groups.setdefault(first, []).append(place)
    return [tuple(group) for group in groups.values() if len(group) > 1]


def islands_of(outline: MultiPolygon, figure: Polygons) -> list[Island] | None:
    """The polygons of a figure in the order of the outline's that they stand for; None where they are not the same
    parts."""
    shape = polygons_of(figure)
    if len(shape.geoms) != len(outline.geoms) or not shape.is_valid:
        return None
    common = np.array(
        [[one.intersection(other).area for other in shape.geoms] for one in outline.geoms], dtype=float
    )
    order = common.argmax(axis=1)
    if len(set(order.tolist())) < len(order) or not common.max(axis=1, initial=0.0).all():
        return None
    return [figure[k] for k in order]


def shifted(island: Island, x: float, y: float) -> Island:
    """The island, moved."""
    return tuple(tuple((px + x, py + y) for px, py in ring) for ring in island)


def _moved(polygon: Polygon, x: float, y: float) -> Polygon:
    return shapely.transform(polygon, lambda points: points + np.array([x, y]))


def _are_same(one: Polygon, other: Polygon, reach: float) -> bool:
    if len(one.interiors) != len(other.interiors):
        return False
    return bool(shapely.hausdorff_distance(one.boundary, other.boundary) <= reach)
