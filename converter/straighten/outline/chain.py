"""A stretch of outline, sampled, with the places where straight edges may begin and end.

Everything is measured against ``size``, the height that letters of the run have (mm), so that a small block
and a large one are straightened alike.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

CORNER_DEGREES = 22.0  # the outline turns by at least this at a corner; flattened curves turn by less a step
TURN_STEP_DEGREES = 11.25  # one place to break for this much turning: 32 round a bowl
LENGTH_STEP = 0.11  # of size: and one for this much length, so that flat curves can be broken too
STRAIGHT_LENGTH = 0.055  # of size: what is straight for this long was meant to be straight
STRAIGHT_DEGREES = 1.2  # a straight run may turn by this in all; within it, level is meant level
SAMPLE_STEP = 0.010  # of size

End = Literal["x", "y"]  # on a vertical mirror axis (mirrored in x), on a horizontal one (mirrored in y)


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight run of the outline from break ``first`` to break ``last`` and its direction (unit vector)."""

    first: int
    last: int
    point: tuple[float, float]
    direction: tuple[float, float]
    length: float


@dataclass(frozen=True)  # without slots, so that what is worked out from its points can be kept
class Chain:
    """A sampled stretch of outline. Closed, or open with both ends on mirror axes or on a point's images."""

    points: Floats  # (n + 1, 2) mm; a closed chain repeats its first point
    breaks: tuple[int, ...]  # indices into points, first and last included
    hard: tuple[bool, ...]  # per break: a corner of the outline or the end of a straight run
    straights: tuple[Straight, ...]
    closed: bool
    ends: tuple[End | None, End | None] = (None, None)

    @cached_property
    def middles(self) -> Floats:
        """The middle of each step between samples, shape (n, 2)."""
        return (self.points[1:] + self.points[:-1]) / 2

    @cached_property
    def steps(self) -> Floats:
        """The length of each step between samples, shape (n,)."""
        delta = np.diff(self.points, axis=0)
        return np.asarray(np.hypot(delta[:, 0], delta[:, 1]))

    @cached_property
    def moments(self) -> Floats:
        """Length and moments (1, x, y, xx, xy, yy) of the chain up to each sample, exact for its straight steps,
        shape (n + 1, 6)."""
        x, y = self.middles.T
        dx, dy = np.diff(self.points, axis=0).T
        xx, xy, yy = x * x + dx * dx / 12, x * y + dx * dy / 12, y * y + dy * dy / 12
        table = np.stack([np.ones_like(x), x, y, xx, xy, yy], axis=1) * self.steps[:, None]
        return np.concatenate([np.zeros((1, 6)), np.cumsum(table, axis=0)])


def make_chain(
    corners: Sequence[tuple[float, float]],
    size: float,
    closed: bool,
    ends: tuple[End | None, End | None] = (None, None),
) -> Chain:
    """Samples a polyline (mm; a closed one without a repeated point) and finds its breaks."""
    points = _tidy(corners, closed, size)
    count = len(points) if closed else len(points) - 1
    if closed:
        start = sharpest_corner(points)
        points = [*points[start:], *points[: start + 1]]
    turns = [_turn(points, k, closed) for k in range(len(points))]
    runs = _straight_runs(points, turns, size)
    hard = {0, count} | {k for k in range(count + 1) if abs(turns[k]) >= math.radians(CORNER_DEGREES)}
    for first, last in runs:
        hard |= {first, last}
    vertex_breaks = _soft_breaks(points, turns, sorted(hard), runs, size)
    return _sampled(points, vertex_breaks, hard, runs, size, closed, ends)


def _tidy(corners: Sequence[tuple[float, float]], closed: bool, size: float) -> list[tuple[float, float]]:
    least = size * 1e-4
    kept: list[tuple[float, float]] = []
    for p in corners:
        if not kept or math.dist(p, kept[-1]) > least:
            kept.append((float(p[0]), float(p[1])))
    if closed and len(kept) > 3 and math.dist(kept[0], kept[-1]) <= least:
        kept.pop()
    return kept


def sharpest_corner(points: Sequence[tuple[float, float]]) -> int:
    """The index of a closed outline's sharpest corner; of its topmost, then leftmost point if it has no corner."""
    ring = [*points, points[0]]
    turns = [abs(_turn(ring, k, True)) for k in range(len(points))]
    sharpest = max(range(len(points)), key=lambda k: (round(turns[k], 6), -points[k][1], -points[k][0]))
    if turns[sharpest] < math.radians(CORNER_DEGREES):
        return min(range(len(points)), key=lambda k: (round(points[k][1], 6), points[k][0]))
    return sharpest


def hard_corners(ring: Floats) -> Flags:
    """Where a ring has a corner and not a step of a flattened curve: shape (n,), for points (n, 2), none repeated."""
    return np.asarray(np.abs(turns_of(ring)) > math.radians(CORNER_DEGREES))


