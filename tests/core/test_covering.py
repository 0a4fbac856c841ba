"""What patches cover, strips, and allowances that narrow pieces can bear."""

import pytest

from converter.covering import LEAST, covers_of, strips, trims
from converter.model import Piece
from tests.fabric.blocks import glyph
from tests.samples import box, letter_i, plus


def test_a_rectangle_is_covered_with_the_allowance_of_each_of_its_sides():
    # The stem of I is 12 × 60 mm inside the block; its left piece 24 × 60 mm lies on the block's left edge.
    found = covers_of(letter_i(), 7.0, 4.0)
    stem, left = found["A1"], found["A2"]
    assert (stem.high - stem.low, stem.far - stem.near) == pytest.approx((60 + 8, 12 + 8))
    assert (left.high - left.low, left.far - left.near) == pytest.approx((60 + 8, 24 + 7 + 4))


def test_the_first_piece_lies_along_the_seam_to_the_second():
    found = covers_of(letter_i(), 6.35, 6.35)
    assert found["A1"].angle == found["A2"].angle == 90


def test_only_a_rectangle_that_is_a_section_by_itself_is_a_strip():
    assert strips(plus(), 6.35, 6.35) == {
        name: pytest.approx(size)
        for name, size in {
            "C": (52.7, 22.7), "D": (52.7, 22.7), "E": (72.7, 32.7), "F": (72.7, 32.7)
        }.items()
    }  # fmt: skip
    assert strips(letter_i(), 6.35, 6.35) == {}


def test_an_allowance_is_trimmed_to_what_the_piece_that_is_added_bears():
    widths = {"A2": 2.0, "A3": 4.9, "A4": 5.9, "A5": 30.0}
    pieces, left = [Piece("A1", "figure", box(0, 0, 20, 80))], 20.0
    for name, width in widths.items():
        pieces.append(Piece(name, "background", box(left, 0, left + width, 80)))
        left += width
    block = glyph("X", tuple(pieces))
    # Whole millimetres below the width; 5.9 mm would only save half a millimetre and more, so it becomes 5.
    assert trims(block, 6.35, 1.0) == {"A2": LEAST, "A3": 4.0, "A4": 5.0}
    assert trims(block, 5.0, 1.0) == {"A2": LEAST, "A3": 4.0}
    assert trims(block, 3.0, 1.0) == {}
