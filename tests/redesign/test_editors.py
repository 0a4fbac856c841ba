"""Drawings saved by real programs (see fixtures/README.md) come back as the very blocks that were saved."""

from pathlib import Path

import pytest

from converter.redesign.rebuild import keep_numbers
from tests.redesign.hands import PRICES, rebuilt
from tests.samples import letter_t, plus, triangle

FIXTURES = sorted((Path(__file__).parent / "fixtures").glob("*.svg"))
GLYPHS = {"letter_t": letter_t, "plus": plus, "triangle": triangle}


def test_there_are_fixtures_of_three_programs():
    assert {path.name.split(".")[1].split("-")[0] for path in FIXTURES} == {
        "inkscape",
        "scour",
        "svgelements",
    }


@pytest.mark.parametrize("path", FIXTURES, ids=lambda path: path.stem)
def test_a_saved_block_is_the_same_block(path):
    glyph = GLYPHS[path.name.split(".")[0]]()
    result = rebuilt(path.read_bytes())
    assert result.faults == ()
    plan = keep_numbers(result.plan, glyph, PRICES)
    assert [(p.id, p.fabric) for p in plan.pieces] == [(p.id, p.fabric) for p in glyph.pieces]
    assert (plan.sections, plan.joins) == (glyph.sections, glyph.joins)
    for piece, old in zip(plan.pieces, glyph.pieces, strict=True):
        for x, y in piece.polygon:
            assert min(abs(x - a) + abs(y - b) for a, b in old.polygon) < 2e-3
