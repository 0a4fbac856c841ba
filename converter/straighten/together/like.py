"""Which stretches of a run's outlines are alike: the bowls of b d p q, the arches of n m h, the rounds of C G O Q.

A *window* is a smooth, bent stretch of an outline, of a settled length. Two are like where one is the other, moved and
mirrored. (Windows, not whole strokes: what letters have alike begins and ends anywhere.) Lengths in mm.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from shapely.geometry import MultiPolygon
from shapely.geometry.polygon import orient

from converter.compiled import Floats, Integers, compiled, inner

POINTS = 21  # of a window
LENGTH = 0.4  # of size
STEP = 0.02  # of size: from one window to the next along an outline, and between the points of a window
SHARPEST_DEGREES = 26.0  # between two points; a corner turns by more
LEAST_BEND, MOST_BEND = 45.0, 210.0  # degrees, in all
SAME_SHAPE = 0.012  # of size: like windows are nowhere farther apart
BESIDE = 4  # windows of one ring, so near to each other that only one of them is like another
MIRRORS = np.array([(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)])


class Windows(NamedTuple):
    """All windows of a run, in the order of its letters and their rings."""

    letters: Integers  # (windows,): number of the letter
    rings: Integers  # (windows,): number of the ring in its letter
    counters: Integers  # (windows,): 1 on the outline of a counter
    middles: Floats  # (windows, 2)
    points: Floats  # (windows, POINTS, 2), from the middle one; with the ink on the same side of all


class Likeness(NamedTuple):
    """Which windows are like, each pair both ways, in the order of the first ones."""

    starts: Integers  # (windows + 1,): where the pairs of each window begin
    others: Integers  # (pairs,)
    mirrors: Integers  # (pairs,): row of :data:`MIRRORS` that makes the one the other


def find_windows(outlines: Sequence[MultiPolygon], size: float) -> Windows:
    """The windows of outlines; ``size`` is the height of the letters."""
    middles, points = [np.empty((0, 2))], [np.empty((0, POINTS, 2))]
    numbers: list[tuple[int, int, int]] = []
    for letter, outline in enumerate(outlines):
        number = 0
        for polygon in map(orient, outline.geoms):
            for k, ring in enumerate((polygon.exterior, *polygon.interiors)):
                number += 1
                if ring.length < 1.2 * LENGTH * size:
                    continue
                here, round_it = _along(np.asarray(ring.coords), size)
                bent = _are_bent(round_it)
                middles.append(here[bent])
                points.append(round_it[bent])
                numbers += [(letter, number, int(k > 0))] * int(bent.sum())
    letters, rings, counters = (column.copy() for column in np.array(numbers, np.int64).reshape(-1, 3).T)
    return Windows(letters, rings, counters, np.concatenate(middles), np.concatenate(points))


def like_windows(windows: Windows, size: float) -> Likeness:
    """The like windows of a run. A letter's windows are like each other only mirrored: moved, they are neighbours."""
    order = np.argsort(windows.points[:, 0, 0], kind="stable")
    rows = [
        np.column_stack([found, np.full(len(found), number)])
        for number, mirror in enumerate(MIRRORS)
        if len(found := _pairs(windows, order, mirror, SAME_SHAPE * size))
    ]
    pairs = np.concatenate(rows or [np.empty((0, 3), np.int64)])
    pairs = pairs[np.lexsort((pairs[:, 2], pairs[:, 1], pairs[:, 0]))]
    starts = np.searchsorted(pairs[:, 0], np.arange(len(windows.letters) + 1))
    return Likeness(starts, np.ascontiguousarray(pairs[:, 1]), np.ascontiguousarray(pairs[:, 2]))


