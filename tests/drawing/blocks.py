"""Blocks cut at random by straight lines, for checks that must hold on any block."""

from math import cos, pi, sin
from random import Random

from converter.geometry import Line, convex_width, split_convex
from converter.model import BACKGROUND, FIGURE, Block, Glyph, Join, Metrics, Pattern, Piece, Ring, Section
from tests.samples import box, sample_pattern


def random_pattern(seed: int, width: float = 76.2, height: float = 101.6, sections: int = 4) -> Pattern:
    """A pattern of one glyph: up to ``sections`` sections of up to six pieces, at least 2 mm wide."""
    random = Random(seed)
    pieces: list[Piece] = []
    parts: list[Section] = []
    joins: list[Join] = []

    def build(ring: Ring, count: int) -> str:
        halves = _cut(random, ring) if count > 1 else None
        if halves is None:
            return section(ring)
        first = build(halves[0], count // 2)
        second = build(halves[1], count - count // 2)
        made = f"{first}+{second}"
        joins.append(Join(len(joins) + 1, (first, second), made))
        return made

    def section(ring: Ring) -> str:
        name = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[len(parts)]
        off: list[Ring] = []
        for _ in range(random.randint(0, 5)):
            halves = _cut(random, ring)
            if halves is None:
                break
            off.append(halves[0])
            ring = halves[1]
        rings = [ring, *reversed(off)]
        ids = tuple(f"{name}{n}" for n in range(1, len(rings) + 1))
        parts.append(Section(name, ids))
        for i, polygon in zip(ids, rings, strict=True):
            fabric = FIGURE if random.random() < 0.45 else BACKGROUND
            pieces.append(Piece(i, fabric, tuple((round(x, 4), round(y, 4)) for x, y in polygon)))
        return name

    build(box(0, 0, width, height), sections)
    glyph = Glyph(
        key="g",
        name="g",
        codepoints=(103,),
        text="g",
        status="ready",
        pieces=tuple(pieces),
        sections=tuple(parts),
        joins=tuple(joins),
        metrics=Metrics(pieces=len(pieces), sections=len(parts), joins=len(joins), block_width=width),
    )
    sample = sample_pattern(glyph)
    return Pattern(sample.source, Block(width, height, 6.35), sample.settings, sample.fabrics, (glyph,))


def _cut(random: Random, ring: Ring) -> tuple[Ring, Ring] | None:
    """Two parts of a ring, neither narrower than 2 mm; None where a few tries found none."""
    for _ in range(12):
        turn = random.choice([0.0, pi / 2, random.uniform(0, pi)])
        nx, ny = cos(turn), sin(turn)
        reach = sorted(nx * x + ny * y for x, y in ring)
        line = Line(nx, ny, random.uniform(reach[0], reach[-1]))
        one, other = split_convex(ring, line, 1e-6)
        if one and other and min(convex_width(one), convex_width(other)) > 2:
            return one, other
    return None
