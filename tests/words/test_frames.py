from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, unary_union

from converter.errors import InputError
from converter.fabric.cutting import cutting_for
from converter.measures import length_text
from converter.model import Fabric
from converter.pattern import from_json, to_json
from converter.seams import seams
from converter.verify import verify_glyph
from converter.words.fabric_needed import frame_cuts
from converter.words.frames import Frame, Sides, frame_text
from converter.words.framing import frame_glyph, frame_pattern
from converter.words.scaling import scale_pattern
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle

width = st.floats(3.0, 40.0)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.sampled_from([letter_i(), letter_t(), triangle(), plus()]), st.tuples(width, width, width, width))
def test_a_framed_block_is_still_sewable_and_fills_its_frame(glyph, sides):
    top, right, bottom, left = sides
    framed = frame_glyph(glyph, 60.0, 80.0, Sides(*sides))
    assert len(framed.pieces) == len(glyph.pieces) + 4
    polygons = [Polygon(piece.polygon) for piece in framed.pieces]
    whole = unary_union(polygons)
    assert whole.area == pytest.approx((60 + left + right) * (80 + top + bottom))
    assert sum(p.area for p in polygons) == pytest.approx(whole.area)
    verify_glyph(framed, 60 + left + right, 80 + top + bottom)  # replays the sewing, from the polygons alone
    assert len(seams(framed)) == len(framed.pieces) - 1  # each seam adds one piece or joins two parts
    assert seams(framed)[-1].length == pytest.approx(60 + left + right, abs=1e-3)


def test_strips_are_further_pieces_of_a_block_of_one_section():
    framed = frame_glyph(letter_t(), 60.0, 80.0, Sides.all(10))
    (section,) = framed.sections
    assert section.pieces[-4:] == ("A9", "A10", "A11", "A12")
    assert framed.piece("A9").polygon == ((0, 10), (10, 10), (10, 90), (0, 90))
    assert (framed.metrics.pieces, framed.metrics.sections) == (12, 1)


def test_a_block_of_several_sections_is_framed_by_sections_of_one_piece():
    framed = frame_glyph(plus(), 60.0, 80.0, Sides.all(10))
    assert [s.id for s in framed.sections[-4:]] == ["G", "H", "I", "J"]
    assert framed.joins[-1].makes == "A+B+C+D+E+F+G+H+I+J"
    assert framed.metrics.joins == len(framed.joins) == 9


def test_a_set_is_framed_to_a_target():
    framed = frame_pattern(
        sample_pattern(), Frame(width=76.2, height=101.6, fabric=Fabric("sand", "#c2a878"))
    )
    assert (framed.block.width, framed.block.height) == pytest.approx((76.2, 101.6))
    assert framed.fabrics["frame"].label == "sand"
    assert from_json(to_json(framed)).glyphs[0].pieces[-1].fabric == "frame"


def test_only_the_chosen_blocks_are_framed_and_the_others_need_not_fit():
    wide = replace(letter_t(), metrics=replace(letter_t().metrics, block_width=200.0))
    pattern = sample_pattern(letter_i(), wide)
    framed = frame_pattern(pattern, Frame(width=100.0, height=90.0), keys={"I_"})
    assert (framed.block.width, framed.block.height) == (100.0, 90.0)
    assert framed.glyphs[0].metrics.block_width == 100.0
    assert framed.glyphs[1].pieces == wide.pieces
    assert framed.glyphs[1].metrics.block_width == 200.0
    with pytest.raises(InputError, match=r"no frame for T: a frame of .* smaller than its block"):
        frame_pattern(pattern, Frame(width=100.0))


def test_a_framed_block_is_harder_to_sew_by_its_strips():
    framed = frame_glyph(letter_t(), 60.0, 80.0, Sides.all(10))
    plain = letter_t()
    assert framed.metrics.level
    # Three pieces more, an eighth each; 12 pieces share 80 × 100 mm, 9 pieces 60 × 90 mm (difficulty.py).
    size = -2 * (25.4 / (5400 / 9) ** 0.5 - 1)  # with four strips the mean side is above 25.4 mm
    alone = frame_glyph(plain, 60.0, 80.0, Sides(top=10.0))
    assert framed.metrics.difficulty - alone.metrics.difficulty == pytest.approx(3 / 8 + size)


def test_frames_of_a_set_are_cut_to_measure():
    cutting = cutting_for(sample_pattern(), "mm")
    frame = Frame(left=15.0, right=15.0, top=20.0)
    cuts = frame_cuts(sample_pattern(), frame, cutting, 2)
    # Four blocks of 60 × 80 mm, twice; + 2 × 6.35 each way: sides 92.7 × 27.7, tops (60 + 30 + 12.7) × 32.7.
    assert {(c.count, round(c.length, 2), round(c.width, 2)) for c in cuts} == {
        (16, 92.7, 27.7),
        (8, 102.7, 32.7),
    }
    assert {c.fabric for c in cuts} == {"background"}


def test_unequal_strips_share_what_is_left():
    assert Frame(width=100.0, left=10.0).sides(60, 80) == Sides(0, 30, 0, 10)
    assert Frame(width=100.0, right=10.0).sides(60, 80) == Sides(0, 10, 0, 30)
    assert Frame(height=100.0).sides(60, 80) == Sides(10, 0, 10, 0)
    assert Frame(left=5.0, bottom=7.0).sides(60, 80) == Sides(0, 0, 7, 5)
    assert frame_text(Frame(width=76.2, height=101.6), 50.8, 76.2, "in") == (
        "3 × 4 in finished: left 1/2 in, right 1/2 in, top 1/2 in, bottom 1/2 in"
    )


@pytest.mark.parametrize(
    ("frame", "says"),
    [
        (Frame(width=50.0), "smaller than its block"),
        (Frame(height=79.0), "smaller than its block"),
        (Frame(width=100.0, left=41.0), "does not fit"),
        (Frame(width=100.0, left=-1.0), "does not fit"),
        (Frame(width=100.0, left=10.0, right=10.0), "to fill"),
        (Frame(left=-4.0), "left strip"),
        (Frame(left=1.0), "too narrow to sew"),
        (Frame(width=61.0), "too narrow to sew"),
    ],
)
def test_frames_that_cannot_be(frame, says):
    with pytest.raises(InputError) as error:
        frame.sides(60.0, 80.0)
    assert says in str(error.value)


def test_a_frame_that_is_told_too_narrow_tells_a_width_that_works():
    with pytest.raises(InputError) as error:
        Frame(left=1.0).sides(60, 80, "in")
    assert length_text(3.0, "in", "up") in str(error.value)
    assert Frame(left=3.175).sides(60, 80).left == 3.175


def test_a_scaled_set_keeps_its_shapes():
    pattern = sample_pattern(
        *(replace(g, metrics=replace(g.metrics, hausdorff=1.5)) for g in sample_pattern().glyphs)
    )
    twice = scale_pattern(pattern, 2.0)
    assert (twice.block.width, twice.block.height, twice.block.seam_allowance) == (120, 160, 6.35)
    for small, large in zip(pattern.glyphs, twice.glyphs, strict=True):
        assert large.metrics.min_piece_width == 2 * small.metrics.min_piece_width
        assert large.metrics.hausdorff == 2 * small.metrics.hausdorff
        for one, other in zip(small.pieces, large.pieces, strict=True):
            assert Polygon(other.polygon).area == pytest.approx(4 * Polygon(one.polygon).area)
    for factor in (0.0, -1.0, float("nan")):
        with pytest.raises(InputError):
            scale_pattern(sample_pattern(), factor)
