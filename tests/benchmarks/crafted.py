"""A font of shapes that no block can hold, or hardly: what may take no longer than a letter many times over."""

import math
from collections.abc import Iterator, Mapping
from pathlib import Path
from random import Random

from tests.fonts.makers import Draw, builder, polygon, saved, square, together

CAP_HEIGHT = 700  # font units


def _comb(teeth: int) -> Draw:
    upper = [
        (6 * tooth + x, y)
        for tooth in range(teeth)
        for x, y in ((0, CAP_HEIGHT), (3, CAP_HEIGHT), (3, 100), (6, 100))
    ]
    return polygon((0, 0), *upper, (6 * teeth, 0))


def _circle(x: float, y: float, radius: float, corners: int = 16) -> Draw:
    angles = [-2 * math.pi * k / corners for k in range(corners)]
    return polygon(*((round(x + radius * math.cos(a)), round(y + radius * math.sin(a))) for a in angles))


def _by_chance(random: Random, corners: int) -> Draw:
    return polygon(*((int(1000 * random.random()), int(1000 * random.random())) for _ in range(corners)))


def _contours() -> Iterator[Draw]:
    random = Random(3)
    for corners in (9, 9, 8):
        yield _by_chance(random, corners)


SHAPES: Mapping[str, Draw] = {
    "squares": together(*(square(20 * x, 20 * y, 12) for x in range(50) for y in range(50))),
    "comb": _comb(300),
    "circles": together(*(_circle(220 * x + 110, 220 * y + 110, 110) for x in range(3) for y in range(3))),
    "contours": together(*_contours()),
}


def write_font(folder: Path) -> Path:
    """Writes the font of all shapes into a folder."""
    path = folder / "crafted.ttf"
    path.write_bytes(saved(builder(SHAPES, cmap={ord("A") + k: name for k, name in enumerate(SHAPES)})))
    return path
