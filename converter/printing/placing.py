"""Laying convex shapes on sheets one after the other, each on the first sheet that has room.

Where a shape may lie beside another is exact: the places that would overlap are the Minkowski sum of the one
and the other turned by half, and the best place is a corner of what is left of the sheet. A general library
for rectangles would waste the corners of slanted sections. All lengths are mm, y down.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from converter.drawing.shapes import grown
from converter.model import Point, Ring

Turn = Literal[0, 90, 180, 270]  # degrees clockwise as seen
TURNS: tuple[Turn, ...] = (0, 90, 180, 270)
_OPEN_SHEETS = 12  # how many sheets back a shape may still be laid on
_TIP = 1.42  # tips of grown shapes are cut here: no distance is lost, and square corners stay square
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
class Shape:
    """A turned shape, grown by half the gap, its bounding box's corner at the origin.

    ``inset``: where in it the bounding box of the shape itself begins.
    """

    ring: Ring
    turn: Turn
    width: float
    height: float
    inset: Point


@dataclass(frozen=True, slots=True)
class Item:
    """A shape in all the positions that it may take, and its area in mm² (grown by half the gap)."""

    positions: tuple[Shape, ...]
    area: float


# From a place and the sheet's size to a rating, the lowest is best: how a sheet is filled.
Way = Callable[[Point, Shape, tuple[float, float]], tuple[float, ...]]


def downwards(at: Point, shape: Shape, sheet: tuple[float, float]) -> tuple[float, ...]:
    """Takes as little of the sheet's height as can be."""
    return round(at[1] + shape.height, 3), round(at[0] + shape.width, 3)


def from_left(at: Point, shape: Shape, sheet: tuple[float, float]) -> tuple[float, ...]:
    """Begins as far left as can be."""
    return round(at[0], 2), round(at[1], 2)


def from_corner(at: Point, shape: Shape, sheet: tuple[float, float]) -> tuple[float, ...]:
    """Ends as near to the sheet's first corner as can be."""
    return (round((at[0] + shape.width) / sheet[0] + (at[1] + shape.height) / sheet[1], 4),)


def least_box(at: Point, shape: Shape, sheet: tuple[float, float]) -> tuple[float, ...]:
    """Needs the smallest box from the sheet's first corner."""
    return (round((at[0] + shape.width) * (at[1] + shape.height), 1),)


def outside_in(at: Point, shape: Shape, sheet: tuple[float, float]) -> tuple[float, ...]:
    """Keeps to the corners of the sheet, so that the middle stays whole."""
    x = min(at[0], sheet[0] - at[0] - shape.width)
    y = min(at[1], sheet[1] - at[1] - shape.height)
    return (round(x + y, 2),)


# The best on most sets first; where there are many shapes only these are tried.
WAYS: tuple[Way, ...] = (from_left, least_box, outside_in, from_corner, downwards)


def turned_ring(ring: Ring, turn: Turn) -> Ring:
    """The ring turned about the origin and moved so that its bounding box begins there."""
    for _ in range(turn // 90):
        ring = tuple((-y, x) for x, y in ring)
    left, top = min(x for x, _ in ring), min(y for _, y in ring)
    return tuple((round(x - left, 6) + 0.0, round(y - top, 6) + 0.0) for x, y in ring)


def make_item(ring: Ring, gap: float, turns: Sequence[Turn] = TURNS) -> Item:
    """A convex ring ready to be laid, positions that look alike once."""
    seen: dict[Ring, Shape] = {}
    for turn in turns:
        wide = grown(turned_ring(ring, turn), gap / 2, _TIP)
        left, top = min(x for x, _ in wide), min(y for _, y in wide)
        found = turned_ring(wide, 0)
        key = tuple(sorted((round(x, 3), round(y, 3)) for x, y in found))
        if key not in seen:
            right, bottom = max(x for x, _ in found), max(y for _, y in found)
            seen[key] = Shape(found, turn, right, bottom, (-left, -top))
    positions = tuple(seen.values())
    return Item(positions, Polygon(positions[0].ring).area)


def first_fit(
    items: Sequence[Item], order: Sequence[int], size: tuple[float, float], gap: float, way: Way
) -> list[Placed]:
    """Lays the items in that order on sheets of that size; ValueError for one that no sheet can hold."""
    sheet_size = size[0] + gap, size[1] + gap  # half a gap may hang over each edge
    sheets: list[list[tuple[Shape, Point]]] = []
    room: list[float] = []
    refused: list[set[Ring]] = []  # a sheet only gets fuller: what found no place once never will
    placed = []
    for number in order:
        item = items[number]
        kind = item.positions[0].ring
        for sheet in range(max(0, len(sheets) - _OPEN_SHEETS), len(sheets) + 1):
            if sheet == len(sheets):
                sheets.append([])
                room.append(sheet_size[0] * sheet_size[1])
                refused.append(set())
            elif item.area > room[sheet] + _SNAP or kind in refused[sheet]:
                continue
            spot = _best_place(item, sheets[sheet], sheet_size, way)
            if spot:
                shape, (x, y) = spot
                sheets[sheet].append(spot)
                room[sheet] -= item.area
                at = round(x + shape.inset[0] - gap / 2, 5), round(y + shape.inset[1] - gap / 2, 5)
                placed.append(Placed(number, sheet, *at, shape.turn))
                break
            refused[sheet].add(kind)
            if not sheets[sheet]:
                raise ValueError(f"shape {number} does not fit on an empty sheet")
    return placed


def _best_place(
    item: Item, there: Sequence[tuple[Shape, Point]], sheet: tuple[float, float], way: Way
) -> tuple[Shape, Point] | None:
    best: tuple[tuple[float, ...], Shape, Point] | None = None
    for shape in item.positions:
        right, bottom = sheet[0] - shape.width, sheet[1] - shape.height
        if right < -_SNAP or bottom < -_SNAP:
            continue
        for at in _corners(shape, there, max(right, 0.0), max(bottom, 0.0)):
            rating = (*way(at, shape, sheet), float(shape.turn), *at)
            if best is None or rating < best[0]:
                best = rating, shape, at
    return (best[1], best[2]) if best else None


def _corners(shape: Shape, there: Sequence[tuple[Shape, Point]], right: float, bottom: float) -> list[Point]:
    """Corners of the set of places where a shape may lie."""
    barred = []
    for other, (x, y) in there:
        hull = _barred(other.ring, shape.ring)
        low_x, low_y = min(p[0] for p in hull) + x, min(p[1] for p in hull) + y
        high_x, high_y = max(p[0] for p in hull) + x, max(p[1] for p in hull) + y
        if low_x < right and low_y < bottom and high_x > 0 and high_y > 0:
            barred.append(Polygon([(px + x, py + y) for px, py in hull]))
    # Grown by a hair where the sheet leaves no play at all: a box without area has no inside to cut from.
    free: BaseGeometry = shapely.box(0, 0, max(right, _SNAP), max(bottom, _SNAP))
    if barred:
        free = free.difference(shapely.union_all(barred))
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
