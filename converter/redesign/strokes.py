"""Strokes as a hand drew them: which of them are one line, and how far things are from them."""

import math
from collections.abc import Sequence

from converter.geometry import Line, line_through
from converter.measures import Units, measured_text, place_text
from converter.model import Finding, Point
from converter.redesign.edited import Stroke
from converter.redesign.tolerances import Tolerances


def edge_of(width: float, height: float) -> tuple[Stroke, ...]:
    """The block's edge as four strokes."""
    corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    return tuple(Stroke(corners[k - 1], corners[k]) for k in range(4))


def single_lines(
    strokes: Sequence[Stroke], width: float, height: float, tolerances: Tolerances, units: Units
) -> tuple[list[Stroke], list[Finding]]:
    """The strokes without those along the edge, those drawn twice or in two goes as one; and what leaves the block.

    ``units``: that findings speak in.
    """
    edge = edge_of(width, height)
    faults, kept = [], []
    for stroke in strokes:
        outside = max((_outside(end, width, height), end) for end in (stroke.start, stroke.end))
        if outside[0] > tolerances.snap:
            faults.append(_off_block(stroke, *outside, units))
        elif not any(_covers(side, stroke, tolerances.doubled) for side in edge):
            kept.append(stroke)
    kept.sort(key=lambda s: (-math.dist(s.start, s.end), s.start, s.end))
    merged = True
    while merged:
        merged = False
        for j in range(len(kept)):
            for k in range(len(kept) - 1, j, -1):
                one = _one_line(kept[j], kept[k], tolerances)
                if one is not None:
                    kept[j] = one
                    del kept[k]
                    merged = True
    return kept, faults


def _outside(point: Point, width: float, height: float) -> float:
    return max(-point[0], -point[1], point[0] - width, point[1] - height, 0.0)


def _covers(edge: Stroke, stroke: Stroke, tolerance: float) -> bool:
    line = line_through(edge.start, edge.end)
    return all(abs(line.side(end)) <= tolerance for end in (stroke.start, stroke.end))


def _one_line(a: Stroke, b: Stroke, tolerances: Tolerances) -> Stroke | None:
    """The line that both are, where they are one line drawn twice or in two goes; a is the longer one."""
    if _apart(a, b) > tolerances.snap + tolerances.doubled or _angle(a, b) > tolerances.bend:
        return None
    line = line_through(a.start, a.end)
    off = max(abs(line.side(end)) for end in (b.start, b.end))
    length = math.dist(a.start, a.end)
    ux, uy = (a.end[0] - a.start[0]) / length, (a.end[1] - a.start[1]) / length
    along = sorted((p[0] - a.start[0]) * ux + (p[1] - a.start[1]) * uy for p in (b.start, b.end))
    overlap = min(along[1], length) - max(along[0], 0.0)
    if overlap < -tolerances.snap:
        return None
    ends = [a.start, a.end, b.start, b.end]
    ends.sort(key=lambda p: (p[0] - a.start[0]) * ux + (p[1] - a.start[1]) * uy)
    first, last = ends[0], ends[-1]
    if overlap > tolerances.snap:  # twice: the longer one is the true one
        if off > tolerances.doubled:
            return None
        first, last = foot(line, first), foot(line, last)
    elif off > tolerances.same:  # in two goes, with a bend: only where they hang together
        whole = line_through(first, last)
        if _joint(a, b) > tolerances.same or max(abs(whole.side(p)) for p in ends) > tolerances.doubled:
            return None
    elif overlap < -tolerances.same and _joint(a, b) > tolerances.snap:
        return None
    return Stroke(first, last, a.id or b.id)


def _apart(a: Stroke, b: Stroke) -> float:
    """How far apart two strokes are across or down, at the least."""
    return max(
        max(
            min(a.start[k], a.end[k]) - max(b.start[k], b.end[k]),
            min(b.start[k], b.end[k]) - max(a.start[k], a.end[k]),
        )
        for k in (0, 1)
    )


def _joint(a: Stroke, b: Stroke) -> float:
    """How far apart the nearest ends of two strokes are."""
    return min(math.dist(p, q) for p in (a.start, a.end) for q in (b.start, b.end))


def _off_block(stroke: Stroke, distance: float, end: Point, units: Units) -> Finding:
    return Finding(
        "seam-off-block", "redesign",
        f"{name_of(stroke, units, True)} runs {measured_text(distance, units)} off the block "
        f"at {place_text(*end, units)}.",
        distance, None, end, None, "End it on the block's edge.",
    )  # fmt: skip


def name_of(stroke: Stroke, units: Units, first: bool = False) -> str:
    """What a message calls a stroke; ``first`` where it begins the sentence."""
    if stroke.id:
        return stroke.id
    middle = ((stroke.start[0] + stroke.end[0]) / 2, (stroke.start[1] + stroke.end[1]) / 2)
    return f"{'The' if first else 'the'} seam at {place_text(*middle, units)}"


def _angle(a: Stroke, b: Stroke) -> float:
    ux, uy, vx, vy = (*_direction(a), *_direction(b))
    return math.degrees(math.atan2(abs(ux * vy - uy * vx), abs(ux * vx + uy * vy)))


def _direction(stroke: Stroke) -> tuple[float, float]:
    return stroke.end[0] - stroke.start[0], stroke.end[1] - stroke.start[1]


def foot(line: Line, point: Point) -> Point:
    """The point of the line that is nearest to a point."""
    side = line.side(point)
    return point[0] - side * line.nx, point[1] - side * line.ny


def distance_to(point: Point, stroke: Stroke) -> float:
    """From a point to the nearest point of a stroke."""
    (x0, y0), (dx, dy) = stroke.start, _direction(stroke)
    share = ((point[0] - x0) * dx + (point[1] - y0) * dy) / (dx * dx + dy * dy)
    share = min(max(share, 0.0), 1.0)
    return math.dist(point, (x0 + share * dx, y0 + share * dy))
