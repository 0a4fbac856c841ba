"""A zoo of shapes, named, for trying every stage on: each lies inside a block of 76.2 × 101.6 mm, y down."""

import math
from itertools import pairwise

import shapely
from shapely.geometry import MultiPolygon, Polygon, box

WIDTH, HEIGHT = 76.2, 101.6


def _comb(teeth: int) -> Polygon:
    """A back with teeth, all on two levels."""
    step = 60 / (2 * teeth)
    corners = [(8.0, 10.0), (68.0, 10.0)]
    for k in reversed(range(teeth)):
        left, right = 8 + 2 * k * step, 8 + (2 * k + 1) * step
        corners += [(right, 30.0), (right, 90.0), (left, 90.0)]
        if k:
            corners += [(left, 30.0)]
    corners.insert(2, (68.0, 30.0))
    return Polygon(corners)


def _spiral() -> Polygon:
    """A square spiral of one stroke."""
    x, y, step = 38.0, 50.0, 6.0
    path = [(x, y)]
    for k in range(1, 9):
        length = step * ((k + 1) // 2)
        dx, dy = ((1, 0), (0, 1), (-1, 0), (0, -1))[k % 4]
        x, y = x + dx * length, y + dy * length
        path.append((x, y))
    return shapely.union_all(
        [shapely.LineString(pair).buffer(1.5, cap_style="square") for pair in pairwise(path)]
    )


def _star(points: int) -> Polygon:
    def corner(k: int) -> tuple[float, float]:
        radius = 30 if k % 2 == 0 else 13
        angle = math.pi * k / points - math.pi / 2
        return 38.1 + radius * math.cos(angle), 50.8 + radius * math.sin(angle)

    return Polygon([corner(k) for k in range(2 * points)])


def _zoo() -> dict[str, MultiPolygon]:
    frame = box(10, 10, 66, 90).difference(box(20, 20, 56, 80))
    shapes = {
        "one box": box(20, 20, 50, 80),
        "triangle": Polygon([(38, 10), (66, 90), (10, 90)]),
        "hole": frame,
        "hole in a hole": frame.union(box(28, 28, 48, 72).difference(box(34, 40, 42, 60))),
        "sliver": Polygon([(10, 10), (66, 90), (66, 90.4)]),
        "hairline": box(38, 10, 38.05, 90),
        "touching corners": box(10, 10, 38, 50).union(box(38, 50, 66, 90)),
        "hole touching its outline": Polygon([(10, 10), (66, 10), (66, 90), (10, 90)]).difference(
            Polygon([(38, 10), (50, 40), (26, 40)])
        ),
        "two holes": box(10, 10, 66, 90).difference(box(20, 20, 56, 40)).difference(box(20, 60, 56, 80)),
        "many parts": shapely.union_all(
            [box(10 + 12 * i, 10 + 14 * j, 16 + 12 * i, 18 + 14 * j) for i in range(4) for j in range(4)]
        ),
        "tiny": box(38, 50, 38.3, 50.3),
        "nearly the block": box(0.01, 0.01, WIDTH - 0.01, HEIGHT - 0.01),
        "the block": box(0, 0, WIDTH, HEIGHT),
        "half the block": box(0, 0, WIDTH / 2, HEIGHT),
        "on the border": Polygon([(0, 0), (WIDTH, 0), (WIDTH / 2, HEIGHT)]),
        "comb of 30 teeth": _comb(30),
        "spiral": _spiral(),
        "star": _star(5),
        "star of many points": _star(12),
        "nearly level": Polygon([(10, 10), (66, 10.002), (66, 90), (10, 90)]),
        "nearly on one line": box(10, 10, 30, 40).union(box(40, 10.0008, 66, 40.0012)),
        "a bite out of a corner": box(10, 10, 66, 90).difference(box(60, 80, 70, 95)),
    }
    return {name: MultiPolygon(list(getattr(shape, "geoms", [shape]))) for name, shape in shapes.items()}


ZOO = _zoo()
