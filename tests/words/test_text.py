from dataclasses import replace

import pytest

from converter.budgets.words import TEXT
from converter.errors import InputError
from converter.words.text import read_text
from tests.fabric.blocks import pattern
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle


def with_symbols():
    leaf = replace(letter_i(), key="leaf", name="leaf", codepoints=(0xE000,), text="\ue000")
    brace = replace(letter_t(), key="braceleft", name="braceleft", codepoints=(0x7B,), text="{")
    space = replace(
        letter_t(),
        key="space",
        name="space",
        codepoints=(32,),
        text=" ",
        status="blank",
        pieces=(),
        sections=(),
    )
    return pattern([letter_i(), letter_t(), triangle(), plus(), leaf, brace, space])


def read(text):
    return [
        [[glyph.name for glyph in word] for word in line.words] for line in read_text(with_symbols(), text)
    ]


def test_lines_words_symbols_and_braces():
    assert read("TA IT\n{leaf}{{ {T}") == [[["T", "A"], ["I", "T"]], [["leaf", "braceleft"], ["T"]]]
    assert read("{ LEAF }") == [[["leaf"]]]


def test_a_line_reads_back_with_symbols_by_name():
    assert read_text(with_symbols(), "T{leaf} A")[0].text == "T{leaf} A"


def test_several_spaces_are_kept_between_words_and_dropped_at_the_ends():
    (line,) = read_text(with_symbols(), "  T   A ")
    assert line.gaps == (3,)


def test_empty_lines_are_kept_inside_and_dropped_outside():
    assert read("\n\nT\n\nA\n\n") == [[["T"]], [], [["A"]]]


def test_a_composed_and_a_decomposed_character_are_the_same():
    # Unicode Standard Annex 15: NFC composes U+0041 U+0300 to U+00C0.
    grave = replace(triangle(), key="A_grave", name="Agrave", codepoints=(0xC0,), text="\u00c0")
    (line,) = read_text(pattern([grave]), "A\u0300")
    assert [g.name for g in line.words[0]] == ["Agrave"]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty or only spaces"),
        ("   \n\t ", "empty or only spaces"),
        ("T" * 10**5, "100000 characters"),
        ("T" * (TEXT.most + 1), "at most"),
        ("T{shell}", "{shell}"),
        ("T{", "single brace"),
        ("T}", "single brace"),
        ("T{}", "single brace"),
        ("T{a{b}", "single brace"),
        ("}}", "}"),
        ("tai", "capitals"),
        ("T\x07", "U+0007"),
        ("T\u202e", "U+202E"),
    ],
)
def test_text_that_cannot_be_laid_out(text, says):
    with pytest.raises(InputError) as error:
        read_text(with_symbols(), text)
    assert says in str(error.value)
    assert "\n" not in str(error.value)


def test_all_missing_characters_are_told_at_once_each_once():
    with pytest.raises(InputError, match=r"lacks 5 of the characters: K, E, L, P, \{shell\};"):
        read_text(sample_pattern(), "KELP KEEP\n{shell} {shell} TAPE")


def test_a_character_without_pieces_is_refused():
    torn = replace(letter_t(), pieces=(), sections=(), status="redesign")
    with pytest.raises(InputError, match="no pieces yet"):
        read_text(pattern([torn, letter_i()]), "IT")


def test_text_of_nothing_but_blank_glyphs_is_refused():
    blank = replace(letter_t(), pieces=(), sections=(), status="blank")
    with pytest.raises(InputError, match="nothing to lay out"):
        read_text(pattern([blank]), "TT")
