"""Lines drawn by hand as a clean network: doubled and split lines made one, ends snapped, then the faces.

A line keeps its direction; an end slides along its own line to what it was meant to meet. So corners lie on their
lines exactly, and pieces tile the block exactly.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely

from converter.geometry import Line, convex_width, line_through, meet, signed_area, without_flat_corners
from converter.model import Finding, Point, Ring
from converter.redesign.edited import Stroke
from converter.redesign.tolerances import Tolerances

_ROUNDS = 6  # of settling ends that depend on each other; each makes what is left smaller by far
_End = tuple[int, int]  # the stroke's number, and 0 for its start or 1 for its end
_SLIDE = 4.0  # times the snapping tolerance that an end may slide along its line, where lines meet at a slant


@dataclass(frozen=True, slots=True)
class Tiling:
    """The pieces that lines make, or what is wrong with the lines. In mm.

    ``faces`` are the same pieces with a corner also wherever a neighbour has one, so that they join without gaps.
    """

    rings: tuple[Ring, ...] = ()
    faces: tuple[shapely.Polygon, ...] = ()
    faults: tuple[Finding, ...] = ()


def tile(strokes: Sequence[Stroke], width: float, height: float, tolerances: Tolerances) -> Tiling:
    """The faces that the strokes and the block's edge make."""
    network = _Network(width, height, tolerances)
    faults = network.take(strokes)
    if not faults and not network.strokes:
        return Tiling(faults=(_no_seams(),))
    faults += network.snap_ends()
    if faults:
        return Tiling(faults=tuple(faults))
    return network.faces()


