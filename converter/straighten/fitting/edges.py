"""Every straight edge that could stand for a stretch of a chain, and what it would cost in truth.

An edge that stands for a curve crosses it: its offset is the mean of the curve's, so that what the letter
loses on one side it gains on the other. Straight runs of the outline keep their direction, and mostly their
place: stems stay upright and keep their width.
"""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from converter.compiled import Floats, Integers, compiled, inner, int64
from converter.straighten.outline.chain import Chain
from converter.straighten.outline.lines import LEAST_SLANT, NEARLY_LEVEL, SAME_NORMAL, image_of, normal_form

RULING_SHARE = 0.45  # a straight run this much of a stretch decides its edge
MEANT_STRAIGHT = 0.16  # of size: a straight run this long is never hidden under another edge
HEIGHT_REACH = 0.028  # of size: a level edge this near to a height of the alphabet takes it
STRAIGHT_REACH = 0.012  # of size: the same for what is straight in the font
SHARED_TURN = math.sin(math.radians(6))  # an edge may take a line that turns it by no more than this
SAME_DISTANCE = 1e-4  # mm: lines that differ by less, and no more in their normals, are one
LINES = 5  # that a stretch may lie on by itself, at most


@dataclass(frozen=True, slots=True)
class Reach:
    """How far edges may be from the outline, as shares of size.

    ``curve``: a curve's sample from its edge's line; in the mean square, a stretch that has a straight run.
    ``shared``: a straight run from a line that it shares with other edges.
    """

    curve: float
    shared: float


class Path(NamedTuple):
    """A chain as numbers."""

    points: Floats  # (samples, 2) mm
    steps: Floats  # (samples - 1,): from each to the next
    moments: Floats  # (samples, 6), as in :class:`Chain`
    breaks: Integers  # samples at which edges may begin and end
    hard: Integers  # for each break 1 at a corner or the end of a straight run
    runs: Floats  # (runs, 7): first break, last break, a point, direction, length
    closed: bool


class Stretches(NamedTuple):
    """Stretches of a chain that one edge may stand for, those that begin first ahead; arrays of the same length.

    ``line``: of the straight run that decides the edge (``ruled``); without one, the nearest in the mean square, from
    which the stretch is ``rms`` (of size) off. ``turns_back`` in x, in y: it has a highest or lowest place between its
    ends, where a bowl is level.
    """

    start: Integers  # break
    end: Integers
    middle: Floats  # (stretches, 2)
    line: Floats  # (stretches, 3)
    ruled: Integers
    turns_back: Integers  # (stretches, 2)
    rms: Floats


class Edges(NamedTuple):
    """Edges for stretches of a chain, those that begin first ahead; arrays of the same length."""

    start: Integers  # break
    end: Integers
    line: Floats  # (edges, 3)
    along: Floats  # (edges, 2): unit vector in the sense of the chain
    area: Floats  # mm² between the chain and the line
    chord: Floats  # mm, from the beginning of the stretch to its end
    at_height: Integers  # 1 on a height of the alphabet
    orbit: Integers  # how many lines of the figure the edge's line stands for: its images
    curve: Floats  # the reach that it needs, see :class:`Reach`
    shared: Floats


def path_of(chain: Chain) -> Path:
    """A chain as numbers."""
    runs = [(s.first, s.last, *s.point, *s.direction, s.length) for s in chain.straights]
    return Path(
        points=np.ascontiguousarray(chain.points),
        steps=chain.steps,
        moments=chain.moments,
        breaks=np.array(chain.breaks, dtype=np.int64),
        hard=np.array(chain.hard, dtype=np.int64),
        runs=np.array(runs, dtype=float).reshape(-1, 7),
        closed=chain.closed,
    )


def both(own: Edges, more: Edges) -> Edges:
    """All edges of the two, those that begin first ahead."""
    order = np.argsort(np.concatenate([own.start, more.start]), kind="stable")
    return Edges(*(np.concatenate(columns)[order] for columns in zip(own, more, strict=True)))


