"""Where glyphs lie in their blocks: one scale, one baseline, margins kept, narrowed where too wide."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from converter.errors import InputError
from converter.fonts.outlines import Outline
from converter.placement import OVERSHOOT, WIDTH_STEP, Frame, place, zones
from converter.settings import Settings

CAP, ASCENDER, DESCENDER = 700.0, 760.0, -200.0
FRAME = Frame(76.2, 101.6, 6.35)


def glyph(left: float, bottom: float, right: float, top: float, name: str = "x") -> Outline:
    ring = ((left, bottom), (right, bottom), (right, top), (left, top))
    return Outline(name, ((ring,),), right + left, (left, bottom, right, top), (), "outline")


H, O, G, B, WIDE = (  # noqa: E741
    glyph(50, 0, 550, 700),
    glyph(40, -12, 600, 712),
    glyph(40, -200, 500, 520),
    glyph(60, 0, 500, 760),
    glyph(0, 0, 2100, 700),
)


def run(*outlines):
    return zones(outlines, CAP, ASCENDER, DESCENDER)


def test_capitals_fill_the_height_between_the_margins():
    placed = place(H, FRAME, run(H, O))
    left, top, right, bottom = placed.outline.bounds
    assert (top, bottom) == pytest.approx((6.35, 95.25))
    assert left + right == pytest.approx(76.2)
    assert placed.size == pytest.approx(88.9)
    assert placed.width_factor == 1


def test_overshoot_of_round_letters_does_not_shrink_the_run():
    assert run(H, O) == run(H)
    assert place(O, FRAME, run(H, O)).outline.bounds[1] < 6.35


def test_ascenders_and_descenders_shrink_the_whole_run_and_all_share_a_baseline():
    zones_of_run = run(H, G, B)
    assert (zones_of_run.top, zones_of_run.bottom) == (ASCENDER, DESCENDER)
    placed = [place(g, FRAME, zones_of_run) for g in (H, G, B)]
    assert len({p.baseline for p in placed}) == 1
    assert len({p.placement[3] for p in placed}) == 1
    assert placed[0].outline.bounds[3] == pytest.approx(placed[0].baseline)
    assert placed[1].outline.bounds[3] == pytest.approx(95.25)
    assert placed[2].outline.bounds[1] == pytest.approx(6.35)


def test_what_reaches_higher_than_the_ascender_counts_as_it_is():
    accented = glyph(50, 0, 500, 930)
    assert run(H, accented).top == 930
    assert place(accented, FRAME, run(H, accented)).outline.bounds[1] == pytest.approx(6.35)


def test_a_run_without_ink_has_zones_too():
    assert (run().top, run().bottom) == (CAP, 0.0)


def test_a_wide_glyph_is_narrowed_to_fit_and_no_other():
    wide = place(WIDE, FRAME, run(H, WIDE))
    left, top, right, bottom = wide.outline.bounds
    assert (left, right) == pytest.approx((6.35, 69.85))
    assert (top, bottom) == pytest.approx((6.35, 95.25))
    assert wide.width_factor == pytest.approx(63.5 / (2100 * 88.9 / 700))
    assert wide.placement[0] == pytest.approx(-wide.placement[3] * wide.width_factor)
    assert place(H, FRAME, run(H, WIDE)).width_factor == 1


def test_each_fills_its_block():
    frame = Frame(76.2, 101.6, 6.35, fit="each")
    tall, broad = place(glyph(0, 0, 100, 1000), frame, run(H)), place(glyph(0, 300, 1000, 500), frame, run(H))
    assert tall.outline.bounds[1::2] == pytest.approx((6.35, 95.25))
    assert broad.outline.bounds[::2] == pytest.approx((6.35, 69.85))
    for placed in (tall, broad):
        left, top, right, bottom = placed.outline.bounds
        assert (left + right, top + bottom) == pytest.approx((76.2, 101.6))
        assert placed.width_factor == 1
        assert placed.size == pytest.approx(max(right - left, bottom - top))


def test_proportional_blocks_come_in_eighths_of_an_inch():
    frame = Frame(76.2, 101.6, 6.35, widths="proportional")
    placed = place(WIDE, frame, run(H, WIDE))
    ink = placed.outline.bounds[2] - placed.outline.bounds[0]
    assert placed.width_factor == 1
    assert placed.block_width / (25.4 / 8) == pytest.approx(round(placed.block_width / (25.4 / 8)))
    assert ink + 2 * 6.35 <= placed.block_width + 1e-6 < ink + 2 * 6.35 + WIDTH_STEP + 1e-6
    assert sum(placed.outline.bounds[::2]) == pytest.approx(placed.block_width)


@pytest.mark.parametrize("margin", [50.8, 38.1, 1000.0])
def test_a_margin_that_leaves_nothing_is_told(margin):
    with pytest.raises(InputError, match="leaves no room"):
        Frame(76.2, 101.6, margin)


def test_a_glyph_without_ink_cannot_be_placed():
    with pytest.raises(ValueError, match="no ink"):
        place(Outline("space", (), 300, None, (), "blank"), FRAME, run())


numbers = st.integers(-300, 1200)


@given(
    st.lists(st.tuples(numbers, numbers, st.integers(1, 3000), st.integers(1, 1500)), min_size=1, max_size=6),
    st.sampled_from(("together", "each")),
    st.sampled_from(("fixed", "proportional")),
)
@settings(derandomize=True, deadline=None)
def test_the_map_takes_font_units_to_the_block_and_nothing_leaves_the_margins(boxes, fit, widths):
    outlines = [glyph(x, y, x + w, y + h) for x, y, w, h in boxes]
    frame = Frame(76.2, 101.6, 6.35, fit, widths)
    zones_of_run = run(*outlines)
    for outline in outlines:
        placed = place(outline, frame, zones_of_run)
        a, b, c, d, e, f = placed.placement
        assert b == c == 0
        left, bottom, right, top = outline.bounds
        there = placed.outline.bounds
        assert (a * left + e, d * top + f, a * right + e, d * bottom + f) == pytest.approx(there)
        slack = OVERSHOOT * CAP * -d + 1e-6 if fit == "together" else 1e-6
        assert there[0] >= 6.35 - 1e-6
        assert there[2] <= placed.block_width - 6.35 + 1e-6
        assert there[1] >= 6.35 - slack
        assert there[3] <= 101.6 - 6.35 + slack


@pytest.mark.parametrize("block", [(76.2, 101.6), (1000.0, 20.0), (50.8, 50.8), (25.4, 101.6)])
def test_the_default_margin_never_lets_the_block_s_edge_cut_a_letter(block):
    # A round letter that stands out as far as it may, and one that fills the width.
    frame = Settings(block=block).frame()
    round_letter = glyph(0, -OVERSHOOT * CAP, 700, CAP * (1 + OVERSHOOT))
    for outline in (round_letter, WIDE):
        left, top, right, bottom = place(outline, frame, run(H, round_letter)).outline.bounds
        assert left > 0
        assert top > 0
        assert right < block[0]
        assert bottom < block[1]
