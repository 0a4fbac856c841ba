"""Laying convex shapes on the fewest sheets: first fit, tried in several orders and ways, the best kept.

Where a shape may lie beside another is exact: the places that would overlap are the Minkowski sum of the one
and the other turned upside down, and the best place is a corner of what is left of the sheet. A general
library for rectangles wastes the corners of slanted sections. All lengths are mm, y down.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil
from typing import Literal

import shapely
from shapely import LineString, Polygon

from converter.drawing.shapes import grown
from converter.model import Point, Ring

Turn = Literal[0, 90, 180, 270]  # degrees clockwise as seen
TURNS: tuple[Turn, ...] = (0, 90, 180, 270)
_OPEN_SHEETS = 12  # how many sheets back a shape may still be laid on
_FEW = 120  # shapes; up to here every order is tried
_TRIES = 60.0  # sharpness of corners that growing keeps
_SNAP = 1e-4  # mm


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one shape lies: ``item`` is its index, ``x, y`` the top left corner of its turned bounding box."""

    item: int
    sheet: int
    x: float
    y: float
    turn: Turn


@dataclass(frozen=True, slots=True)
class _Shape:
    """A turned shape, grown by half the gap, its bounding box's corner at the origin."""

    ring: Ring
    turn: Turn
    width: float
    height: float


