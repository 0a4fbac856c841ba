"""Where pieces lock: parts of a block in which no seam runs through.

In such a part each seam is stopped, at one end at least, by another seam that it runs into. Following these
stops from seam to seam must come back to a seam met before: a pinwheel. The pieces at the stops of the shortest
way round are the smallest set that cannot be sewn by straight seams.

The other kind of lock is a point where seams end and none runs straight on.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from converter.model import Point, Ring
from converter.sewing.tiling import SAME, SeamLine


@dataclass(frozen=True, slots=True)
class Lock:
    """``pieces`` (indices) hold each other: ``seams`` (mm) stop each other at ``stops``, or all end at one."""

    pieces: tuple[int, ...]
    seams: tuple[tuple[Point, Point], ...]
    stops: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class _Seam:
    """One whole seam of a part: from ``low`` to ``high`` mm along its line."""

    line: SeamLine
    low: float
    high: float

    def at(self, along: float) -> Point:
        line = self.line.line
        return line.nx * line.d - line.ny * along, line.ny * line.d + line.nx * along

    @property
    def ends(self) -> tuple[Point, Point]:
        return self.at(self.low), self.at(self.high)

    def stops(self, point: Point) -> bool:
        """Whether the seam runs through the point, its own ends not counted."""
        along = _along(self.line, point)
        return abs(self.line.line.side(point)) <= SAME and self.low + SAME < along < self.high - SAME


def locks_of(part: int, rings: Sequence[Ring], lines: Sequence[SeamLine]) -> list[Lock]:
    """The locks of a part in which no line can be cut along; none of them shares a seam with another."""
    members = [k for k in range(len(rings)) if part >> k & 1]
    seams = [seam for line in lines for seam in _seams(line, part, rings, members)]
    stops: dict[int, list[tuple[int, Point]]] = {}
    open_ends: dict[Point, list[int]] = {}
    for k, seam in enumerate(seams):
        stops[k] = []
        for end in seam.ends:
            if _angle_round(end, [rings[m] for m in members]) < 270:
                continue  # on the edge of the part
            stopped_by = [j for j, other in enumerate(seams) if j != k and other.stops(end)]
            stops[k] += [(j, end) for j in stopped_by]
            if not stopped_by:
                place = next((p for p in open_ends if math.dist(p, end) <= 4 * SAME), end)
                open_ends.setdefault(place, []).append(k)
    locks = []
    free = set(stops)
    while cycle := _shortest_cycle(stops, free):
        free -= {k for k, _ in cycle}
        points = [point for _, point in cycle]
        locks.append(
            Lock(_touching(points, rings, members), _ends(seams, [k for k, _ in cycle]), tuple(points))
        )
    for point, ending in open_ends.items():
        locks.append(Lock(_touching([point], rings, members), _ends(seams, ending), (point,)))
    return locks


def _seams(line: SeamLine, part: int, rings: Sequence[Ring], members: Sequence[int]) -> list[_Seam]:
    """The stretches of a line with pieces of the part on both sides, joined where they touch."""
    both: list[list[tuple[float, float]]] = []
    for side in (line.plus, line.minus):
        stretches = []
        for k in members:
            if side >> k & 1:
                on = [_along(line, p) for p in rings[k] if abs(line.line.side(p)) <= SAME]
                if on and max(on) - min(on) > SAME:
                    stretches.append((min(on), max(on)))
        both.append(_joined(stretches))
    overlaps = [(max(a, c), min(b, d)) for a, b in both[0] for c, d in both[1]]
    return [_Seam(line, low, high) for low, high in _joined([o for o in overlaps if o[1] - o[0] > SAME])]


def _joined(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for low, high in sorted(stretches):
        if joined and low <= joined[-1][1] + SAME:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    return joined


def _along(line: SeamLine, point: Point) -> float:
    return line.line.nx * point[1] - line.line.ny * point[0]


def _shortest_cycle(stops: dict[int, list[tuple[int, Point]]], free: set[int]) -> list[tuple[int, Point]]:
    """Seams of which each is stopped by the next and the last by the first, each with its stop; or nothing."""
    best: list[tuple[int, Point]] = []
    for start in sorted(free):
        came: dict[int, list[tuple[int, Point]]] = {start: []}
        waiting = [start]
        for k in waiting:
            for j, point in stops[k]:
                way = [*came[k], (k, point)]
                if j == start and (not best or len(way) < len(best)):
                    best = way
                if j in free and j not in came:
                    came[j] = way
                    waiting.append(j)
    return best


def _touching(points: Sequence[Point], rings: Sequence[Ring], members: Sequence[int]) -> tuple[int, ...]:
    return tuple(k for k in members if any(_angle_at(point, rings[k]) for point in points))


def _ends(seams: Sequence[_Seam], chosen: Sequence[int]) -> tuple[tuple[Point, Point], ...]:
    return tuple(seams[k].ends for k in chosen)


def _angle_round(point: Point, rings: Sequence[Ring]) -> float:
    return sum(_angle_at(point, ring) for ring in rings)


def _angle_at(point: Point, ring: Ring) -> float:
    """Degrees that a convex piece takes up round a point of its edge; 0 for a point elsewhere."""
    for k, p in enumerate(ring):
        if math.dist(p, point) <= 4 * SAME:
            a, b = ring[k - 1], ring[(k + 1) % len(ring)]
            ux, uy, vx, vy = a[0] - p[0], a[1] - p[1], b[0] - p[0], b[1] - p[1]
            return math.degrees(math.atan2(abs(ux * vy - uy * vx), ux * vx + uy * vy))
    for k, q in enumerate(ring):
        p = ring[k - 1]
        length = math.dist(p, q)
        off = abs((q[0] - p[0]) * (point[1] - p[1]) - (q[1] - p[1]) * (point[0] - p[0]))
        along = (q[0] - p[0]) * (point[0] - p[0]) + (q[1] - p[1]) * (point[1] - p[1])
        if off <= 4 * SAME * length and 0 < along < length * length:
            return 180.0
    return 0.0
