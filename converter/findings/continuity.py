"""Where edges of a figure jump that are one line in the font, or run on smoothly there. Lengths in mm."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import MultiPolygon
from shapely.geometry.polygon import orient

from converter.fidelity import turn
from converter.geometry import without_flat_corners
from converter.model import Point, Ring
from converter.polygons import rings_of
from converter.straighten.outline.chain import Floats, make_chain, turns_of

FLAT = 0.0005  # of size: a corner nearer than this to its neighbours' line is none
ONE_LINE, ONE_DIRECTION = (
    0.004,
    2.0,
)  # of size, degrees: straights of the outline nearer than this are one line
REACH, ASTRAY = 0.06, 10.0  # of size, degrees: an edge nearer than this to a straight stands for it…
SHARED = 0.03  # …where they run side by side for as much of size
NICK = 0.06  # of size: what is longer than this is no nick between two edges but an edge of its own
BENT, ON = (
    15.0,
    40.0,
)  # degrees: edges bend at least so at both ends of a nick, at most so from before to behind it
SMOOTH = 2 * BENT  # degrees: where an outline turns by as much within NICK it does so itself

Edge = tuple[Point, Point]


@dataclass(frozen=True, slots=True)
class Jump:
    """An edge that jumps by ``by`` (mm) at ``place``; ``is_line``: it is one straight line in the font."""

    by: float
    place: Point
    is_line: bool


@dataclass(frozen=True, slots=True)
class _Line:
    """Straights of an outline that lie on one line: from ``low`` to ``high`` along it each, from its origin."""

    origin: Point
    along: Point  # unit vector; the ink is on one side of all of them
    spans: tuple[tuple[float, float], ...]

    def of(self, point: Point) -> Point:
        """A point as it lies along the line, and off it."""
        dx, dy = point[0] - self.origin[0], point[1] - self.origin[1]
        (ax, ay) = self.along
        return dx * ax + dy * ay, dy * ax - dx * ay

    def at(self, along: float, off: float) -> Point:
        """The point that lies so."""
        (x, y), (ax, ay) = self.origin, self.along
        return x + along * ax - off * ay, y + along * ay + off * ax


def jumps(figure: MultiPolygon, outline: MultiPolygon, size: float) -> Iterator[Jump]:
    """All jumps of a figure, however small; ``size``: the height of capitals."""
    rings = [without_flat_corners(ring, FLAT * size) for ring in _rings(figure)]
    outlines = [np.array(ring) for ring in _rings(outline)]
    edges = [(ring[k - 1], ring[k]) for ring in rings for k in range(len(ring))]
    on_lines = list(_on_lines(edges, list(_lines(outlines, size)), size))
    yield from on_lines
    reach = NICK * size
    corners, turns = np.concatenate(outlines), np.concatenate([np.abs(turns_of(o)) for o in outlines])
    for by, place in (nick for ring in rings for nick in _nicks(ring, size)):
        near = np.hypot(*(corners - place).T) <= reach
        is_told = any(jump.by > by / 2 and math.dist(jump.place, place) <= reach for jump in on_lines)
        if math.degrees(turns[near].sum()) < SMOOTH and not is_told:
            yield Jump(by, place, False)


def _rings(shape: MultiPolygon) -> list[Ring]:
    """All rings, with the ink on one side of all of them."""
    turned = rings_of(MultiPolygon([orient(polygon) for polygon in shape.geoms]))
    return [ring for polygon in turned for ring in polygon]


def _lines(outlines: Sequence[Floats], size: float) -> Iterator[_Line]:
    """The lines that the straights of an outline lie on, each with its straights, the longest first."""
    waiting = sorted(
        (s for outline in outlines for s in _straights(outline, size)), key=_length, reverse=True
    )
    while waiting:
        start, end = waiting[0]
        length = _length(waiting[0])
        line = _Line(start, ((end[0] - start[0]) / length, (end[1] - start[1]) / length), ())
        placed = [(line.of(p), line.of(q)) for p, q in waiting]
        fits = [
            _slant(edge) <= ONE_DIRECTION and max(abs(off) for _, off in edge) <= ONE_LINE * size
            for edge in placed
        ]
        spans = ((low, high) for ((low, _), (high, _)), fit in zip(placed, fits, strict=True) if fit)
        yield _Line(line.origin, line.along, tuple(spans))
        waiting = [edge for edge, fit in zip(waiting, fits, strict=True) if not fit]


def _straights(outline: Floats, size: float) -> Iterator[Edge]:
    chain = make_chain([(float(x), float(y)) for x, y in outline], size, closed=True)
    for straight in chain.straights:
        (px, py), (qx, qy) = (chain.points[chain.breaks[k]] for k in (straight.first, straight.last))
        yield (float(px), float(py)), (float(qx), float(qy))


def _length(edge: Edge) -> float:
    return math.dist(*edge)


def _slant(edge: Edge) -> float:
    """Degrees between an edge and the line in whose frame it is given; more than 90 where it runs back."""
    (p, p_off), (q, q_off) = edge
    return math.degrees(abs(math.atan2(q_off - p_off, q - p)))


@dataclass(frozen=True, slots=True)
class _Standing:
    """An edge of the figure, in the frame of a line, and the stretch of a straight that it stands for."""

    edge: Edge
    low: float
    high: float

    def off(self, along: float) -> float:
        """How far the edge's own line is off the outline's."""
        (p, p_off), (q, q_off) = self.edge
        return p_off + (q_off - p_off) * (along - p) / (q - p)

    def out_of_line(self, other: "_Standing", size: float) -> tuple[float, float]:
        """How far it is off another's line at most, and where; at the end that is next to the other one, if at both."""

        def by(along: float) -> float:
            return abs(self.off(along) - other.off(along))

        near, far = sorted((self.low, self.high), key=lambda k: max(other.low - k, k - other.high))
        place = far if by(far) > by(near) + FLAT * size else near
        return by(place), place