def turned_ring(ring: Ring, turn: Turn) -> Ring:
    """The ring turned about the origin and moved so that its bounding box begins there."""
    for _ in range(turn // 90):
        ring = tuple((-y, x) for x, y in ring)
    left, top = min(x for x, _ in ring), min(y for _, y in ring)
    return tuple((round(x - left, 6) + 0.0, round(y - top, 6) + 0.0) for x, y in ring)


def fits(ring: Ring, width: float, height: float) -> bool:
    """Whether a shape lies on an empty sheet, upright or on its side."""
    w, h = max(x for x, _ in turned_ring(ring, 0)), max(y for _, y in turned_ring(ring, 0))
    return (w <= width and h <= height) or (h <= width and w <= height)


def fewest_sheets(rings: Sequence[Ring], width: float, height: float) -> int:
    """The lower bound: no fewer sheets can hold the shapes, by their area."""
    return ceil(sum(Polygon(ring).area for ring in rings) / (width * height) - 1e-9)


def nest(
    rings: Sequence[Ring],
    width: float,
    height: float,
    gap: float,
    groups: Sequence[int] = (),
    turns: Sequence[Turn] = TURNS,
) -> tuple[Placed, ...]:
    """Places for all shapes on sheets of ``width`` × ``height``, at least ``gap`` apart.

    ``groups``: a number a shape; where it costs no sheet, shapes of one group lie on neighbouring sheets.
    In the order of the shapes. Raises ValueError for one that does not fit on an empty sheet.
    """
    shapes = [_turns(ring, gap, turns) for ring in rings]
    best: tuple[tuple[float, ...], list[Placed]] | None = None
    least = fewest_sheets(rings, width, height)
    areas = [Polygon(turns[0].ring).area for turns in shapes]
    for key in _keys(shapes, areas):
        for order in _orders(key, len(shapes), groups):
            for down in (True, False):
                placed = _first_fit(shapes, areas, order, (width + gap, height + gap), down)
                sheets = 1 + max((p.sheet for p in placed), default=-1)
                used = max((_bottom(shapes, p) for p in placed if p.sheet == sheets - 1), default=0.0)
                rating = (sheets, _spread(placed, groups), round(used, 3))
                if best is None or rating < best[0]:
                    best = rating, placed
        if best and 1 < best[0][0] <= least:  # with a single sheet the height that it takes still counts
            break
    return tuple(sorted(best[1], key=lambda p: p.item)) if best else ()


def strip_height(rings: Sequence[Ring], placed: Sequence[Placed], sheet: int) -> float:
    """How far down a sheet its shapes reach, mm."""
    heights = [
        p.y + max(y for _, y in turned_ring(rings[p.item], p.turn)) for p in placed if p.sheet == sheet
    ]
    return max(heights, default=0.0)


_Key = Callable[[int], tuple[float, ...]]


def _keys(shapes: Sequence[Sequence[_Shape]], areas: Sequence[float]) -> list[_Key]:
    """What the shapes may be sorted by, the largest first: area, longer side, shorter side."""
    sides = [sorted((round(turns[0].width, 3), round(turns[0].height, 3))) for turns in shapes]
    keys: list[_Key] = [
        lambda i: (-round(areas[i], 3), i),
        lambda i: (-sides[i][1], -round(areas[i], 3), i),
        lambda i: (-sides[i][0], -round(areas[i], 3), i),
    ]
    return keys if len(shapes) <= _FEW else keys[:1]


def _orders(key: _Key, count: int, groups: Sequence[int]) -> list[list[int]]:
    orders = [sorted(range(count), key=key)]
    if len(set(groups)) > 1:
        orders.append(sorted(range(count), key=lambda i: (groups[i], key(i))))
    return orders


def _first_fit(
    shapes: Sequence[Sequence[_Shape]],
    areas: Sequence[float],
    order: Sequence[int],
    sheet_size: tuple[float, float],
    down: bool,
) -> list[Placed]:
    sheets: list[list[tuple[_Shape, Point]]] = []
    room: list[float] = []
    placed = []
    for item in order:
        for number in range(max(0, len(sheets) - _OPEN_SHEETS), len(sheets) + 1):
            if number == len(sheets):
                sheets.append([])
                room.append(sheet_size[0] * sheet_size[1])
            if areas[item] > room[number] + _SNAP:
                continue
            spot = _place(shapes[item], sheets[number], sheet_size, down)
            if spot:
                shape, (x, y) = spot
                sheets[number].append((shape, (x, y)))
                room[number] -= areas[item]
                placed.append(Placed(item, number, x, y, shape.turn))
                break
            if not sheets[number]:
                raise ValueError(f"shape {item} does not fit on an empty sheet")
    return placed


def _place(
    turns: Sequence[_Shape],
    there: Sequence[tuple[_Shape, Point]],
    sheet_size: tuple[float, float],
    down: bool,
) -> tuple[_Shape, Point] | None:
    """The place that leaves the sheet most whole: furthest up (or left), by where the shape's far side ends."""
    best: tuple[tuple[float, ...], _Shape, Point] | None = None
    for shape in turns:
        right, bottom = sheet_size[0] - shape.width, sheet_size[1] - shape.height
        if right < -_SNAP or bottom < -_SNAP:
            continue
        right, bottom = max(right, 0.0), max(bottom, 0.0)
        for x, y in _corners(shape, there, right, bottom):
            far = (y + shape.height, x + shape.width) if down else (x + shape.width, y + shape.height)
            rating = (round(far[0], 3), round(far[1], 3), float(shape.turn))
            if best is None or rating < best[0]:
                best = rating, shape, (x, y)
    return (best[1], best[2]) if best else None


def _corners(
    shape: _Shape, there: Sequence[tuple[_Shape, Point]], right: float, bottom: float
) -> list[Point]:
    """Corners of the set of places where a shape may lie."""
    if not there:
        return [(0.0, 0.0)]
    barred = []
    for other, (x, y) in there:
        hull = _barred(other.ring, shape.ring)
        low_x, low_y = min(p[0] for p in hull) + x, min(p[1] for p in hull) + y
        high_x, high_y = max(p[0] for p in hull) + x, max(p[1] for p in hull) + y
        if low_x < right and low_y < bottom and high_x > 0 and high_y > 0:
            barred.append(Polygon([(px + x, py + y) for px, py in hull]))
    if not barred:
        return [(0.0, 0.0)]
    # Grown by a hair where the sheet leaves no play at all: a box without area has no inside to cut from.
    free = shapely.box(0, 0, max(right, _SNAP), max(bottom, _SNAP)).difference(shapely.union_all(barred))
    points = {
        (min(max(round(float(x), 5), 0.0), right), min(max(round(float(y), 5), 0.0), bottom))
        for x, y in shapely.get_coordinates(free)
    }
    return sorted(points)


@lru_cache(maxsize=20_000)
def _barred(fixed: Ring, moving: Ring) -> Ring:
    """Where the moving shape's origin may not lie: inside this hull the two overlap."""
    sums = LineString([(fx - mx, fy - my) for fx, fy in fixed for mx, my in moving]).convex_hull
    return tuple((x, y) for x, y in shapely.get_coordinates(sums)[:-1].tolist())


def _turns(ring: Ring, gap: float, allowed: Sequence[Turn]) -> list[_Shape]:
    """The shape in its positions, equal ones once."""
    seen: dict[Ring, _Shape] = {}
    wide = grown(turned_ring(ring, 0), gap / 2, _TRIES)
    for turn in allowed:
        found = turned_ring(wide, turn)
        key = tuple(sorted((round(x, 3), round(y, 3)) for x, y in found))
        if key not in seen:
            seen[key] = _Shape(found, turn, max(x for x, _ in found), max(y for _, y in found))
    return list(seen.values())


def _bottom(shapes: Sequence[Sequence[_Shape]], placed: Placed) -> float:
    return placed.y + next(s.height for s in shapes[placed.item] if s.turn == placed.turn)


def _spread(placed: Sequence[Placed], groups: Sequence[int]) -> float:
    """How many sheets have to be printed, group by group."""
    if not groups:
        return 0.0
    return float(len({(groups[p.item], p.sheet) for p in placed}))
