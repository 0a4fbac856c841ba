"""The measures that letters of a run share, and what the straightened letters make of them."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
import shapely
from shapely import affinity
from shapely.geometry import MultiPolygon, box

from converter import pipeline
from converter.fonts.choosing import choose_glyphs
from converter.fonts.loading import load_font
from converter.placement import Placed
from converter.polygons import rings_of
from converter.settings import Settings
from converter.sewing.problem import edges_of
from converter.straighten.outline.hand import Hand, find_hand
from converter.straighten.outline.strokes import strokes

SIZE = 80.0
SAMPLE_FONTS = Path(__file__).parents[2] / "sample_fonts"


def placed(shape):
    shape = shape if isinstance(shape, MultiPolygon) else MultiPolygon([shape])
    return Placed(
        outline=shape, placement=(1.0, 0.0, 0.0, 1.0, 0.0, 0.0), size=SIZE, baseline=90.0,
        block_width=76.2, block_height=101.6, width_factor=1.0,
    )  # fmt: skip


def h(stem, bar, at):
    """An H from x 10 to 66, its bar's upper edge at ``at``."""
    return shapely.union_all(
        [box(10, 10, 10 + stem, 90), box(66 - stem, 10, 66, 90), box(10, at, 66, at + bar)]
    )


def ring(stem, half_width, half_height):
    outer = affinity.scale(shapely.Point(38, 50).buffer(1, 64), half_width, half_height)
    inner = affinity.scale(shapely.Point(38, 50).buffer(1, 64), half_width - stem, half_height - stem)
    return outer.difference(inner)


def test_what_two_letters_share_is_found():
    hand = find_hand([placed(h(16, 12, 44)), placed(h(16, 12, 44))])
    assert hand.stems == pytest.approx((16.0,))
    assert hand.bars == pytest.approx((12.0,))
    assert hand.heights == pytest.approx((10.0, 44.0, 56.0, 90.0))


def test_what_only_one_letter_has_is_not_shared():
    hand = find_hand([placed(h(16, 12, 44)), placed(h(24, 8, 30))])
    assert hand.stems == hand.bars == ()
    assert hand.heights == pytest.approx((10.0, 90.0))  # cap height and baseline are there always


def test_measures_that_hardly_differ_are_one():
    hand = find_hand([placed(h(16.0, 12, 44)), placed(h(16.5, 12, 44)), placed(h(20.0, 12, 44))])
    assert hand.stems == pytest.approx((16.25,), abs=0.01)


def test_slopes_are_those_of_the_bowls_corners():
    # The tangent of an ellipse is parallel to the chord of its quarter where both are halfway: elementary geometry.
    hand = find_hand([placed(ring(14, 25, 40)), placed(ring(14, 25, 40))])
    outer, inner = math.degrees(math.atan2(40, 25)), math.degrees(math.atan2(26, 11))
    assert hand.slopes == pytest.approx((outer, inner), abs=0.5)


def test_without_letters_there_is_no_hand():
    assert find_hand([]) == Hand()


@pytest.mark.parametrize(
    ("shape", "widths"),
    [(h(16, 12, 44), {(0, 16), (1, 12)}), (box(10, 10, 66, 90), set()), (box(20, 10, 36, 90), {(0, 16)})],
)
def test_strokes_are_what_is_longer_than_wide(shape, widths):
    figure = rings_of(MultiPolygon([shape]))
    assert {(s.axis, s.width) for s in strokes(edges_of(figure), figure, SIZE)} == widths


def in_the_hand(glyph, hand):
    """How many strokes have a shared width, and how many slanted edges a shared slope."""
    edges = edges_of(glyph.figure)
    found = strokes(edges, glyph.figure, SIZE)
    widths = sum(any(abs(s.width - w) < 1e-3 for w in (hand.bars if s.axis else hand.stems)) for s in found)
    slopes = [math.degrees(math.atan2(abs(q[1] - p[1]), abs(q[0] - p[0]))) for p, q in edges]
    return widths, sum(any(abs(slope - s) < 1e-2 for s in hand.slopes) for slope in slopes)


def test_round_letters_take_the_hand_and_pay_no_piece_for_it():
    font = load_font(next((SAMPLE_FONTS / "archivo_black").glob("*.woff2")))
    jobs, hand = pipeline._jobs(font, choose_glyphs(font, text="CDGOPU").glyphs, Settings())
    assert hand.stems
    assert hand.slopes
    free = [pipeline.make_block(replace(job, hand=Hand(hand.heights))).glyph for job in jobs]
    taken = [pipeline.make_block(job).glyph for job in jobs]
    for before, after in zip(free, taken, strict=True):
        assert len(after.pieces) <= len(before.pieces)
        assert len(after.sections) <= len(before.sections)
    strokes_before, slopes_before = (sum(c) for c in zip(*(in_the_hand(g, hand) for g in free), strict=True))
    strokes_after, slopes_after = (sum(c) for c in zip(*(in_the_hand(g, hand) for g in taken), strict=True))
    assert strokes_after > strokes_before
    assert slopes_after >= slopes_before + 10
