"""What is printed where names are given, one by one or by pattern."""

from dataclasses import replace

import pytest

from converter.cli.reading import read_names, read_only
from converter.errors import InputError
from converter.printing.selection import select
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle


def named(glyph, name, **more):
    return replace(glyph, key=name, name=name, text="", codepoints=(), **more)


SET = sample_pattern(
    named(letter_i(), "sea-kelp"),
    named(letter_t(), "sea-dulse", status="redesign"),
    named(triangle(), "shell"),
    named(plus(), "sea-lettuce"),
    letter_i(),
)


def printed(only):
    selection = select(SET, only)
    return [g.name for g in selection.glyphs], [g.name for g in selection.left_out], selection.only


def test_patterns_print_each_character_once_and_leave_out_what_cannot_be_sewn():
    assert printed("{sea-*}") == (["sea-kelp", "sea-lettuce"], ["sea-dulse"], "sea-*")
    assert printed("I{shel?}{sea-[k]*}")[0] == ["I", "shell", "sea-kelp"]
    assert printed(["shell", "*kelp", "sea-kelp"])[0] == ["shell", "sea-kelp"]


def test_a_name_alone_is_a_text_as_before():
    assert printed("{shell}{shell}")[0] == ["shell"]
    assert select(SET, "{shell}{shell}").copies == {"shell": 2}


@pytest.mark.parametrize(
    ("only", "said"),
    [("{moss*}", "no symbol moss"), (["shell", "moss"], "no symbol moss;"), ("{sea-dul*}", "none of these")],
)
def test_what_fits_nothing_is_an_error(only, said):
    with pytest.raises(InputError, match=said):
        select(SET, only)


def test_names_come_from_a_file(tmp_path):
    file = tmp_path / "names.txt"
    file.write_bytes("\ufeff# of the sea\nsea-kelp\r\n\n  {shell}  \nsea-l*\n".encode())
    assert read_names(file) == ("sea-kelp", "shell", "sea-l*")
    assert printed(read_only(None, file))[0] == ["sea-kelp", "shell", "sea-lettuce"]
    file.write_text("# nothing\n")
    for text, path, said in (
        ("A", file, "give one"),
        (None, file, "no names"),
        (None, tmp_path / "no", "no such"),
    ):
        with pytest.raises(InputError, match=said):
            read_only(text, path)