class _Network:
    def __init__(self, width: float, height: float, tolerances: Tolerances) -> None:
        self._t = tolerances
        self._size = (width, height)
        corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
        self._edge = [Stroke(corners[k - 1], corners[k]) for k in range(4)]
        self.strokes: list[Stroke] = []
        self._hosts: dict[_End, int] = {}  # the line that an end lies on; the block's edge is -4 to -1
        self._same_as: dict[_End, _End] = {}  # ends that go where another goes

    # Which lines are there.

    def take(self, strokes: Sequence[Stroke]) -> list[Finding]:
        """Takes the strokes in, doubled and split ones as one. Returns those that leave the block."""
        faults = []
        kept = []
        for stroke in strokes:
            outside = max((self._outside(end), end) for end in (stroke.start, stroke.end))
            if outside[0] > self._t.snap:
                faults.append(_off_block(stroke, *outside))
            elif not any(self._covers(edge, stroke) for edge in self._edge):
                kept.append(stroke)
        kept.sort(key=lambda s: (-math.dist(s.start, s.end), s.start, s.end))
        merged = True
        while merged:
            merged = False
            for j in range(len(kept)):
                for k in range(len(kept) - 1, j, -1):
                    one = self._one_line(kept[j], kept[k])
                    if one is not None:
                        kept[j] = one
                        del kept[k]
                        merged = True
        self.strokes = kept
        return faults

    def _outside(self, point: Point) -> float:
        return max(-point[0], -point[1], point[0] - self._size[0], point[1] - self._size[1], 0.0)

    def _covers(self, edge: Stroke, stroke: Stroke) -> bool:
        line = line_through(edge.start, edge.end)
        return all(abs(line.side(end)) <= self._t.doubled for end in (stroke.start, stroke.end))

    def _one_line(self, a: Stroke, b: Stroke) -> Stroke | None:
        """The line that both are, where they are one line drawn twice or in two goes; a is the longer one."""
        if _angle(a, b) > self._t.bend:
            return None
        line = line_through(a.start, a.end)
        off = max(abs(line.side(end)) for end in (b.start, b.end))
        length = math.dist(a.start, a.end)
        ux, uy = (a.end[0] - a.start[0]) / length, (a.end[1] - a.start[1]) / length
        along = sorted((p[0] - a.start[0]) * ux + (p[1] - a.start[1]) * uy for p in (b.start, b.end))
        overlap = min(along[1], length) - max(along[0], 0.0)
        if overlap < -self._t.snap:
            return None
        ends = [a.start, a.end, b.start, b.end]
        ends.sort(key=lambda p: (p[0] - a.start[0]) * ux + (p[1] - a.start[1]) * uy)
        first, last = ends[0], ends[-1]
        if overlap > self._t.snap:  # twice: the longer one is the true one
            if off > self._t.doubled:
                return None
            first, last = _foot(line, first), _foot(line, last)
        elif off > self._t.same:  # in two goes, with a bend: only where they hang together
            joint = min(math.dist(p, q) for p in (a.start, a.end) for q in (b.start, b.end))
            whole = line_through(first, last)
            if joint > self._t.same or max(abs(whole.side(p)) for p in ends) > self._t.doubled:
                return None
        elif overlap < -self._t.same and not self._reaches_over(a, b):
            return None
        return Stroke(first, last, a.id or b.id)

    def _reaches_over(self, a: Stroke, b: Stroke) -> bool:
        """Whether a gap between two lines was not meant: no wider than an end may be off."""
        return min(math.dist(p, q) for p in (a.start, a.end) for q in (b.start, b.end)) <= self._t.snap

    # Where their ends belong.

    def snap_ends(self) -> list[Finding]:
        """Moves every end onto the line, the edge or the corner that it was meant for; returns those in the open."""
        ends = self._ends()
        loose = []
        for (k, which), end in ends.items():
            host, touches = self._host(k, end)
            if host is not None:
                self._hosts[k, which] = host
            if not touches:
                loose.append((k, which))
        faults = []
        for key in loose:
            # A corner that is near is what was meant, before the line that leads to it.
            corners = [o for o in self._near_ends(key, ends) if o in self._hosts and o not in loose]
            if corners and self._hosts[corners[0]] != key[0]:
                self._same_as[key] = corners[0]
            elif key not in self._hosts and not self._near_ends(key, ends):
                faults.append(self._open_end(key[0], ends[key]))
        if not faults:
            for _ in range(_ROUNDS):
                self._settle()
        return faults

    def _ends(self) -> dict[_End, Point]:
        return {(k, w): p for k, s in enumerate(self.strokes) for w, p in enumerate((s.start, s.end))}

    def _near_ends(self, key: _End, ends: dict[_End, Point]) -> list[_End]:
        """Other strokes' ends within the snapping tolerance of an end, the nearest first."""
        near = [(math.dist(p, ends[key]), other) for other, p in ends.items() if other[0] != key[0]]
        return [other for distance, other in sorted(near) if distance <= self._t.snap]

    def _stroke(self, number: int) -> Stroke:
        return self.strokes[number] if number >= 0 else self._edge[number + 4]

    def _host(self, k: int, end: Point) -> tuple[int | None, bool]:
        """The line that the end lies on, or else the nearest that it can slide to; and whether it touches it."""
        line = line_through(self.strokes[k].start, self.strokes[k].end)
        best: tuple[bool, float, int] | None = None
        touches = False
        for number in [*range(-4, 0), *range(len(self.strokes))]:
            if number == k:
                continue
            other = self._stroke(number)
            distance = _distance(end, other)
            if distance > self._t.snap:
                continue
            touches = touches or distance <= self._t.same
            place = meet(line, line_through(other.start, other.end))
            if place is None:
                continue
            slide = math.dist(end, place)
            ends_there = min(math.dist(place, other.start), math.dist(place, other.end)) <= self._t.same
            runs_through = _distance(place, other) <= self._t.same and (number < 0 or not ends_there)
            if not runs_through or slide > _SLIDE * self._t.snap:
                continue
            rank = (distance > self._t.same, slide, number)
            if best is None or rank < best:
                best = rank
        return (None if best is None else best[2]), touches

    def _settle(self) -> None:
        ends = self._ends()
        moved = {}
        for key, end in ends.items():
            host = self._hosts.get(key)
            if host is None:
                near = [end, *(ends[o] for o in self._near_ends(key, ends) if o not in self._hosts)]
                moved[key] = (sum(p[0] for p in near) / len(near), sum(p[1] for p in near) / len(near))
                continue
            own, other = self.strokes[key[0]], self._stroke(host)
            place = meet(line_through(own.start, own.end), line_through(other.start, other.end))
            moved[key] = place or end
        moved = self._gathered(moved)
        for key, other_key in self._same_as.items():
            moved[key] = moved[other_key]
        self.strokes = [Stroke(moved[k, 0], moved[k, 1], s.id) for k, s in enumerate(self.strokes)]

    def _gathered(self, ends: dict[_End, Point]) -> dict[_End, Point]:
        """Ends on one line that are the same place up to rounding become the same point."""
        result = dict(ends)
        by_host: dict[int, list[_End]] = {}
        for key, host in self._hosts.items():
            by_host.setdefault(host, []).append(key)
        for host, keys in by_host.items():
            line = line_through(self._stroke(host).start, self._stroke(host).end)
            keys.sort(key=lambda key: (line.nx * ends[key][1] - line.ny * ends[key][0], key))
            groups: list[list[_End]] = []
            for key in keys:
                if groups and math.dist(ends[groups[-1][-1]], ends[key]) <= self._t.same:
                    groups[-1].append(key)
                else:
                    groups.append([key])
            for group in groups:
                x = sum(ends[g][0] for g in group) / len(group)
                y = sum(ends[g][1] for g in group) / len(group)
                result |= dict.fromkeys(group, _foot(line, (x, y)))
        return result

    def _open_end(self, k: int, end: Point) -> Finding:
        others = [
            (_distance(end, self._stroke(n)), n) for n in [*range(-4, 0), *range(len(self.strokes))] if n != k
        ]
        distance, number = min(others)
        what = "the block's edge" if number < 0 else _name(self._stroke(number))
        return Finding(
            "seam-open-end", "redesign",
            f"{_name(self.strokes[k], True)} ends in the open at {_at(end)}, {distance:.1f} mm from {what}.",
            distance, self._t.snap, end, None,
            "Move the end onto a seam or the block's edge, or take the seam out.",
        )  # fmt: skip

    # The pieces between them.

    def faces(self) -> Tiling:
        """The pieces, or what is wrong with them."""
        edges = [shapely.LineString(edge) for edge in sorted(self._spans())]
        polygons, *leftovers = (shapely.get_parts(found) for found in shapely.polygonize_full(edges))
        faults = [_bounds_nothing(shapely.get_coordinates(line)[0]) for lines in leftovers for line in lines]
        pieces: list[tuple[Ring, shapely.Polygon]] = []
        for polygon in polygons:
            ring = without_flat_corners([(x, y) for x, y in polygon.exterior.coords[:-1]], self._t.flat)
            pieces.append((ring if signed_area(ring) > 0 else ring[::-1], polygon))
            faults += self._piece_faults(polygon, ring)
        if faults:
            return Tiling(faults=tuple(faults))
        pieces.sort(key=lambda piece: min((y, x) for x, y in piece[0]))
        return Tiling(tuple(ring for ring, _ in pieces), tuple(face for _, face in pieces))

    def _spans(self) -> set[tuple[Point, Point]]:
        """Every line cut at every place where another meets it; each place is one and the same point."""
        places: list[Point] = []
        grid: dict[tuple[int, int], list[Point]] = {}
        size = 4 * self._t.same

        def settled(point: Point) -> Point:
            cell = (math.floor(point[0] / size), math.floor(point[1] / size))
            for dx in (0, -1, 1):
                for dy in (0, -1, 1):
                    for other in grid.get((cell[0] + dx, cell[1] + dy), ()):
                        if math.dist(other, point) <= self._t.same:
                            return other
            places.append(point)
            grid.setdefault(cell, []).append(point)
            return point

        lines = [*self._edge, *self.strokes]
        stops: list[set[Point]] = [{settled(s.start), settled(s.end)} for s in lines]
        for j, a in enumerate(lines):
            for k in range(j + 1, len(lines)):
                b = lines[k]
                place = meet(line_through(a.start, a.end), line_through(b.start, b.end))
                if place and _distance(place, a) <= self._t.same and _distance(place, b) <= self._t.same:
                    stops[j].add(settled(place))
                    stops[k].add(settled(place))
        spans = set()
        for line, points in zip(lines, stops, strict=True):
            order = sorted(points, key=lambda p, s=line.start: math.dist(p, s))  # type: ignore[misc]
            spans |= {(min(p, q), max(p, q)) for p, q in pairwise(order)}
        return spans

    def _piece_faults(self, polygon: shapely.Polygon, ring: Ring) -> Iterator[Finding]:
        ring = ring if signed_area(ring) > 0 else ring[::-1]
        middle = inner_point(polygon)
        if polygon.interiors:
            yield Finding(
                "piece-not-convex", "redesign", f"The piece at {_at(middle)} has another piece inside it.",
                where=middle, hint="Let the seams round the inner piece run on to other seams.",
            )  # fmt: skip
            return
        for k, p in enumerate(ring):
            a, b = ring[k - 1], ring[(k + 1) % len(ring)]
            if (p[0] - a[0]) * (b[1] - p[1]) - (p[1] - a[1]) * (b[0] - p[0]) < -self._t.flat * math.dist(
                a, b
            ):
                yield Finding(
                    "piece-not-convex", "redesign",
                    f"The piece at {_at(middle)} has an inward corner at {_at(p)}; no straight seam can make it.",
                    where=p, hint="Let one of the seams that meet there run on across the piece.",
                )  # fmt: skip
                return
        width = convex_width(ring)
        if width < self._t.sliver:
            yield Finding(
                "piece-sliver", "redesign", f"The piece at {_at(middle)} is a sliver {width:.2f} mm wide.",
                width, self._t.sliver, middle, None,
                "Take one of its seams out, or move them apart.",
            )  # fmt: skip


