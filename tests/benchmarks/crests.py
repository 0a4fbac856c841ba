"""Crests of bowls, how many of them a block keeps, and how far it stands out above or below its letter.

A *crest* is a smooth place where the font's outline is level or upright and turns back: the top of an O, the side of
a P. A block keeps it by an edge that lies along the outline there; else the bowl has come out pointed or slanted.
Lengths are shares of the letter's height.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from converter.model import Point, Polygons, Ring

Floats = npt.NDArray[np.float64]

NEAR_DEGREES = 30.0  # an edge so near to level belongs to the crest's arc
HARD_DEGREES = 22.0  # a corner; arcs end there
LEAST_BEND = 35.0  # degrees that the arc turns by in all…
LEAST_SLOPE = 12.0  # …and at either end
SHORTEST_ARC = 0.05
ROUND_CREST = 0.012  # what of the arc is no lower than this is the crest
KEEPING_DEGREES, SHORTEST_EDGE = 4.0, 0.06  # of an edge that keeps a crest
REACH_ACROSS, REACH_ALONG, LEAST_SHARED = (
    0.07,
    0.08,
    0.05,
)  # how near the edge is to the crest, and shares with it

SPIKE = 0.012  # what stands out above or below by more is seen beside the other letters


@dataclass(frozen=True, slots=True)
class Crest:
    """A place in mm where an outline is level (``axis`` 0) or upright (1)."""

    place: Point
    axis: int
    in_counter: bool


def height_of(outline: Polygons) -> float:
    """From the lowest to the highest corner."""
    heights = [y for polygon in outline for ring in polygon for _, y in ring]
    return max(heights) - min(heights)


def crests(outline: Polygons) -> list[Crest]:
    """All crests of an outline."""
    height = height_of(outline)
    return [
        Crest(place, axis, in_counter)
        for polygon in outline
        for in_counter, ring in enumerate_counters(polygon)
        for axis in (0, 1)
        for place in _crests_of(ring, axis, height)
    ]


def enumerate_counters(polygon: Sequence[Ring]) -> Iterator[tuple[bool, Ring]]:
    """The rings of a polygon, each with whether it is a hole."""
    return ((number > 0, ring) for number, ring in enumerate(polygon))


def is_kept(crest: Crest, figure: Polygons, height: float) -> bool:
    """Whether the figure has an edge along the outline at a crest."""
    along, across = crest.axis, 1 - crest.axis
    for polygon in figure:
        for ring in polygon:
            for p, q in zip(ring, (*ring[1:], ring[0]), strict=True):
                if math.dist(p, q) < SHORTEST_EDGE * height:
                    continue
                if abs(float(_off_axis(math.atan2(q[1] - p[1], q[0] - p[0]), crest.axis))) > KEEPING_DEGREES:
                    continue
                if abs((p[across] + q[across]) / 2 - crest.place[across]) > REACH_ACROSS * height:
                    continue
                first, last = sorted((p[along], q[along]))
                middle, reach = crest.place[along], REACH_ALONG * height
                if min(last, middle + reach) - max(first, middle - reach) > LEAST_SHARED * height:
                    return True
    return False


def stands_out(figure: Polygons, outline: Polygons) -> float:
    """How far a figure stands above or below its letter, as a share of the letter's height."""
    drawn, meant = ([y for polygon in p for ring in polygon for _, y in ring] for p in (figure, outline))
    return max(min(meant) - min(drawn), max(drawn) - max(meant), 0.0) / height_of(outline)


def _off_axis(radians: float | Floats, axis: int) -> float | Floats:
    """Degrees between a direction and an axis, from -90 to 90."""
    return (np.degrees(radians) - 90 * axis + 90) % 180 - 90


def _crests_of(ring: Ring, axis: int, height: float) -> Iterator[Point]:
    corners = np.array(ring)
    steps = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(*steps.T)
    corners, steps, lengths = corners[lengths > 1e-9], steps[lengths > 1e-9], lengths[lengths > 1e-9]
    angles = np.arctan2(steps[:, 1], steps[:, 0])
    off = np.asarray(_off_axis(angles, axis))
    for arc in _arcs(np.abs(off) < NEAR_DEGREES, angles):
        slopes = off[arc]
        bends = slopes.max() - slopes.min() > LEAST_BEND and min(slopes.max(), -slopes.min()) > LEAST_SLOPE
        if not bends or lengths[arc].sum() < SHORTEST_ARC * height:
            continue
        points = corners[[*arc, (arc[-1] + 1) % len(corners)]]
        top = arc[int(np.argmin(np.abs(slopes)))]
        ends = (corners[top] + corners[(top + 1) % len(corners)]) / 2
        below = points[:, 1 - axis] - ends[1 - axis]
        if below[0] * below[-1] <= 0:  # as in the middle of an S: it goes on, and does not turn back
            continue
        flat = points[np.abs(below) < ROUND_CREST * height]
        x, y = flat.mean(axis=0) if len(flat) else ends
        yield float(x), float(y)


def _arcs(near: npt.NDArray[np.bool_], angles: Floats) -> Iterator[list[int]]:
    """Edges that lie near to an axis, in runs without a hard corner; none goes all the way round."""
    count = len(near)
    turns = (np.degrees(np.roll(angles, -1) - angles) + 180) % 360 - 180
    goes_on = near & np.roll(near, -1) & (np.abs(turns) < HARD_DEGREES)
    for start in np.flatnonzero(near & ~np.roll(goes_on, 1)):
        arc = [int(start)]
        while goes_on[arc[-1]]:
            arc.append((arc[-1] + 1) % count)
        yield arc
