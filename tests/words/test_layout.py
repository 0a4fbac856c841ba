from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from converter.errors import InputError
from converter.words.frames import Frame, Sides
from converter.words.layout import lay_out
from converter.words.parts import LayoutSettings
from tests.samples import letter_i, letter_t, sample_pattern, triangle

NARROW = replace(letter_i(), metrics=replace(letter_i().metrics, block_width=36.0))
NARROW = replace(
    NARROW,
    pieces=tuple(
        replace(p, polygon=tuple((min(max(x - 12.0, 0.0), 36.0), y) for x, y in p.polygon))
        for p in NARROW.pieces
    ),
)
PROPORTIONAL = sample_pattern(NARROW, letter_t(), triangle())
width = st.sampled_from([0.0, 5.0, 12.7, 25.4, 31.0])


def replay(layout):
    """Sews the layout together by its steps alone; returns the rectangle that comes out."""
    parts = {p.id: (p.x, p.y, p.width, p.height) for p in (*layout.blocks, *layout.strips)}
    for step in layout.steps:
        boxes = [parts.pop(part) for part in step.parts]
        along, side = (0, 1) if step.direction == "across" else (1, 0)
        for before, after in pairwise(boxes):
            assert before[along] + before[2 + along] == pytest.approx(after[along], abs=1e-6)
            assert before[side] == pytest.approx(after[side], abs=1e-6)
            assert before[2 + side] == pytest.approx(after[2 + side], abs=1e-6)
        total = sum(box[2 + along] for box in boxes)
        first = boxes[0]
        size = (total, first[3]) if along == 0 else (first[2], total)
        parts[step.makes] = (first[0], first[1], *size)
    assert len(parts) == 1, parts
    return next(iter(parts.values()))


@settings(derandomize=True, deadline=None, max_examples=200)
@given(
    text=st.text(st.sampled_from("TAI \n"), min_size=1, max_size=14),
    align=st.sampled_from(["left", "centre", "right"]),
    strips=st.tuples(width, width, width),
    border=st.tuples(width, width, width, width),
    widths=st.sampled_from(["fixed", "proportional"]),
    frame=st.sampled_from([None, Frame(width=80.0, height=100.0), Frame(left=6.0, top=9.0)]),
    target=st.sampled_from(
        [
            None,
            (700.0, None, "scale"),
            (None, 500.0, "scale"),
            (4000.0, 3000.0, "pad"),
            (900.0, 900.0, "scale"),
        ]
    ),
    units=st.sampled_from(["in", "mm"]),
)
def test_a_layout_is_the_sum_of_its_blocks_strips_and_borders(
    text, align, strips, border, widths, frame, target, units
):
    assume(text.strip())
    wide, high, fit = target or (None, None, "scale")
    asked = LayoutSettings(
        align, *strips, Sides(*border), widths, target_width=wide, target_height=high, fit=fit, frame=frame
    )
    layout = lay_out(PROPORTIONAL, text, asked, units)
    assert replay(layout) == pytest.approx((0, 0, layout.width, layout.height), abs=1e-6)
    area = sum(part.width * part.height for part in (*layout.blocks, *layout.strips))
    assert area == pytest.approx(layout.width * layout.height)
    assert all(part.width > 0 and part.height > 0 for part in (*layout.blocks, *layout.strips))
    if wide:
        assert layout.width == pytest.approx(wide, abs=2e-3)
    if high:
        assert layout.height == pytest.approx(high, abs=2e-3)
    assert len(layout.blocks) == sum(not c.isspace() for c in text)
    assert sum(layout.counts().values()) == len(layout.blocks)
    assert layout.unfinished == pytest.approx((layout.width + 12.7, layout.height + 12.7))
    for block in layout.blocks:  # the pieces fill the block that they are laid into
        xs = [x for piece in layout.glyph(block).pieces for x, _ in piece.polygon]
        assert max(xs) == pytest.approx(block.width)


def test_a_four_letter_word_by_hand():
    # Blocks 60 × 80 mm, 10 mm strips between, border 20 mm:
    # 4 × 60 + 3 × 10 + 2 × 20 = 310 wide, 80 + 2 × 20 = 120 high; with 2 × 6.35 allowance 322.7 × 132.7.
    layout = lay_out(sample_pattern(), "TAIT", LayoutSettings(spacing=10, border=Sides.all(20)), "mm")
    assert (layout.width, layout.height) == pytest.approx((310, 120))
    assert layout.unfinished == pytest.approx((322.7, 132.7))
    assert [b.x for b in layout.blocks] == pytest.approx([20, 90, 160, 230])
    assert {b.y for b in layout.blocks} == {20}
    kinds = [(s.kind, s.width, s.height) for s in layout.strips]
    assert kinds == [("spacing", 10, 80)] * 3 + [("border", 20, 80)] * 2 + [("border", 310, 20)] * 2
    assert layout.counts() == {"I_": 1, "T_": 2, "A_": 1}
    assert [step.parts for step in layout.steps] == [
        ("1.1", "s1", "1.2", "s2", "1.3", "s3", "1.4"),
        ("s4", "row 1", "s5"),
        ("s6", "rows and side borders", "s7"),
    ]


