"""Corners drawn by hand, moved on to what the letters of the set share: heights, widths of strokes, slopes, the edge.

Corners that are where the program drew them stay, to the last digit; only what a hand drew can be meant otherwise.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from converter.geometry import Line, line_through, meet, normal_form
from converter.measures import measured_text
from converter.model import Point, Polygons
from converter.redesign.figure.painting import Figures
from converter.redesign.ground import Ground
from converter.redesign.tolerances import TOLERANCES
from converter.sewing.problem import edges_of
from converter.straighten.outline.strokes import strokes

_FARTHEST = 2.0  # times the tolerance that a corner may slide along its edge
_LEAST = 1e-6  # mm
_ACROSS = 0.3  # sine of the angle at which an edge is said to cross a height
_TURN = 2.0  # degrees: an edge this near to a slope was meant to have it


def snapped(figures: Figures, ground: Ground) -> tuple[list[tuple[str, Polygons]], tuple[str, ...]]:
    """The figures with their corners on the set's measures, and what is to be said of that."""
    former = [p for _, polygons in ground.drawn_shape for edge in edges_of(polygons) for p in edge]
    done, moved = [], _Moved()
    for fabric, polygons in figures:
        rings = [_Corners(ring, former) for polygon in polygons for ring in polygon]
        for corners in rings:
            _on_guides(corners, ground, moved)
        _in_widths(rings, ground, moved)
        for corners in rings:
            _in_slopes(corners, ground, moved)
        left = iter(rings)
        done.append((fabric, tuple(tuple(tuple(next(left).points) for _ in polygon) for polygon in polygons)))
    return done, tuple(moved.told(ground))


@dataclass(slots=True)
class _Moved:
    """How many corners went where, and how far the farthest was from it."""

    to: dict[str, int] = field(default_factory=dict)
    farthest: float = 0.0

    def note(self, what: str, distance: float) -> None:
        self.to[what] = self.to.get(what, 0) + 1
        self.farthest = max(self.farthest, distance)

    def told(self, ground: Ground) -> Iterator[str]:
        if self.to:
            counts = ", ".join(f"{count} on to {what}" for what, count in self.to.items())
            far = measured_text(self.farthest, ground.settings.speaks)
            yield f"corners of the shape were moved by up to {far}: {counts}"


class _Corners:
    """The corners of a ring; those that the program drew are ``fixed``, and exactly where it drew them."""

    def __init__(self, ring: Sequence[Point], former: Sequence[Point]) -> None:
        self.points: list[Point] = []
        self.fixed: list[bool] = []
        self.pinned: set[tuple[int, int]] = set()  # corner and axis that lie on a height or the block's edge
        for p in ring:
            same = min(former, key=lambda q: math.dist(p, q), default=None)
            is_same = same is not None and math.dist(p, same) <= TOLERANCES.unmoved
            self.points.append(same if same is not None and is_same else p)
            self.fixed.append(is_same)

    def neighbours(self, k: int) -> tuple[Point, Point]:
        return self.points[k - 1], self.points[(k + 1) % len(self.points)]


def _on_guides(corners: _Corners, ground: Ground, moved: _Moved) -> None:
    edge = "the block's edge"
    guides = [
        (1, [*((y, "a height") for y in ground.hand.heights), (0.0, edge), (ground.height, edge)]),
        (0, [(0.0, edge), (ground.width, edge)]),
    ]
    for k, is_fixed in enumerate(corners.fixed):
        for axis, places in guides:
            if is_fixed:
                continue
            off, at, what = min((abs(at - corners.points[k][axis]), at, what) for at, what in places)
            if off > TOLERANCES.snap:
                continue
            corners.pinned.add((k, axis))
            place = _slid(corners, k, axis, at)
            if off > _LEAST:
                moved.note(what, math.dist(place, corners.points[k]))
            corners.points[k] = place


def _slid(corners: _Corners, k: int, axis: int, at: float) -> Point:
    """The corner with that coordinate: along its one edge that crosses the height, or straight on to it."""
    x, y = corners.points[k]
    guide = Line(1.0, 0.0, at) if axis == 0 else Line(0.0, 1.0, at)
    lines = [line_through(p, (x, y)) for p in corners.neighbours(k) if p != (x, y)]
    across = [line for line in lines if abs(line.nx * guide.ny - line.ny * guide.nx) > _ACROSS]
    place = meet(across[0], guide) if len(across) == 1 else None
    if place is None or math.dist(place, (x, y)) > _FARTHEST * TOLERANCES.snap:
        place = (x, y)
    return (at, place[1]) if axis == 0 else (place[0], at)


def _in_widths(rings: Sequence[_Corners], ground: Ground, moved: _Moved) -> None:
    """Moves an upright or level edge so that the stroke beside it has a width that the letters share."""
    figure = tuple((tuple(corners.points),) for corners in rings if len(corners.points) > 2)
    for stroke in strokes(edges_of(figure), figure, ground.size):
        widths = ground.hand.bars if stroke.axis else ground.hand.stems
        off, width = min(((abs(w - stroke.width), w) for w in widths), default=(math.inf, 0.0))
        if not _LEAST < off <= TOLERANCES.snap:
            continue
        for old, new in ((stroke.high, stroke.low + width), (stroke.low, stroke.high - width)):
            there = [
                (corners, k)
                for corners in rings
                for k, p in enumerate(corners.points)
                if p[stroke.axis] == old and any(q[stroke.axis] == old for q in corners.neighbours(k))
            ]
            if any(corners.fixed[k] or (k, stroke.axis) in corners.pinned for corners, k in there):
                continue
            for corners, k in there:
                x, y = corners.points[k]
                corners.points[k] = (new, y) if stroke.axis == 0 else (x, new)
                moved.note("a stroke's width", off)
            break


def _in_slopes(corners: _Corners, ground: Ground, moved: _Moved) -> None:
    """Turns an edge to a slope that the letters share; its ends slide along the edges beside it."""
    count = len(corners.points)
    for k in range(count):
        j = (k + 1) % count
        p, q = corners.points[k], corners.points[j]
        if p == q or (corners.fixed[k] and corners.fixed[j]):
            continue
        slope = math.degrees(math.atan2(abs(q[1] - p[1]), abs(q[0] - p[0])))
        off, wish = min(((abs(s - slope), s) for s in ground.hand.slopes), default=(math.inf, 0.0))
        if not 1e-3 < off <= _TURN:
            continue
        through = p if corners.fixed[k] else q if corners.fixed[j] else ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
        line = _sloped(line_through(p, q), wish, through)
        ends = [
            point if corners.fixed[end] else _on_edge(corners.points[beside], point, line)
            for end, point, beside in ((k, p, k - 1), (j, q, (j + 1) % count))
        ]
        far = max((math.dist(a, b) for a, b in zip(ends, (p, q), strict=True) if a), default=math.inf)
        if None in ends or far > TOLERANCES.snap:
            continue
        for end, place in ((k, ends[0]), (j, ends[1])):
            if place is not None and not corners.fixed[end]:
                corners.points[end] = place
                moved.note("a slope", far)


def _sloped(line: Line, degrees: float, through: Point) -> Line:
    nx = math.copysign(math.sin(math.radians(degrees)), line.nx)
    ny = math.copysign(math.cos(math.radians(degrees)), line.ny)
    return normal_form(nx, ny, nx * through[0] + ny * through[1])


def _on_edge(beside: Point, corner: Point, line: Line) -> Point | None:
    return meet(line_through(beside, corner), line) if beside != corner else None
