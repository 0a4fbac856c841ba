"""How far apart the font sets its characters: advance widths and kerning, as HarfBuzz applies them."""

import unicodedata
from collections.abc import Mapping, Sequence
from io import BytesIO
from itertools import zip_longest
from typing import Any

import uharfbuzz
from fontTools.ttLib.sfnt import SFNTWriter
from fontTools.unicodedata import script

from converter.fonts.errors import GlyphError
from converter.fonts.loading import Font
from converter.model import Spacing

MOST_KERNED = (
    1000  # characters looked at in pairs: the work grows with their square, a million pairs in seconds
)
MOST_PAIRS = 20_000  # pairs that are kept, those kerned most first: some 200 kB in the pattern file
_COMMON = {"Zyyy", "Zinh", "Zzzz"}  # scripts of digits and punctuation, which stand beside letters of any
_TABLES = ("head", "maxp", "hhea", "hmtx", "cmap", "fvar", "avar", "HVAR", "GDEF", "GPOS", "kern", "kerx")
_SPACE = 0x20
_FARTHEST = 2.0  # em; a pair kerned by more is damage, not drawing
_USUAL_SPACE = 0.25  # em, where a font has no space; common practice, no source


def read_spacing(font: Font, glyphs: Mapping[str, tuple[str, Sequence[int]]]) -> Spacing:
    """Advances and kerning of the glyphs, in font units; given and told by key, as (name, code points).

    Only the first code point counts, since a glyph kerns the same for all. A glyph whose width is damaged
    has no advance. Of very many characters only the first are looked at in pairs, and of very many kerned
    pairs only those kerned most are kept.
    """
    advances: dict[str, float] = {}
    for key, (name, _) in glyphs.items():
        try:
            advances[key] = font.advance(name)
        except GlyphError:  # told where the glyph itself is made
            continue
    codes = {key: codepoints[0] for key, (_, codepoints) in glyphs.items() if key in advances and codepoints}
    kerned = {key: code for key, code in codes.items() if unicodedata.category(chr(code))[0] in "LNPS"}
    pairs = _kerning(font, dict(list(kerned.items())[:MOST_KERNED]))
    most = sorted(pairs, key=lambda pair: -abs(pairs[pair]))[:MOST_PAIRS]
    kept = set(most)
    kerning: dict[str, dict[str, float]] = {}
    for left, right in pairs:
        if (left, right) in kept:
            kerning.setdefault(left, {})[right] = pairs[left, right]
    space = font.cmap.get(_SPACE)
    width = font.advance(space) if space else _USUAL_SPACE * font.units_per_em
    return Spacing(width, advances, kerning)


def _kerning(font: Font, codes: Mapping[str, int]) -> dict[tuple[str, str], float]:
    """By pair of keys, where it is not 0."""
    shaper = uharfbuzz.Font(uharfbuzz.Face(_tables(font)))
    if font.axes:
        shaper.set_variations(dict(font.axes))
    scripts = {key: script(chr(code)) for key, code in codes.items()}
    found: dict[tuple[str, str], float] = {}
    most = _FARTHEST * font.units_per_em
    for each in sorted(set(scripts.values()) - _COMMON) or ["Zyyy"]:
        members = [key for key in codes if scripts[key] == each or scripts[key] in _COMMON]
        for left in members:
            row = _row(shaper, each, codes[left], [codes[key] for key in members])
            for key, kern in zip(members, row, strict=True):
                if 0 < abs(kern) <= most:
                    found[left, key] = kern
    return found


def _tables(font: Font) -> bytes:
    """A font of just what positions take. Without its substitutions: a block is one glyph."""
    found = {tag: data for tag in _TABLES if (data := font.table(tag)) is not None}
    file = BytesIO()
    writer = SFNTWriter(file, len(found))
    for tag, data in found.items():
        writer[tag] = data
    writer.close()
    return file.getvalue()


def _row(shaper: Any, script_tag: str, left: int, rights: Sequence[int]) -> list[float]:
    """What is added between one character and each of the others: all in one line, ``A B A C A D``."""
    buffer = uharfbuzz.Buffer()
    buffer.add_codepoints([code for right in rights for code in (left, right)])
    buffer.direction, buffer.script = "ltr", script_tag
    uharfbuzz.shape(shaper, buffer)
    glyph = shaper.get_nominal_glyph(left)
    if glyph is None:
        return [0.0] * len(rights)
    usual = shaper.get_glyph_h_advance(glyph)
    row = [0.0] * len(rights)
    infos, positions = buffer.glyph_infos, buffer.glyph_positions
    for info, position, after in zip_longest(infos, positions, infos[1:]):
        place, is_right = divmod(info.cluster, 2)
        # Where a glyph stands for both characters, or another for the one, nothing is known of the pair.
        if (
            not is_right
            and info.codepoint == glyph
            and after is not None
            and after.cluster == info.cluster + 1
        ):
            row[place] = float(position.x_advance - usual)
    return row
