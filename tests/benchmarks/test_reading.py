"""Reading by machine: the lines, their alignment, and a word of the sample font."""

from string import ascii_uppercase

import pytest

from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.pipeline import convert
from converter.settings import Settings
from tests.benchmarks.reading import (
    LINES,
    TESSERACT,
    figure_letter,
    in_place,
    outline_letter,
    picture,
    read,
    trial_lines,
)
from tests.fonts.makers import TEXT_FONTS

needs_tesseract = pytest.mark.skipif(TESSERACT is None, reason="needs tesseract (Debian: tesseract-ocr)")


@pytest.mark.parametrize("letters", [ascii_uppercase, "KELPS", "SOW", "O"])
def test_each_letter_is_tried_once_in_each_round(letters):
    lines = list(trial_lines(letters))
    tried = sorted("".join(line[:count] for line, count in lines))
    assert tried == sorted(letters * LINES)
    assert all(len(line) == len(set(line)) == min(5, len(letters)) for line, _ in lines)


def test_lines_are_the_same_on_every_run():
    # Python's documentation of `random`, "Notes on Reproducibility", promises this for random() alone.
    assert [line for line, _ in trial_lines("ABCDEF")] == [
        "DFABC",
        "EABFD",
        "BEAFD",
        "CFDAE",
        "AFEBD",
        "CEFDA",
    ]


@pytest.mark.parametrize(
    ("line", "text", "found"),
    [
        ("BEANS", "BEANS", ["B", "E", "A", "N", "S"]),
        ("BEANS", "BFANS", ["B", "F", "A", "N", "S"]),
        ("BEANS", "BANS", ["B", "", "A", "N", "S"]),
        ("SOWIN", "SOVVIN", ["S", "O", "VV", "I", "N"]),
        ("BEANS", "", [""] * 5),
        ("BEANS", "HEHANS", ["H", "E", "A", "N", "S"]),
    ],
)
def test_what_was_read_is_laid_beside_what_was_set(line, text, found):
    assert in_place(line, text) == found


@needs_tesseract
def test_a_word_in_blocks_is_read_as_it_is_in_the_font():
    font = load_font(TEXT_FONTS[0])
    glyphs = choose_glyphs(font, text="KELP").glyphs
    done = convert(font, glyphs, judge_licence(font, TEXT_FONTS[0].parent), Settings())
    outlines = {glyph.text: outline_letter(font, glyph.name) for glyph in done.pattern.glyphs}
    figures = {glyph.text: figure_letter(font, glyph) for glyph in done.pattern.glyphs}
    for letters in (outlines, figures):
        assert read(picture("KELP", letters, font.cap_height)) == "KELP"


@needs_tesseract
def test_a_letter_that_another_stands_for_is_seen():
    font = load_font(TEXT_FONTS[0])
    letters = {
        text: outline_letter(font, choose_glyphs(font, text=own).glyphs[0].name)
        for text, own in zip("SHEL", "SHFL", strict=True)
    }
    assert read(picture("SHELL", letters, font.cap_height)) == "SHFLL"
