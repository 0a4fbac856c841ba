"""Tilings of a block, made without the program: all generic ones of few rectangles, and random ones by slanted cuts."""

import random
from collections.abc import Iterator
from itertools import product

import shapely
from shapely.ops import split

from converter.model import Ring

Box = tuple[int, int, int, int]  # left, top, right, bottom


def rectangulations(n: int) -> Iterator[tuple[Box, ...]]:
    """Each generic partition of a square into n rectangles, once.

    Every one is drawn in just one way on an n × n grid so that each rectangle meets the square's diagonal (Law and
    Reading, "The Hopf algebra of diagonal rectangulations", JCTA 119, 2012). So choose, for each cell of the
    diagonal, a rectangle that holds no other cell of it, and keep the choices that cover the square.
    """

    def choices(k: int) -> Iterator[Box]:
        for left, top in product(range(k + 1), repeat=2):
            for right, bottom in product(range(k + 1, n + 1), repeat=2):
                if max(left, top) == k and min(right, bottom) == k + 1:
                    yield left, top, right, bottom

    def fill(k: int, used: frozenset[tuple[int, int]], boxes: tuple[Box, ...]) -> Iterator[tuple[Box, ...]]:
        # A cell with the diagonal's cell k below or right of it can be covered by none of the later rectangles.
        if any(cell not in used for cell in product(range(k), repeat=2)):
            return
        if k == n:
            yield boxes
            return
        for left, top, right, bottom in choices(k):
            cells = frozenset(product(range(left, right), range(top, bottom)))
            if not cells & used:
                yield from fill(k + 1, used | cells, (*boxes, (left, top, right, bottom)))

    return fill(0, frozenset(), ())


def ring(box: Box, scale: float = 10.0) -> Ring:
    left, top, right, bottom = (scale * v for v in box)
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def cut_apart(seed: int, pieces: int, width: float = 60.0, height: float = 80.0) -> list[shapely.Polygon]:
    """A block cut at random, piece by piece, along slanted and upright lines; no piece is tiny."""
    chance = random.Random(seed)
    parts = [shapely.box(0, 0, width, height)]
    while len(parts) < pieces:
        part = parts.pop(chance.randrange(len(parts)))
        left, top, right, bottom = part.bounds
        x, y = chance.uniform(left, right), chance.uniform(top, bottom)
        dx, dy = chance.choice([(0, 1), (1, 0), (1, chance.uniform(-1, 1)), (chance.uniform(-1, 1), 1)])
        line = shapely.LineString([(x - 200 * dx, y - 200 * dy), (x + 200 * dx, y + 200 * dy)])
        halves = list(split(part, line).geoms)
        if len(halves) == 2 and all(shapely.maximum_inscribed_circle(h).length > 1.5 for h in halves):
            parts += halves
        else:
            parts.insert(0, part)
    return parts


def corners(part: shapely.Polygon) -> Ring:
    return tuple((float(x), float(y)) for x, y in shapely.get_coordinates(part)[:-1])