def _along(ring: Floats, size: float) -> tuple[Floats, Floats]:
    """Middles and points of all windows of a closed ring."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
    count = max(1, round(along[-1] / (STEP * size)))
    places = np.arange(count)[:, None] * along[-1] / count + np.linspace(-0.5, 0.5, POINTS) * LENGTH * size
    points = np.stack([np.interp(places % along[-1], along, ring[:, axis]) for axis in (0, 1)], axis=2)
    middles = points[:, POINTS // 2]
    return middles, points - middles[:, None]


def _are_bent(points: Floats) -> npt.NDArray[np.bool_]:
    steps = np.diff(points, axis=1)
    (ux, uy), (vx, vy) = steps[:, :-1].transpose(2, 0, 1), steps[:, 1:].transpose(2, 0, 1)
    turns = np.degrees(np.arctan2(ux * vy - uy * vx, ux * vx + uy * vy))
    bend, sharpest = np.abs(turns.sum(axis=1)), np.abs(turns).max(axis=1)
    return np.asarray((sharpest <= SHARPEST_DEGREES) & (bend >= LEAST_BEND) & (bend <= MOST_BEND))


@compiled
def _pairs(windows: Windows, order: Integers, mirror: Floats, reach: float) -> Integers:
    """Pairs of windows of which the second is the first, moved and mirrored so; ``order``: by their first points."""
    count = len(windows.points)
    back = (
        mirror[0] * mirror[1] < 0
    )  # the ink stays on the same side: mirrored once, a window runs the other way
    plain = mirror[0] > 0 and mirror[1] > 0
    pairs = np.empty((1024, 2), np.int64)
    n = 0
    for i in range(count):
        first = mirror[0] * windows.points[i, POINTS - 1 if back else 0, 0]
        low, high = 0, count  # by halves, the first in order that may be near
        while low < high:
            middle = (low + high) // 2
            if windows.points[order[middle], 0, 0] < first - reach:
                low = middle + 1
            else:
                high = middle
        begin = n
        for at in range(low, count):
            j = order[at]
            if windows.points[j, 0, 0] > first + reach:
                break
            if windows.counters[i] != windows.counters[j]:
                continue
            if plain and windows.letters[i] == windows.letters[j]:
                continue
            if _apart(windows.points, i, j, mirror, back, reach) == np.inf:
                continue
            if n == len(pairs):
                wider = np.empty((2 * n, 2), np.int64)
                for m in range(n):
                    wider[m, 0], wider[m, 1] = pairs[m, 0], pairs[m, 1]
                pairs = wider
            pairs[n, 0], pairs[n, 1] = i, j
            n += 1
        n = _likest(windows, pairs, begin, n, mirror, back, reach)
    return pairs[:n].copy()


@inner
def _apart(points: Floats, i: int, j: int, mirror: Floats, back: bool, reach: float) -> float:
    """How far two windows are apart: sum of the squares (mm²) over their points; infinite beyond the reach (mm)."""
    total = 0.0
    for k in range(POINTS):
        p = POINTS - 1 - k if back else k
        for axis in range(2):
            off = mirror[axis] * points[i, p, axis] - points[j, k, axis]
            if abs(off) > reach:
                return float(np.inf)
            total += off * off
    return total


@inner
def _likest(
    windows: Windows, pairs: Integers, begin: int, end: int, mirror: Floats, back: bool, reach: float
) -> int:
    """Keeps of the pairs of one window only the likest of those that are side by side; where they end now."""
    apart = np.empty(end - begin)
    for n in range(begin, end):
        apart[n - begin] = _apart(windows.points, pairs[n, 0], pairs[n, 1], mirror, back, reach)
    likest = np.ones(end - begin, np.int64)
    for n in range(begin, end):
        j = pairs[n, 1]
        for m in range(begin, end):
            other = pairs[m, 1]
            if (
                m == n
                or windows.letters[other] != windows.letters[j]
                or windows.rings[other] != windows.rings[j]
            ):
                continue
            a, b = apart[n - begin], apart[m - begin]
            if abs(other - j) <= BESIDE and (b < a or (b == a and other < j)):
                likest[n - begin] = 0
    kept = begin
    for n in range(begin, end):
        if likest[n - begin]:
            pairs[kept, 0], pairs[kept, 1] = pairs[n, 0], pairs[n, 1]
            kept += 1
    return kept
