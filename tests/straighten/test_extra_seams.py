"""Seams through pairs of corners: which are tried, and that a block with a dear section price stays sewable."""

import pytest

from converter.geometry import Line
from converter.settings import Settings
from converter.straighten.finish.extra_seams import _lines_through_corners
from converter.verify import verify_block
from tests.straighten.shapes import made_of, standing
from tests.zoo import ZOO

SQUARE = ((((10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0)),),)


def test_only_lines_that_no_edge_lies_on_are_tried():
    # A square has two diagonals (elementary); its sides are cut anyway.
    lines = list(_lines_through_corners(SQUARE))
    half = 0.5**0.5
    assert {Line(*(round(v, 9) for v in line)) for line in lines} == {
        Line(round(half, 9), round(half, 9), round(40 * half, 9)),
        Line(round(-half, 9), round(half, 9), 0.0),
    }


@pytest.mark.parametrize("name", ["two holes", "many parts", "touching corners"])
def test_dear_sections_are_no_more_than_cheap_ones(name):
    cheap = made_of(standing(ZOO[name]), Settings(fit="each", section_price=0.0)).glyph
    dear = made_of(standing(ZOO[name]), Settings(fit="each", section_price=6.0)).glyph
    assert len(dear.sections) <= len(cheap.sections)
    verify_block(dear.pieces, dear.sections, dear.joins, 76.2, 101.6)
