"""Laying convex shapes on the fewest sheets: many orders and ways are tried, the best is kept.

Sorted orders first; where they leave a sheet hardly filled, a search that moves single shapes in the order
until that sheet is empty or its tries are used up. In the end pairs of sheets are laid anew where that brings shapes
that belong together onto one sheet. All lengths are mm, y down.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations, islice, product
from math import ceil
from random import Random

from shapely import Polygon

from converter.model import Ring
from converter.printing.placing import TURNS, WAYS, Item, Placed, Turn, Way, first_fit, make_item, turned_ring

_WORK = 1500  # how many times a shape is laid, in all sorted orders, and in the search: bounds the time
_HARDLY_FILLED = 0.45  # share of a sheet; one that is fuller than this is not worth a search

_Rating = tuple[float, ...]


def fits(ring: Ring, width: float, height: float) -> bool:
    """Whether a shape lies on an empty sheet, upright or on its side."""
    w, h = max(x for x, _ in turned_ring(ring, 0)), max(y for _, y in turned_ring(ring, 0))
    return (w <= width and h <= height) or (h <= width and w <= height)


def sheets_by_area(rings: Sequence[Ring], width: float, height: float) -> float:
    """How many sheets the shapes would fill if nothing were lost between them."""
    return sum(Polygon(ring).area for ring in rings) / (width * height)


def nest(
    rings: Sequence[Ring],
    width: float,
    height: float,
    gap: float,
    groups: Sequence[int] = (),
    turns: Sequence[Turn] = TURNS,
    families: Sequence[int] = (),
    work: int = _WORK,
) -> tuple[Placed, ...]:
    """Places for all shapes on sheets of ``width`` × ``height``, at least ``gap`` apart.

    ``groups``: a number a shape; where it costs no sheet, shapes of one group lie on neighbouring sheets.
    ``work``: how many times a shape is laid in all orders that are tried, and in the search.
    ``families``: the same for few shapes that belong together; where it costs no sheet, they lie on one.
    In the order of the shapes, and always the same. Raises ValueError for one that does not fit on an empty
    sheet.
    """
    if not rings:
        return ()
    items = [make_item(ring, gap, turns) for ring in rings]
    least = ceil(sheets_by_area(rings, width, height) - 1e-9)
    size = width, height
    best: tuple[_Rating, list[int], Way, list[Placed]] | None = None
    for order, way in islice(_sorted_orders(items, groups), max(2, work // len(items))):
        placed = first_fit(items, order, size, gap, way)
        rating = _rating(items, placed, size, groups)
        if best is None or rating < best[0]:
            best = rating, order, way, placed
        if 1 < best[0][0] <= least and len(set(groups)) < 2:
            break  # with a single sheet the height that it takes still counts
    assert best is not None
    placed = _searched(items, best[1], best[2], best[3], size, gap, least, work)
    if families:
        placed = _gathered(items, placed, families, groups, size, gap)
    return tuple(sorted(placed, key=lambda p: p.item))


def strip_height(rings: Sequence[Ring], placed: Sequence[Placed], sheet: int) -> float:
    """How far down a sheet its shapes reach, mm."""
    return max(
        (p.y + max(y for _, y in turned_ring(rings[p.item], p.turn)) for p in placed if p.sheet == sheet),
        default=0.0,
    )


def _sorted_orders(items: Sequence[Item], groups: Sequence[int]) -> Iterator[tuple[list[int], Way]]:
    """Largest first by area, longer side, shorter side; each also group by group; in every way."""
    sides = [
        sorted((round(item.positions[0].width, 3), round(item.positions[0].height, 3))) for item in items
    ]
    keys: list[Callable[[int], tuple[float, ...]]] = [
        lambda i: (-round(items[i].area, 3), i),
        lambda i: (-sides[i][1], -round(items[i].area, 3), i),
        lambda i: (-sides[i][0], -round(items[i].area, 3), i),
    ]
    for key in keys:
        orders = [sorted(range(len(items)), key=key)]
        if len(set(groups)) > 1:
            orders.append(sorted(range(len(items)), key=lambda i: (groups[i], key(i))))
        for way in WAYS:
            for order in orders:
                yield order, way


def _rating(
    items: Sequence[Item], placed: Sequence[Placed], size: tuple[float, float], groups: Sequence[int]
) -> _Rating:
    """Sheets; then how many have to be printed group by group; then how much the last one takes."""
    sheets = 1 + max(p.sheet for p in placed)
    if sheets == 1:
        bottoms = [p.y + next(s.height for s in items[p.item].positions if s.turn == p.turn) for p in placed]
        return 1, 0, round(max(bottoms), 3)
    spread = len({(groups[p.item], p.sheet) for p in placed}) if groups else 0
    return sheets, spread, _least_filled(items, placed, size)


def _least_filled(items: Sequence[Item], placed: Sequence[Placed], size: tuple[float, float]) -> float:
    filled: dict[int, float] = {}
    for p in placed:
        filled[p.sheet] = filled.get(p.sheet, 0.0) + items[p.item].area / (size[0] * size[1])
    return round(min(filled.values()), 6)


def _searched(
    items: Sequence[Item],
    order: list[int],
    way: Way,
    placed: list[Placed],
    size: tuple[float, float],
    gap: float,
    least: int,
    work: int,
) -> list[Placed]:
    """Moves shapes in the order, keeping what empties a sheet further, until one sheet less is needed."""
    chance = Random(len(items)).random  # the one method whose sequence is promised to stay the same
    sheets, filled = 1 + max(p.sheet for p in placed), _least_filled(items, placed, size)
    tries = work // len(items)
    while sheets > max(least, 1) and filled < _HARDLY_FILLED and tries > 0:
        tries -= 1
        moved = list(order)
        for _ in range(1 + int(3 * chance())):
            item = moved.pop(int(chance() * len(moved)))
            moved.insert(int(chance() * (len(moved) + 1)), item)
        other = WAYS[int(chance() * len(WAYS))] if chance() < 0.3 else way
        found = first_fit(items, moved, size, gap, other)
        count, fill = 1 + max(p.sheet for p in found), _least_filled(items, found, size)
        if (count, fill) <= (sheets, filled):
            order, way, placed, filled, sheets = moved, other, found, fill, count
    return placed


def _gathered(
    items: Sequence[Item],
    placed: list[Placed],
    families: Sequence[int],
    groups: Sequence[int],
    size: tuple[float, float],
    gap: float,
) -> list[Placed]:
    """Lays two sheets that share a family anew, that family first, as long as fewer families are split by it."""

    def split(found: Sequence[Placed]) -> tuple[int, int]:
        kinds = len({(groups[p.item], p.sheet) for p in found}) if groups else 0
        return len({(families[p.item], p.sheet) for p in found}), kinds

    work = iter(range(_WORK // 50))  # layings of two sheets
    while better := next(_gatherings(items, placed, families, size, gap, split, work), None):
        placed = better
    return placed


def _gatherings(
    items: Sequence[Item],
    placed: Sequence[Placed],
    families: Sequence[int],
    size: tuple[float, float],
    gap: float,
    split: Callable[[Sequence[Placed]], tuple[int, int]],
    work: Iterator[int],
) -> Iterator[list[Placed]]:
    """Every better way to lay two sheets that share a family, without a sheet more."""
    now = split(placed)
    where = {
        family: sorted({p.sheet for p in placed if families[p.item] == family}) for family in set(families)
    }
    pairs = [(family, pair) for family in sorted(where) for pair in combinations(where[family], 2)]
    for way, (family, pair) in product(WAYS, pairs):
        there = [p for p in placed if p.sheet not in pair]
        members = sorted((p.item for p in placed if p.sheet in pair), key=lambda i: (-items[i].area, i))
        largest = {families[i]: k for k, i in reversed(list(enumerate(members)))}
        orders = (
            sorted(members, key=lambda i: (families[i] != family, largest[families[i]])),
            sorted(members, key=lambda i: families[i] != family),
        )
        for order in orders:
            if next(work, None) is None:
                return
            found = first_fit(items, order, size, gap, way)
            if max(p.sheet for p in found) > 1:
                continue
            laid = [*there, *(replace(p, sheet=pair[p.sheet]) for p in found)]
            fewer = split(laid)
            if fewer[0] < now[0] and fewer[1] <= now[1]:
                yield laid