@compiled
def find_stretches(path: Path, size: float, curve: float) -> Stretches:
    """All stretches that are, in the mean square, within ``curve`` (of size) of a straight line, and hide no straight
    run that is meant."""
    last = len(path.breaks) - 1
    most = last * (last + 1) // 2
    start, end, ruled = np.empty(most, np.int64), np.empty(most, np.int64), np.zeros(most, np.int64)
    middle, line, rms = np.empty((most, 2)), np.empty((most, 3)), np.empty(most)
    turns_back = np.zeros((most, 2), np.int64)
    sums, low, high, before, first = np.empty(6), np.empty(2), np.empty(2), np.empty(2), np.empty(2)
    count = 0
    for a in range(last):
        begin = path.breaks[a]
        at = begin
        for c in range(2):
            low[c], high[c] = np.inf, -np.inf
            first[c] = (path.points[begin, c] + path.points[begin + 1, c]) / 2
        for b in range(a + 1, last + 1):
            stop = path.breaks[b]
            while at < stop:  # the middles of all steps but the last, between which and the first it may turn
                for c in range(2):
                    if at > begin:
                        low[c], high[c] = min(low[c], before[c]), max(high[c], before[c])
                    before[c] = (path.points[at, c] + path.points[at + 1, c]) / 2
                at += 1
            for c in range(6):
                sums[c] = path.moments[stop, c] - path.moments[begin, c]
            x, y = sums[1] / sums[0], sums[2] / sums[0]
            cxx, cxy, cyy = sums[3] / sums[0] - x * x, sums[4] / sums[0] - x * y, sums[5] / sums[0] - y * y
            u, v = cxx - cyy, 2 * cxy
            r = np.sqrt(u * u + v * v)
            off = np.sqrt(max((cxx + cyy - r) / 2, 0.0)) / size
            dx = path.points[stop, 0] - path.points[begin, 0]
            dy = path.points[stop, 1] - path.points[begin, 1]
            if off > curve or dx * dx + dy * dy < (1e-6 * size) ** 2:
                continue
            run = -1
            for k in range(len(path.runs)):
                inside = path.runs[k, 0] >= a and path.runs[k, 1] <= b
                if inside and (run < 0 or path.runs[k, 6] > path.runs[run, 6]):
                    run = k
            if run >= 0 and path.runs[run, 6] >= RULING_SHARE * sums[0]:
                ruled[count] = 1
                nx, ny, _ = normal_form(-path.runs[run, 5], path.runs[run, 4], 0.0)
                px, py = path.runs[run, 2], path.runs[run, 3]
            elif run >= 0 and path.runs[run, 6] >= MEANT_STRAIGHT * size:
                continue
            else:
                # Half of the angle whose tangent is v / u, without trigonometry.
                cosine = np.sqrt(max((1 + u / r) / 2, 0.0)) if r > 0 else 1.0
                sine = np.sqrt(max((1 - u / r) / 2, 0.0)) if r > 0 else 0.0
                nx, ny, _ = normal_form(sine if v < 0 else -sine, cosine, 0.0)
                px, py = x, y
            start[count], end[count], rms[count] = a, b, off
            middle[count, 0], middle[count, 1] = x, y
            line[count, 0], line[count, 1], line[count, 2] = nx, ny, nx * px + ny * py
            for c in range(2):
                beyond = high[c] > max(first[c], before[c]) or low[c] < min(first[c], before[c])
                turns_back[count, c] = 1 if beyond else 0
            count += 1
    return Stretches(
        start[:count], end[:count], middle[:count], line[:count], ruled[:count], turns_back[:count], rms[:count],
    )  # fmt: skip


@inner
def _put(lines: Floats, count: int, nx: float, ny: float, d: float) -> int:
    """Puts a line after the first ``count``, where it is none of them; how many there are now."""
    for k in range(count):
        turned = max(abs(lines[k, 0] - nx), abs(lines[k, 1] - ny)) >= SAME_NORMAL
        if not turned and abs(lines[k, 2] - d) < SAME_DISTANCE:
            return count
    lines[count, 0], lines[count, 1], lines[count, 2] = nx, ny, d
    return count + 1


@inner
def _put_height(lines: Floats, count: int, y: float, heights: Floats, reach: float) -> int:
    """The same with the level line at the alphabet's nearest height, if there is one within reach (mm)."""
    nearest = np.inf
    for k in range(len(heights)):
        if abs(heights[k] - y) < abs(nearest - y):
            nearest = heights[k]
    return _put(lines, count, 0.0, 1.0, nearest) if abs(nearest - y) <= reach else count


@inner
def _own_lines(stretches: Stretches, s: int, size: float, heights: Floats, lines: Floats) -> int:
    """Puts down the lines that a stretch's edge may lie on by itself; how many they are."""
    nx, ny, d = stretches.line[s, 0], stretches.line[s, 1], stretches.line[s, 2]
    x, y = stretches.middle[s, 0], stretches.middle[s, 1]
    count = int64(0)
    if stretches.ruled[s]:
        count = _put(lines, count, nx, ny, d)
        return _put_height(lines, count, d, heights, STRAIGHT_REACH * size) if nx == 0.0 else count
    flat, upright = abs(nx) < NEARLY_LEVEL, abs(ny) < NEARLY_LEVEL
    if flat:
        count = _put(lines, count, 0.0, 1.0, y)
        count = _put_height(lines, count, y, heights, HEIGHT_REACH * size)
    if upright:
        count = _put(lines, count, 1.0, 0.0, x)
    turns_back = (flat and stretches.turns_back[s, 1]) or (upright and stretches.turns_back[s, 0])
    if not turns_back and min(abs(nx), abs(ny)) > LEAST_SLANT:
        count = _put(lines, count, nx, ny, d)
    return count