def inner_point(polygon: shapely.Polygon) -> Point:
    """The point of a polygon that is furthest from its edge."""
    x, y = shapely.maximum_inscribed_circle(polygon).coords[0][:2]
    return x, y


def _bounds_nothing(place: Sequence[float]) -> Finding:
    return Finding(
        "seam-open-end", "redesign", f"A seam bounds no piece at {_at(place)}.",
        where=(float(place[0]), float(place[1])), hint="Move its ends onto seams or the block's edge.",
    )  # fmt: skip


def _no_seams() -> Finding:
    return Finding(
        "no-seams", "redesign", "Nothing is drawn: the layer 'seams' has no line in it.",
        hint="Draw the seams as straight lines from edge to edge.",
    )  # fmt: skip


def _off_block(stroke: Stroke, distance: float, end: Point) -> Finding:
    return Finding(
        "seam-off-block", "redesign",
        f"{_name(stroke, True)} runs {distance:.1f} mm off the block at {_at(end)}.",
        distance, None, end, None, "End it on the block's edge.",
    )  # fmt: skip


def _name(stroke: Stroke, first: bool = False) -> str:
    if stroke.id:
        return stroke.id
    middle = ((stroke.start[0] + stroke.end[0]) / 2, (stroke.start[1] + stroke.end[1]) / 2)
    return f"{'The' if first else 'the'} seam at {_at(middle)}"


def _at(point: Sequence[float]) -> str:
    return f"({point[0]:.1f}, {point[1]:.1f}) mm"


def _angle(a: Stroke, b: Stroke) -> float:
    ux, uy, vx, vy = (*_direction(a), *_direction(b))
    return math.degrees(math.atan2(abs(ux * vy - uy * vx), abs(ux * vx + uy * vy)))


def _direction(stroke: Stroke) -> tuple[float, float]:
    return stroke.end[0] - stroke.start[0], stroke.end[1] - stroke.start[1]


def _foot(line: Line, point: Point) -> Point:
    """The point of the line that is nearest to a point."""
    side = line.side(point)
    return point[0] - side * line.nx, point[1] - side * line.ny


def _distance(point: Point, stroke: Stroke) -> float:
    """From a point to the nearest point of a stroke."""
    (x0, y0), (dx, dy) = stroke.start, _direction(stroke)
    share = ((point[0] - x0) * dx + (point[1] - y0) * dy) / (dx * dx + dy * dy)
    share = min(max(share, 0.0), 1.0)
    return math.dist(point, (x0 + share * dx, y0 + share * dy))
