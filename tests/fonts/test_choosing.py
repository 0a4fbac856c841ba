"""Choosing glyphs, by the conventions of fontTools' subsetter."""

import pytest
from fontTools.subset import parse_unicodes

from converter.errors import InputError
from converter.fonts.choosing import choose_glyphs
from tests.fonts.makers import SYMBOL_FONT, builder, square

LETTERS = {letter: square(0, 0, 100) for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZabcé"}


@pytest.fixture
def font(load):
    cmap = {ord(letter): letter for letter in LETTERS} | {0x391: "A", 0x20: "space", 0xA0: "space"}
    return load(builder({**LETTERS, "space": lambda _: None, "A.alt": square(0, 0, 50)}, cmap=cmap))


def names(choice):
    return [glyph.name for glyph in choice.glyphs]


CASES = {
    "nothing given: A to Z": ({}, list("ABCDEFGHIJKLMNOPQRSTUVWXYZ"), ()),
    "text, in its order, once each": ({"text": "BACABBA"}, ["B", "A", "C"], ()),
    "text with a space": ({"text": "SOW A"}, ["S", "O", "W", "space", "A"], ()),
    "text with line breaks": ({"text": "A\r\n\tB"}, ["A", "B"], ()),
    "text with a combining accent": ({"text": "e\u0301"}, ["é"], ()),
    "code points": ({"unicodes": "U+0041, 42 u+43,44"}, ["A", "B", "C", "D"], ()),
    "a range": ({"unicodes": "41-43"}, ["A", "B", "C"], ()),
    "a range in the long form": ({"unicodes": "U+0041-U+0043"}, ["A", "B", "C"], ()),
    "glyph names": ({"glyphs": "A.alt, B  space"}, ["A.alt", "B", "space"], ()),
    "text, then code points, then names": (
        {"glyphs": "C", "unicodes": "42", "text": "A"},
        ["A", "B", "C"],
        (),
    ),
    "one glyph asked for three ways": ({"glyphs": "A", "unicodes": "391", "text": "A"}, ["A"], ()),
    "all that is missing": (
        {"text": "AЖ\u202e", "unicodes": "5B-5C", "glyphs": "A,nothing,\x1b[2Jevil"},
        ["A"],
        ("Ж (U+0416)", "U+202E", "[ (U+005B)", "\\ (U+005C)", "glyph name nothing", "glyph name evil"),
    ),
    "only separators": ({"unicodes": " , ", "glyphs": ","}, list("ABCDEFGHIJKLMNOPQRSTUVWXYZ"), ()),
}


@pytest.mark.parametrize("case", CASES)
def test_what_is_chosen_and_what_is_missing(font, case):
    asked, chosen, missing = CASES[case]
    choice = choose_glyphs(font, **asked)
    assert names(choice) == [font.cmap[0xE9] if name == "é" else name for name in chosen]
    assert choice.missing == missing


def test_a_star_means_all_but_the_sign_for_what_is_missing(font):
    everything = choose_glyphs(font, glyphs="*")
    assert names(everything) == [name for name in font.glyph_names if name != ".notdef"]
    assert names(choose_glyphs(font, glyphs=".notdef")) == [".notdef"]
    assert set(names(choose_glyphs(font, unicodes="*"))) == set(font.cmap.values())


def test_a_glyph_knows_all_the_characters_that_it_draws_those_asked_for_first(font):
    (greek,) = choose_glyphs(font, unicodes="391").glyphs
    assert (greek.codepoints, greek.text) == ((0x391, 0x41), "Α")
    (by_name,) = choose_glyphs(font, glyphs="A").glyphs
    assert (by_name.codepoints, by_name.text) == ((0x41, 0x391), "A")
    (unmapped,) = choose_glyphs(font, glyphs="A.alt").glyphs
    assert (unmapped.codepoints, unmapped.text) == ((), "")


def test_a_private_character_has_no_text(load):
    (seed,) = choose_glyphs(load(SYMBOL_FONT.read_bytes()), glyphs="seed").glyphs
    assert (seed.codepoints, seed.text) == ((0xE000,), "")


@pytest.mark.parametrize("written", ["41", "U+41", "u+0041", "41-5A", "U+0041-005A", "41,42 43", "1F331"])
def test_code_points_are_read_as_the_subsetter_reads_them(load, written):
    # fontTools.subset.parse_unicodes, the function behind pyftsubset --unicodes
    wanted = parse_unicodes(written)
    font = load(builder({"A": square(0, 0, 1)}, cmap={}))
    assert len(choose_glyphs(font, unicodes=written).missing) == len(set(wanted))


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("0-3B9ACA00", "is not an ascending range within 0 to 10FFFF"),
        ("0-10FFFF", "more than 65536 characters"),
        ("0-FFFF,10000-1FFFF", "more than 65536 characters"),
        ("5A-41", "is not an ascending range"),
        ("110000", "is not an ascending range within"),
        ("A–Z", "is not a code point"),
        ("U+", "is not a code point"),
        ("41-", "is not a code point"),
        ("\x1b[31mred", "red is not a code point"),
        ("9" * 10_000, "is not a code point"),
    ],
)
def test_code_points_that_make_no_sense(font, written, told):
    with pytest.raises(InputError, match=told) as caught:
        choose_glyphs(font, unicodes=written)
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 200
