"""Room for descenders: kept where something laid out needs it, left out where nothing does."""

from dataclasses import replace
from functools import cache

import pytest

from converter.fonts.choosing import choose_glyphs
from converter.fonts.loading import load_font
from converter.measures import mark_step
from converter.model import BACKGROUND, Licence
from converter.pipeline import convert
from converter.settings import resolve_settings
from converter.verify import verify_glyph
from converter.words.foot import without_room_below
from converter.words.frames import Frame, Sides
from converter.words.layout import lay_out
from converter.words.parts import LayoutSettings
from tests.fonts.makers import TEXT_FONTS
from tests.samples import sample_pattern

STEP = mark_step("in")
PLAIN = LayoutSettings(border=Sides())


@cache
def village(fit="together", text="SEDonpl"):
    font = load_font(TEXT_FONTS[1])
    asked = resolve_settings(None, {"fit": fit, "effort": "draft"})
    return convert(font, choose_glyphs(font, text=text).glyphs, Licence("", "", 0, "open"), asked).pattern


def foot(layout):
    """How far the lowest letter is from the lower edge of the block that it stands in."""
    return min(
        block.height - y
        for block in layout.blocks
        for piece in layout.glyph(block).pieces
        if piece.fabric != BACKGROUND
        for _, y in piece.polygon
    )


@pytest.mark.parametrize("text", ["SEED", "no", "Seeds lend"])
@pytest.mark.parametrize("settings", [PLAIN, replace(PLAIN, by_eye=True), replace(PLAIN, widths="fixed")])
def test_words_without_a_descender_have_the_margin_below_and_stay_on_their_line(text, settings):
    pattern = village(text="SEDonplsed")
    layout = lay_out(pattern, text, settings)
    assert layout.height < pattern.block.height
    assert {block.height for block in layout.blocks} == {layout.pattern.block.height}
    # Round letters stand a little below the baseline; else it is the set's margin, on a mark.
    assert foot(layout) == pytest.approx(pattern.settings["margin"], abs=STEP + 0.02 * 101.6)
    baselines = {round(b.y + layout.glyph(b).placement[5], 6) for b in layout.blocks}
    assert baselines == {round(pattern.glyphs[0].placement[5], 6)}
    for glyph in layout.pattern.glyphs:
        verify_glyph(glyph, glyph.metrics.block_width, layout.pattern.block.height)
    assert any(note.startswith("Nothing reaches below the baseline") for note in layout.notes)


@pytest.mark.parametrize("settings", [PLAIN, replace(PLAIN, by_eye=True)])
def test_words_with_one_keep_their_blocks(settings):
    layout = lay_out(village(), "Spoon", settings)
    assert layout.height == village().block.height
    assert not any("baseline" in note for note in layout.notes)


def test_a_run_without_a_descender_has_no_room_for_one():
    # Its cap line and its baseline are a margin from the block's edges: nothing is left to trim.
    capitals = village(text="EDIH")
    assert capitals.glyphs[0].placement[5] == pytest.approx(capitals.block.height - 6.35)
    assert without_room_below(capitals, STEP, 3.175) is capitals


def test_letters_that_fill_their_blocks_and_blocks_by_hand_stay_in_the_middle():
    for pattern in (village("each", "Eon-"), sample_pattern()):
        assert without_room_below(pattern, STEP, 3.175) is pattern


def test_frames_go_round_the_trimmed_blocks_and_a_target_is_met():
    framed = lay_out(village(), "no", replace(PLAIN, frame=Frame(top=25.4, bottom=25.4)))
    plain = lay_out(village(), "no", PLAIN)
    assert framed.height == pytest.approx(plain.height + 50.8)
    assert lay_out(village(), "no", replace(PLAIN, target_width=500.0)).width == pytest.approx(500.0)


def test_no_piece_gets_narrower_than_asked():
    least = min(g.metrics.min_piece_width for g in village().glyphs)
    layout = lay_out(village(), "no", PLAIN)
    assert min(g.metrics.min_piece_width for g in layout.pattern.glyphs) >= min(least, 3.175) - 1e-3
