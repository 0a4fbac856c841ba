"""Upright and level strokes of a letter: pairs of parallel edges with nothing but ink between them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from converter.model import Point, Polygons
from converter.sewing.plan import inside

LEVEL = 1e-9  # mm
SHORTEST, WIDEST = 0.08, 0.4  # of size
ACROSS = tuple((k + 0.5) / 16 for k in range(16))  # where a stroke is looked at, of its width


@dataclass(frozen=True, slots=True)
class Stroke:
    """A stroke from ``low`` to ``high`` (mm) along ``axis``: 0 for an upright one (x), 1 for a level one (y)."""

    axis: int
    low: float
    high: float
    length: float  # mm that both edges run side by side

    @property
    def width(self) -> float:
        """Distance between its edges (mm)."""
        return self.high - self.low


def strokes(edges: Iterable[tuple[Point, Point]], figure: Polygons, size: float) -> list[Stroke]:
    """The strokes of a figure between any two of these edges of it; ``size`` is the height of the letters (mm).

    What is wider than long, or than a heavy stem, is a body and no stroke.
    """
    rows: tuple[list[tuple[float, float, float]], ...] = ([], [])
    for p, q in edges:
        for axis in (0, 1):
            if abs(p[axis] - q[axis]) <= LEVEL:
                low, high = sorted((p[1 - axis], q[1 - axis]))
                rows[axis].append((p[axis], low, high))
    return [stroke for axis in (0, 1) for stroke in _strokes_along(axis, rows[axis], figure, size)]


def _strokes_along(
    axis: int, rows: Sequence[tuple[float, float, float]], figure: Polygons, size: float
) -> Iterable[Stroke]:
    for (a, a_low, a_high), (b, b_low, b_high) in combinations(sorted(rows), 2):
        low, high = max(a_low, b_low), min(a_high, b_high)
        width = b - a
        if not LEVEL < width <= WIDEST * size or high - low < max(SHORTEST * size, width):
            continue
        middle = (low + high) / 2
        if any(a + LEVEL < at < b - LEVEL and start < middle < end for at, start, end in rows):
            continue
        if all(inside(figure, _point(axis, a + share * (b - a), middle)) for share in ACROSS):
            yield Stroke(axis, a, b, high - low)


def _point(axis: int, along: float, across: float) -> Point:
    return (along, across) if axis == 0 else (across, along)