def _on_lines(edges: Sequence[Edge], lines: Sequence[_Line], size: float) -> Iterator[Jump]:
    """How far the edges that stand for a line are out of line with the one that stands for most of it."""
    standing: list[list[_Standing]] = [[] for _ in lines]
    for edge in edges:
        # The side of a stem stands for itself, and not for the end of a serif beside it that is lost.
        found = [_standing(edge, line, size) for line in lines]
        nearest = min(
            (n for n in range(len(lines)) if found[n]), key=lambda n: _misfit(found[n]), default=None
        )
        if nearest is not None:
            standing[nearest] += found[nearest]
    for line, some in zip(lines, standing, strict=True):
        longest = max(some, key=lambda one: one.high - one.low, default=None)
        for one in some:
            if longest and one.edge != longest.edge:
                # Of an edge that is turned, the line would be far off at the other's place: it is off at its own.
                (by, place), (back, back_place) = (
                    one.out_of_line(longest, size),
                    longest.out_of_line(one, size),
                )
                if by <= back + FLAT * size:
                    yield Jump(by, line.at(place, one.off(place)), True)
                else:
                    yield Jump(back, line.at(back_place, longest.off(back_place)), True)


def _standing(edge: Edge, line: _Line, size: float) -> list[_Standing]:
    """The stretches of a line's straights that an edge stands for."""
    p, q = line.of(edge[0]), line.of(edge[1])
    if _slant((p, q)) > ASTRAY:
        return []
    found = [_Standing((p, q), max(low, p[0]), min(high, q[0])) for low, high in line.spans]
    found = [one for one in found if one.high - one.low >= SHARED * size]
    return [one for one in found if _misfit([one]) <= REACH * size]


def _misfit(standing: Iterable[_Standing]) -> float:
    """How far an edge is off the straights that it stands for."""
    return max(abs(one.off(k)) for one in standing for k in (one.low, one.high))


def _nicks(ring: Ring, size: float) -> Iterator[tuple[float, Point]]:
    """Short edges across, between two that run on in about the same direction."""
    for k in range(len(ring)):
        a, b, c, d = (ring[(k + n) % len(ring)] for n in range(4))
        if math.dist(b, c) > NICK * size:
            continue
        into, out = math.degrees(turn(a, b, c)), math.degrees(turn(b, c, d))
        if into * out < 0 and min(abs(into), abs(out)) >= BENT and abs(into + out) <= ON:
            across = max(abs(math.sin(math.radians(into))), abs(math.sin(math.radians(out))))
            yield math.dist(b, c) * across, ((b[0] + c[0]) / 2, (b[1] + c[1]) / 2)