def test_lines_are_aligned_by_fillers():
    def fillers(align):
        asked = LayoutSettings(align, word_space=30.0, line_strip=15.0, border=Sides())
        layout = lay_out(sample_pattern(), "TA I\nT", asked, "mm")
        # Row 1: 3 × 60 + 30 = 210; row 2: 60, so 150 are filled.
        assert (layout.width, layout.height) == (210, 175)
        return [(s.x, s.width) for s in layout.strips if s.kind == "filler"]

    assert fillers("left") == [(60, 150)]
    assert fillers("right") == [(0, 150)]
    assert fillers("centre") == [(0, 75), (135, 75)]


def test_an_empty_line_is_one_strip_as_high_as_a_row_and_two_line_strips():
    asked = LayoutSettings(line_strip=10.0, border=Sides())
    layout = lay_out(sample_pattern(), "T\n\nA", asked, "mm")
    assert [(s.kind, s.height) for s in layout.strips] == [("line", 100.0)]
    assert layout.height == 260


def test_fixed_blocks_are_filled_up_and_proportional_ones_are_not():
    plain = LayoutSettings(border=Sides())
    assert lay_out(PROPORTIONAL, "TI", plain, "mm").width == 96
    fixed = lay_out(PROPORTIONAL, "TI", replace(plain, widths="fixed"), "mm")
    assert fixed.width == 120
    assert [(s.kind, s.width) for s in fixed.strips] == [("spacing", 12), ("filler", 12)]


def test_scaling_rounds_the_block_down_and_makes_up_the_rest_in_the_border():
    asked = LayoutSettings(border=Sides(), target_width=500.0)
    layout = lay_out(sample_pattern(), "TAIT", asked, "mm")
    # 500 ÷ 240 × 80 = 166.67, so 166 mm high and 124.5 wide: 4 × 124.5 = 498; 1 mm more left and right.
    assert layout.blocks[0].height == pytest.approx(166)
    assert layout.blocks[0].width == pytest.approx(124.5)
    assert layout.width == pytest.approx(500)
    assert [(s.kind, s.width) for s in layout.strips] == [("border", pytest.approx(1.0))] * 2
    assert layout.scale == pytest.approx(166 / 80)
    assert "207.5 %" in layout.notes[0]
    assert "498 mm" in layout.notes[1]
    assert "1 mm of border is added" in layout.notes[1]


def test_seam_allowance_is_not_scaled():
    layout = lay_out(sample_pattern(), "TAIT", LayoutSettings(target_width=1000.0), "mm")
    assert layout.pattern.block.seam_allowance == 6.35


def test_narrow_pieces_are_told_when_the_letters_shrink():
    # The narrowest piece is 10 mm in a block 80 mm high; the limit 3.175 mm; at 20 mm it is 2.5 mm.
    layout = lay_out(sample_pattern(), "T", LayoutSettings(border=Sides(), target_height=20.0), "mm")
    assert any("narrower than 3.2 mm" in note for note in layout.notes)
    assert not lay_out(sample_pattern(), "T", LayoutSettings(), "mm").notes


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: LayoutSettings(spacing=-1.0), "spacing of -1 mm"),
        (lambda: LayoutSettings(word_space=-1.0), "word space"),
        (lambda: LayoutSettings(line_strip=-0.5), "line strip"),
        (lambda: LayoutSettings(line_strip=float("nan")), "line strip"),
        (lambda: LayoutSettings(border=Sides(top=-2.0)), "top strip"),
        (lambda: LayoutSettings(align="middle"), "align"),
        (lambda: LayoutSettings(target_width=0.0), "target width"),
        (lambda: LayoutSettings(target_height=float("inf")), "target height"),
        (lambda: lay_out(sample_pattern(), "TAIT", LayoutSettings(target_width=30.0)), "too small"),
        (lambda: lay_out(sample_pattern(), "TAIT", LayoutSettings(target_height=5.0)), "too small"),
        (
            lambda: lay_out(sample_pattern(), "TAIT", LayoutSettings(target_width=200.0, fit="pad")),
            "too small",
        ),
        (
            lambda: lay_out(sample_pattern(), "T", LayoutSettings(frame=Frame(width=40.0))),
            "smaller than its block",
        ),
    ],
)
def test_settings_that_cannot_be(make, says):
    with pytest.raises(InputError) as error:
        make()
    assert says in str(error.value)
