"""The committed sample fonts: where they are from, and that the symbols are what their script draws."""

import hashlib
import runpy

import pytest

from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from tests.fonts.makers import SLAB_FONT, SYMBOL_FONT, TEXT_FONTS

COMMITTED = [*TEXT_FONTS, SYMBOL_FONT, SLAB_FONT]


def test_the_symbol_font_is_what_its_script_draws():
    script = runpy.run_path(str(SYMBOL_FONT.parent / "draw_symbols.py"))
    assert script["build"]() == SYMBOL_FONT.read_bytes()
    assert script["build"]() == script["build"]()


@pytest.mark.parametrize("path", COMMITTED, ids=lambda path: path.stem)
def test_the_table_of_provenance_names_each_file_with_its_digest(path):
    table = [row for row in (path.parents[1] / "README.md").read_text().splitlines() if row.startswith("|")]
    rows = [row for row in table if path.name in row]
    assert len(rows) == 1
    assert hashlib.sha256(path.read_bytes()).hexdigest() in rows[0]
    assert f"`{path.parent.name}`" in rows[0]


@pytest.mark.parametrize("path", COMMITTED, ids=lambda path: path.stem)
def test_every_sample_font_is_open_by_its_own_words_and_has_its_licence_beside_it(path):
    licence = judge_licence(load_font(path), path.parent)
    assert (licence.verdict, licence.name) == ("open", "OFL-1.1")
    beside = [file for file in path.parent.iterdir() if file.name in ("LICENSE", "OFL.txt")]
    assert "SIL OPEN FONT LICENSE Version 1.1" in beside[0].read_text()


def test_symmetrical_symbols_are_so_to_the_unit():
    font = load_font(SYMBOL_FONT)
    for name in ("drop", "seed", "gull", "sprout", "lighthouse"):
        points = {point for curves, _ in font.contours(name) for curve in curves for point in curve}
        assert {(1000 - x, y) for x, y in points} == points, name
