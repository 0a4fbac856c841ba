"""Straight-edged figures for the tests of the search: drawn on grids, and at random."""

import random
from itertools import combinations

import shapely
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Polygon

from converter.model import Polygons
from tests.sewing.exhaustive import exact_line

Picture = tuple[str, ...]

# Strokes one square wide, letters three squares wide, filling the block: X is ink.
LETTERS: dict[str, Picture] = {
    "L": ("X..", "X..", "X..", "XXX"),
    "T": ("XXX", ".X.", ".X.", ".X."),
    "U": ("X.X", "X.X", "X.X", "XXX"),
    "O": ("XXX", "X.X", "X.X", "XXX"),
    "H": ("X.X", "X.X", "XXX", "X.X", "X.X"),
    "F": ("XXX", "X..", "XXX", "X..", "X.."),
    "E": ("XXX", "X..", "XXX", "X..", "XXX"),
    "P": ("XXX", "X.X", "XXX", "X..", "X.."),
    "B": ("XXX", "X.X", "XXX", "X.X", "XXX"),
    "+": (".X.", "XXX", ".X."),
    "S": ("XXX", "X..", "XXX", "..X", "XXX"),
}


def figure_of(shape) -> Polygons:
    """The rings of a shape as the program takes them."""
    parts = [g for g in getattr(shape, "geoms", [shape]) if isinstance(g, Polygon) and g.area > 0]
    return tuple(
        tuple(tuple(ring.coords[:-1]) for ring in (p.exterior, *p.interiors))
        for p in MultiPolygon(parts).normalize().geoms
    )


def shape_of(figure: Polygons) -> MultiPolygon:
    return MultiPolygon([Polygon(polygon[0], polygon[1:]) for polygon in figure])


def drawn(picture: Picture, margin: int = 0) -> tuple[Polygons, int, int]:
    """A picture's figure in whole numbers, and the block's width and height."""
    squares = [
        shapely.box(x + margin, y + margin, x + margin + 1, y + margin + 1)
        for y, row in enumerate(picture)
        for x, mark in enumerate(row)
        if mark == "X"
    ]
    shape = shapely.simplify(shapely.union_all(squares), 0)
    return (
        tuple(_without_flat(polygon) for polygon in figure_of(shape)),
        len(picture[0]) + 2 * margin,
        len(picture) + 2 * margin,
    )


def _without_flat(polygon):
    rings = []
    for ring in polygon:
        kept = [
            p
            for k, p in enumerate(ring)
            if not (
                (ring[k - 1][0] == p[0] == ring[(k + 1) % len(ring)][0])
                or (ring[k - 1][1] == p[1] == ring[(k + 1) % len(ring)][1])
            )
        ]
        rings.append(tuple((int(x), int(y)) for x, y in kept))
    return tuple(rings)


def scaled(figure: Polygons, factor: float) -> Polygons:
    return tuple(
        tuple(tuple((x * factor, y * factor) for x, y in ring) for ring in polygon) for polygon in figure
    )


def random_whole_figure(seed: int, most_lines: int = 7) -> tuple[Polygons, int, int]:
    """One or two polygons in whole numbers, one perhaps with a hole, on few lines; block 12 × 12."""
    chance = random.Random(seed)
    while True:
        shape = Polygon()
        for _ in range(chance.choice((1, 1, 2))):
            count = chance.randint(3, 6)
            points = [(chance.randint(1, 11), chance.randint(1, 11)) for _ in range(count)]
            part = Polygon(points)
            if not part.is_valid or part.area < 4:
                break
            if shape.intersects(part):
                if shape.contains_properly(part):
                    shape = shape.difference(part)
                continue
            shape = shape.union(part)
        if shape.is_empty or not shape.is_valid:
            continue
        figure = tuple(
            tuple(tuple((int(x), int(y)) for x, y in ring) for ring in p) for p in figure_of(shape)
        )
        lines = {
            exact_line(ring[k - 1], ring[k])
            for polygon in figure
            for ring in polygon
            for k in range(len(ring))
        }
        if len(lines) <= most_lines:
            return figure, 12, 12


def lines_through_corners(figure: Polygons):
    """The line through every two corners of the figure."""
    corners = sorted({p for polygon in figure for ring in polygon for p in ring})
    return sorted({exact_line(p, q) for p, q in combinations(corners, 2)})


def random_shape(chance: random.Random, width: float = 76.2, height: float = 101.6) -> MultiPolygon:
    """Unions and differences of triangles, bars, frames and slivers, strictly inside the block; never empty."""
    while True:
        shape = _random_part(chance, width, height)
        for _ in range(chance.randint(0, 4)):
            part = _random_part(chance, width, height)
            shape = shape.union(part) if chance.random() < 0.6 else shape.difference(part)
        parts = [g for g in getattr(shape, "geoms", [shape]) if isinstance(g, Polygon) and g.area > 0.5]
        if parts and MultiPolygon(parts).is_valid:
            return MultiPolygon(parts)


def _random_part(chance: random.Random, width: float, height: float):
    decimals = chance.choice((0, 1, 3))  # whole millimetres make edges share lines

    def number(low: float, high: float) -> float:
        return round(chance.uniform(low, high), decimals)

    x, y = number(8, width - 20), number(8, height - 20)
    kind = chance.choice(("triangle", "bar", "frame", "sliver"))
    if kind == "triangle":
        while True:
            corners = Polygon([(number(5, width - 5), number(5, height - 5)) for _ in range(3)])
            if corners.is_valid and corners.area > 1:
                return corners
    if kind == "sliver":
        end = (x + number(1, 10), number(5, height - 5))
        return shapely.LineString([(x, y), end]).buffer(chance.uniform(0.03, 0.6), cap_style="flat")
    right, bottom = number(x + 3, width - 4), number(y + 3, height - 4)
    outer = shapely.box(x, y, right, bottom)
    if kind == "frame":
        inset = round(min(right - x, bottom - y) / 3, 2)
        return outer.difference(shapely.box(x + inset, y + inset, right - inset, bottom - inset))
    return outer


def shapes_in_a_block() -> st.SearchStrategy[MultiPolygon]:
    return st.integers(0, 2**32).map(lambda seed: random_shape(random.Random(seed)))