def turns_of(ring: Floats) -> Floats:
    """By how much a ring turns at each of its points (radians): shape (n,), for points (n, 2)."""
    (ax, ay), (bx, by) = (ring - np.roll(ring, 1, axis=0)).T, (np.roll(ring, -1, axis=0) - ring).T
    return np.asarray(np.arctan2(ax * by - ay * bx, ax * bx + ay * by))


def _turn(points: Sequence[tuple[float, float]], k: int, closed: bool) -> float:
    last = len(points) - 1
    if k in (0, last):
        if not closed:
            return 0.0
        a, p, b = points[last - 1], points[0], points[1]
    else:
        a, p, b = points[k - 1], points[k], points[k + 1]
    ux, uy, vx, vy = p[0] - a[0], p[1] - a[1], b[0] - p[0], b[1] - p[1]
    return math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)


def _straight_runs(
    points: Sequence[tuple[float, float]], turns: Sequence[float], size: float
) -> list[tuple[int, int]]:
    runs = []
    first = 0
    last_index = len(points) - 1
    limit = math.radians(STRAIGHT_DEGREES)
    while first < last_index:
        last = first + 1
        bend = 0.0
        while last < last_index and abs(bend + turns[last]) <= limit and abs(turns[last]) <= limit:
            bend += turns[last]
            last += 1
        if math.dist(points[first], points[last]) >= STRAIGHT_LENGTH * size:
            runs.append((first, last))
        first = last
    return runs


def _soft_breaks(
    points: Sequence[tuple[float, float]],
    turns: Sequence[float],
    hard: Sequence[int],
    runs: Sequence[tuple[int, int]],
    size: float,
) -> list[float]:
    """Positions of all breaks along the polyline, as index + fraction; curves are broken evenly."""
    straight = set(runs)
    positions: list[float] = []
    for first, last in pairwise(hard):
        positions.append(float(first))
        if (first, last) in straight:
            continue
        # "Work" along the curve: turning and length, each in its own steps. Turning is shared by both
        # sides of a corner of the flattened curve.
        work = [0.0]
        for k in range(first, last):
            turn = (abs(turns[k]) if k > first else 0.0) + (abs(turns[k + 1]) if k + 1 < last else 0.0)
            length = math.dist(points[k], points[k + 1])
            step = turn / 2 / math.radians(TURN_STEP_DEGREES) + 1e-9
            work.append(work[-1] + max(step, length / (LENGTH_STEP * size)))
        count = max(1, round(work[-1]))
        for n in range(1, count):
            target = work[-1] * n / count
            k = int(np.searchsorted(work, target, side="right")) - 1
            k = min(k, len(work) - 2)
            positions.append(first + k + (target - work[k]) / (work[k + 1] - work[k]))
    positions.append(float(hard[-1]))
    return positions


def _sampled(
    points: Sequence[tuple[float, float]],
    positions: Sequence[float],
    hard: set[int],
    runs: Sequence[tuple[int, int]],
    size: float,
    closed: bool,
    ends: tuple[End | None, End | None],
) -> Chain:
    stops = sorted({*positions, *(float(k) for k in range(len(points)))})
    wanted = set(positions)
    samples: list[tuple[float, float]] = []
    breaks: list[int] = []
    break_of: dict[float, int] = {}
    for n, stop in enumerate(stops):
        here = _at(points, stop)
        if n:
            before = samples[-1]
            pieces = max(1, math.ceil(math.dist(before, here) / (SAMPLE_STEP * size)))
            for f in range(1, pieces):
                t = f / pieces
                samples.append((before[0] + t * (here[0] - before[0]), before[1] + t * (here[1] - before[1])))
        samples.append(here)
        if stop in wanted:
            break_of[stop] = len(breaks)
            breaks.append(len(samples) - 1)
    straights = []
    for first, last in runs:
        (px, py), (qx, qy) = points[first], points[last]
        length = math.hypot(qx - px, qy - py)
        straights.append(
            Straight(
                break_of[float(first)],
                break_of[float(last)],
                ((px + qx) / 2, (py + qy) / 2),
                _levelled((qx - px) / length, (qy - py) / length),
                length,
            )
        )
    return Chain(
        np.array(samples),
        tuple(breaks),
        tuple(p == int(p) and int(p) in hard for p in sorted(break_of)),
        tuple(straights),
        closed,
        ends,
    )


def _at(points: Sequence[tuple[float, float]], position: float) -> tuple[float, float]:
    k = int(position)
    if k >= len(points) - 1:
        return points[-1]
    f = position - k
    (px, py), (qx, qy) = points[k], points[k + 1]
    return (px + f * (qx - px), py + f * (qy - py)) if f else points[k]


def _levelled(dx: float, dy: float) -> tuple[float, float]:
    """The direction, made exactly horizontal or vertical where it is so within the tolerance."""
    limit = math.sin(math.radians(STRAIGHT_DEGREES))
    if abs(dy) <= limit:
        return (math.copysign(1.0, dx), 0.0)
    if abs(dx) <= limit:
        return (0.0, math.copysign(1.0, dy))
    return (dx, dy)
