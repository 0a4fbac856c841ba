"""Where a figure stands out of the lines on which letters end: cap line, x-height, baseline, descender line.

A letter's own outline says where these are: there it is level, by a straight edge or by the crest of a bowl, or there
is its highest or lowest place. Lengths in mm.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry import MultiPolygon
from shapely.geometry.polygon import orient

from converter.fidelity import turn
from converter.model import Point, Ring
from converter.placement import OVERSHOOT
from converter.polygons import rings_of
from converter.straighten.outline.chain import CORNER_DEGREES

AS_HIGH = 0.001  # of size: corners nearer than this to one height are as high
SHORTEST = 0.02  # of size: a shorter level edge is a tip
ACROSS, UP = 0.3, 0.1  # of size: no farther apart, sideways and up or down, two ends belong to one line


@dataclass(frozen=True, slots=True)
class End:
    """Where ink ends upwards or downwards: a corner or a level edge that has none beyond it on either side."""

    left: float
    right: float
    y: float
    is_level: bool  # a level edge or a crest, no tip


@dataclass(frozen=True, slots=True)
class StandingOut:
    """An end of the figure, and how far it stands beyond its line: above it or below."""

    by: float
    place: Point
    above: bool


def standing_out(figure: MultiPolygon, outline: MultiPolygon, size: float) -> Iterator[StandingOut]:
    """The ends of a figure that stand beyond their lines, however little; ``size``: the height of capitals.

    A line is the outermost end of the outline near to that of the figure, if it is level or about as high (or low) as
    the whole outline. No end of the figure may be beyond the whole outline, wherever it is.
    """
    _, top, _, foot = outline.bounds
    for above, outermost in ((True, top), (False, foot)):
        sign = -1 if above else 1  # y runs down
        meant = list(_ends(outline, sign, size))
        for end in _ends(figure, sign, size):
            beyond = sign * (end.y - outermost)
            line = max(
                (m for m in meant if _is_near(end, m, size)), key=lambda near: sign * near.y, default=None
            )
            if line and (line.is_level or sign * (outermost - line.y) <= OVERSHOOT * size):
                beyond = max(beyond, sign * (end.y - line.y))
            if beyond > 0:
                yield StandingOut(beyond, ((end.left + end.right) / 2, end.y), above)


def _is_near(a: End, b: End, size: float) -> bool:
    return abs(a.y - b.y) <= UP * size and max(a.left - b.right, b.left - a.right) <= ACROSS * size


def _ends(shape: MultiPolygon, sign: int, size: float) -> Iterator[End]:
    turned = rings_of(MultiPolygon([orient(polygon) for polygon in shape.geoms]))
    return (end for rings in turned for ring in rings for end in _ends_of(ring, sign, size))


def _ends_of(ring: Ring, sign: int, size: float) -> Iterator[End]:
    """The ends of a ring that turns to the left (where y is up) round its ink."""
    count = len(ring)
    heights = [sign * y for _, y in ring]
    for highest in range(count):
        if not heights[highest - 1] < heights[highest] >= heights[(highest + 1) % count]:
            continue
        first = last = highest
        while abs(heights[first - 1] - heights[highest]) <= AS_HIGH * size and last - first < count:
            first -= 1
        while abs(heights[(last + 1) % count] - heights[highest]) <= AS_HIGH * size and last - first < count:
            last += 1
        if max(heights[first - 1], heights[(last + 1) % count]) > heights[highest]:  # level, but it goes on
            continue
        level = [k % count for k in range(first, last + 1)]
        turns = [turn(ring[k - 1], ring[k], ring[(k + 1) % count]) for k in level]
        if sum(turns) <= 0:  # a notch, which has the ink beyond it
            continue
        left, right = min(ring[k][0] for k in level), max(ring[k][0] for k in level)
        is_crest = max(map(abs, turns)) < math.radians(CORNER_DEGREES)
        yield End(left, right, ring[highest][1], is_crest or right - left >= SHORTEST * size)
