"""Kerning and advances, against HarfBuzz setting the same words from the whole font, and against known values."""

from itertools import pairwise, product
from pathlib import Path
from string import ascii_letters, ascii_uppercase

import pytest
import uharfbuzz
from fontTools.ttLib import TTFont

from converter.fonts import spacing as module
from converter.fonts.loading import load_font
from converter.fonts.spacing import read_spacing
from tests.fonts.makers import SYMBOL_FONT, TEXT_FONTS

DEJAVU = Path("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf")


def spacing_of(path, characters, **more):
    font = load_font(path, **more)
    return read_spacing(font, {c: (font.cmap[ord(c)], (ord(c),)) for c in characters if ord(c) in font.cmap})


def set_by_harfbuzz(path, tmp_path):
    """Sets a word from the font as it is, without ligatures, and tells the advances."""
    plain = tmp_path / "plain.ttf"
    font = TTFont(path)
    font.flavor = None
    font.save(plain)
    shaper = uharfbuzz.Font(uharfbuzz.Face(plain.read_bytes()))

    def advances(word):
        buffer = uharfbuzz.Buffer()
        buffer.add_str(word)
        buffer.guess_segment_properties()
        uharfbuzz.shape(shaper, buffer, {"liga": False, "calt": False})
        return [position.x_advance for position in buffer.glyph_positions]

    return advances


@pytest.mark.parametrize("path", TEXT_FONTS, ids=lambda path: path.stem)
def test_every_pair_is_as_harfbuzz_sets_it(path, tmp_path):
    found = spacing_of(path, ascii_letters)
    advances = set_by_harfbuzz(path, tmp_path)
    for left, right in product(ascii_letters, repeat=2):
        kern = found.kerning.get(left, {}).get(right, 0.0)
        assert [found.advances[left] + kern, found.advances[right]] == advances(left + right), left + right
    for word in ("AVATAR", "TYPOLOGY", "WAVE"):
        kerned = sum(found.kerning.get(a, {}).get(b, 0.0) for a, b in pairwise(word))
        assert sum(found.advances[c] for c in word) + kerned == sum(advances(word))
    assert found.space == advances(" ")[0]
    assert found.kerning["A"]["V"] < 0  # in any face that is kerned at all


@pytest.mark.skipif(not DEJAVU.is_file(), reason="DejaVu is not on this machine")
def test_dejavu_kerns_a_and_v_by_131_units():
    # DejaVu Sans 2.37: A and V advance by 1401 units each, A before V by 1270 (its own tables, seen by hb-shape).
    found = spacing_of(DEJAVU, "AVЖ")
    assert (found.advances["A"], found.advances["V"], found.kerning["A"]["V"]) == (1401, 1401, -131)
    assert "Ж" not in found.kerning["A"]  # of another script, which shapers never kern with this one


def test_glyphs_without_characters_have_an_advance_and_no_kerning():
    font = load_font(SYMBOL_FONT)
    found = read_spacing(font, {"leaf": ("leaf", ())})
    assert found.advances == {"leaf": font.advance("leaf")}
    assert found.kerning == {}


def test_of_very_many_pairs_those_kerned_most_are_kept(monkeypatch):
    every = spacing_of(TEXT_FONTS[0], ascii_uppercase)
    pairs = {(a, b): kern for a, row in every.kerning.items() for b, kern in row.items()}
    monkeypatch.setattr(module, "MOST_PAIRS", 10)
    few = spacing_of(TEXT_FONTS[0], ascii_uppercase)
    kept = {(a, b): kern for a, row in few.kerning.items() for b, kern in row.items()}
    assert len(kept) == 10
    assert kept.items() <= pairs.items()
    assert min(map(abs, kept.values())) >= max(abs(pairs[p]) for p in pairs if p not in kept)
    monkeypatch.setattr(module, "MOST_KERNED", 2)
    assert set(spacing_of(TEXT_FONTS[0], "AVT").kerning) <= {"A", "V"}
