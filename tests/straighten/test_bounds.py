"""Glyphs that no block can hold: each ends with a finding that says why, and with few pieces or none.

How long they take is measured by the benchmarks.
"""

import math
from random import Random

import pytest

from converter import Settings, choose_glyphs, convert, judge_licence, load_font
from converter.limits import LIMITS
from tests.fonts.makers import builder, polygon, saved, square, together

MOST_PIECES = 100


def ring(x: float, y: float, radius: float, corners: int):
    turns = [-2 * math.pi * k / corners for k in range(corners)]
    return polygon(*((round(x + radius * math.cos(t)), round(y + radius * math.sin(t))) for t in turns))


def comb(teeth: int):
    corners = [(0, 0), (0, 700)]
    for k in range(teeth):
        corners += [(6 * k, 700), (6 * k + 3, 700), (6 * k + 3, 100), (6 * k + 6, 100)]
    return polygon(*corners, (6 * teeth, 0))


def spiral():
    def place(k: int, off: int) -> tuple[int, int]:
        radius, turn = 10 + 3 * k - off, k / 6
        return round(500 + radius * math.cos(turn)), round(500 + radius * math.sin(turn))

    return polygon(*(place(k, 0) for k in range(150)), *(place(k, 12) for k in range(149, -1, -1)))


def scribbles(seed: int):
    chance = Random(seed)
    return together(
        *(polygon(*((chance.randrange(1000), chance.randrange(1000)) for _ in range(n))) for n in (9, 9, 8))
    )


GLYPHS = {
    "A": together(
        *(square(20 * x, 20 * y, 12) for x in range(50) for y in range(50))
    ),  # 2,500 little squares
    "B": comb(300),
    "C": together(
        *(ring(220 * x + 110, 220 * y + 110, 110, 16) for x in range(3) for y in range(3))
    ),  # they touch
    "D": scribbles(3),
    "E": spiral(),
}


@pytest.fixture(scope="module")
def blocks(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bounds")
    path = folder / "bounds.ttf"
    path.write_bytes(saved(builder(GLYPHS, sCapHeight=700)))
    font = load_font(path)
    chosen = choose_glyphs(font, text="".join(GLYPHS)).glyphs
    made = convert(font, chosen, judge_licence(font, folder), Settings(effort="draft")).made
    return {each.glyph.text: each for each in made}


@pytest.mark.parametrize("text", GLYPHS)
def test_what_no_block_can_hold_is_to_be_redesigned_and_says_why(blocks, text):
    made = blocks[text]
    assert made.log == ""
    assert made.glyph.status == "redesign"
    reasons = [reason for reason in made.glyph.reasons if reason.severity == "redesign"]
    assert reasons
    assert not {reason.id for reason in reasons} & {"unexpected-error"}
    assert len(made.glyph.pieces) <= MOST_PIECES
    if not made.glyph.pieces:
        assert any(reason.id not in LIMITS for reason in reasons)