@inner
def _pool_lines(stretches: Stretches, s: int, pool: Floats, lines: Floats) -> int:
    """Puts down the lines of a pool that nearly have a stretch's direction; what is level stays level."""
    nx, ny = stretches.line[s, 0], stretches.line[s, 1]
    count = int64(0)
    for k in range(len(pool)):
        if (
            abs(pool[k, 0] * ny - pool[k, 1] * nx) <= SHARED_TURN
            and (pool[k, 0] == 0.0) == (nx == 0.0)
            and (pool[k, 1] == 0.0) == (ny == 0.0)
        ):
            lines[count, 0], lines[count, 1], lines[count, 2] = pool[k, 0], pool[k, 1], pool[k, 2]
            count += 1
    return count


@inner
def _off(path: Path, first: int, last: int, line: Floats) -> tuple[float, float]:
    """How far (mm) the chain from sample to sample is from a line at most, and the area (mm²) between them."""
    far = area = 0.0
    for k in range(first, last):
        x = (path.points[k, 0] + path.points[k + 1, 0]) / 2
        y = (path.points[k, 1] + path.points[k + 1, 1]) / 2
        off = abs(x * line[0] + y * line[1] - line[2])
        far = max(far, off)
        area += off * path.steps[k]
    return far, area


@inner
def _count_images(line: Floats, maps: Floats, found: Floats) -> int:
    """How many different images a line has, itself one of them; they are put down in ``found``."""
    found[0, 0], found[0, 1], found[0, 2] = line[0], line[1], line[2]
    count = int64(1)
    for g in range(len(maps)):
        nx, ny, d = image_of(line, maps, g)
        count = _put(found, count, nx, ny, d)
    return count


@compiled
def find_edges(
    path: Path, stretches: Stretches, size: float, heights: Floats, maps: Floats, pool: Floats
) -> Edges:
    """The edges that each stretch may have for itself; or, with a ``pool`` of lines that other edges of the figure lie
    on, those that it may have on them. ``heights`` (mm, y) are the alphabet's, ``maps`` the symmetries'."""
    room = max(len(pool), int64(LINES))
    most, count = len(stretches.start) * room, 0
    lines, images = np.empty((room, 3)), np.empty((1 + len(maps), 3))
    stretch, area, far, own = np.empty(most, np.int64), np.empty(most), np.empty(most), np.empty(most)
    line = np.empty((most, 3))
    for s in range(len(stretches.start)):
        first, last = path.breaks[stretches.start[s]], path.breaks[stretches.end[s]]
        if len(pool):  # noqa: SIM108
            found = _pool_lines(stretches, s, pool, lines)
        else:
            found = _own_lines(stretches, s, size, heights, lines)
        own_off = _off(path, first, last, stretches.line[s])[0] if found else 0.0
        for n in range(found):
            stretch[count], own[count] = s, own_off
            far[count], area[count] = _off(path, first, last, lines[n])
            line[count, 0], line[count, 1], line[count, 2] = lines[n, 0], lines[n, 1], lines[n, 2]
            count += 1
    start, end, orbit = np.empty(count, np.int64), np.empty(count, np.int64), np.empty(count, np.int64)
    along, chord, at_height = np.empty((count, 2)), np.empty(count), np.zeros(count, np.int64)
    curve, shared = np.empty(count), np.zeros(count)
    for k in range(count):
        s = stretch[k]
        start[k], end[k] = stretches.start[s], stretches.end[s]
        p, q = path.breaks[start[k]], path.breaks[end[k]]
        dx, dy = path.points[q, 0] - path.points[p, 0], path.points[q, 1] - path.points[p, 1]
        chord[k] = np.sqrt(dx * dx + dy * dy)
        sense = 1.0 if line[k, 1] * dx - line[k, 0] * dy >= 0 else -1.0
        along[k, 0], along[k, 1] = sense * line[k, 1], -sense * line[k, 0]
        for n in range(len(heights)):
            if line[k, 0] == 0.0 and line[k, 2] == heights[n]:
                at_height[k] = 1
        orbit[k] = _count_images(line[k], maps, images)
        area[k] = np.floor(area[k] * 1e6 + 0.5) / 1e6
        if stretches.ruled[s]:
            curve[k] = stretches.rms[s]
            # Of no run is more asked than it gives.
            shared[k] = 0.0 if far[k] <= own[k] + 1e-9 else far[k] / size
        else:
            curve[k] = far[k] / size
    return Edges(start, end, line[:count], along, area[:count], chord, at_height, orbit, curve, shared)
