"""Names of symbols from the files that come with icon fonts.

The layouts are those of open icon sets on npm, from memory: style sheets as in Bootstrap Icons and Material Design
Icons, a custom property as in Font Awesome 7, ``codepoints`` as in Material Icons, JSON as in Bootstrap Icons (numbers)
and Font Awesome (``unicode``).
"""

import pytest

from converter.errors import InputError
from converter.fonts.loading import load_font
from converter.fonts.symbol_names import named, read_symbol_names
from tests.fonts.makers import SYMBOL_FONT as SYMBOLS

LEAF, SPROUT = 0xE001, 0xE002
FILES = {
    "names.css": """/* of the sea */ @font-face { font-family: sea; src: url(sea.woff2); }
        .sea::before, [class^="sea-"]::before { display: inline-block; line-height: 1 }
        .sea-kelp::before { content: "\\e001"; } .sea-dulse:before { content: '\\E002' }""",
    "min.css": '.sea-kelp{--f:"\\e001"}.sea-dulse{--f:"\\e002"}',
    "sea.codepoints": "# the sea\nkelp e001\n\ndulse E002\n",
    "names.txt": "kelp U+E001\ndulse 0xe002",
    "numbers.json": '{"kelp": 57345, "dulse": 57346}',
    "texts.json": '{"kelp": "e001", "dulse": "\\\\e002"}',
    "objects.json": '{"kelp": {"label": "Kelp", "unicode": "e001"}, "dulse": {"unicode": "e002"}}',
    "list.json": '[{"name": "kelp", "codepoint": "E001"}, {"id": 7}, {"name": "dulse", "codepoint": 57346}]',
}


@pytest.mark.parametrize("name", FILES)
def test_each_kind_of_file_says_which_name_a_character_has(tmp_path, name):
    (tmp_path / name).write_text(FILES[name], encoding="utf-8")
    assert read_symbol_names(tmp_path / name) == {LEAF: "kelp", SPROUT: "dulse"}


def test_the_first_name_of_a_character_counts(tmp_path):
    (tmp_path / "a.codepoints").write_text("kelp e001\nseaweed e001\n")
    assert read_symbol_names(tmp_path / "a.codepoints") == {LEAF: "kelp"}


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("a.codepoints", "kelp\n", "line 1 is not a name"),
        ("a.codepoints", "kelp zz\n", "line 1 is not a name"),
        ("a.json", "{", "cannot be read"),
        ("a.json", "[" * 100_000, "cannot be read"),
        ("a.json", "7", "has no names"),
        ("a.css", "}}}{{{ \\", "has no names"),
        ("a.css", "", "has no names"),
        ("a.css", ".kelp { content: '\\110000' }", None),
    ],
)
def test_what_is_no_such_file_is_told_in_one_line(tmp_path, name, text, said):
    (tmp_path / name).write_text(text, encoding="utf-8")
    if said is None:
        assert read_symbol_names(tmp_path / name) == {
            0xFFFD: "kelp"
        }  # CSS Syntax 3, consume an escaped code point
        return
    with pytest.raises(InputError, match=said) as caught:
        read_symbol_names(tmp_path / name)
    assert "\n" not in str(caught.value)


def test_a_font_is_called_so_and_drawn_as_before(tmp_path):
    font = load_font(SYMBOLS)
    (code, own), (other, second) = list(font.cmap.items())[:2]
    (tmp_path / "a.codepoints").write_text(f"kelp {code:x}\nkelp {other:x}\n")
    new = named(font, tmp_path / "a.codepoints")
    assert (new.cmap[code], new.cmap[other]) == ("kelp", "kelp_")  # no two glyphs have one name
    assert new.contours("kelp") == font.contours(own)
    assert new.contours("kelp_") == font.contours(second)
    assert len(set(new.glyph_names)) == len(font.glyph_names)
    (tmp_path / "b.codepoints").write_text("kelp 10ffff\n")
    with pytest.raises(InputError, match="names no character"):
        named(font, tmp_path / "b.codepoints")


def test_hostile_names_are_passed_over(tmp_path):
    font = load_font(SYMBOLS)
    first, second = list(font.cmap)[:2]
    (tmp_path / "a.json").write_text(f'{{"\\u202e\\u0007": {first}, "kelp": {second}}}', encoding="utf-8")
    new = named(font, tmp_path / "a.json")
    assert new.cmap[first] == font.cmap[first]
    assert new.cmap[second] == "kelp"
