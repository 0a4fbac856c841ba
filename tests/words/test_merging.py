"""Characters of several sets in one."""

from dataclasses import replace

import pytest

from converter.model import BACKGROUND, FIGURE, Fabric, Licence
from converter.words.colours import colour
from converter.words.frames import Sides
from converter.words.layout import lay_out
from converter.words.merging import merge
from converter.words.parts import LayoutSettings
from converter.words.scaling import scale_pattern
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle

LETTERS = sample_pattern(letter_i(), letter_t())
LEAF = replace(plus(), key="leaf", name="leaf", codepoints=(0x1F343,), text="\U0001f343")


def symbols(height: float = 40.0, *more):
    """A set of symbols in blocks of that height, in colours of its own."""
    pattern = scale_pattern(sample_pattern(LEAF, *more), height / 80.0)
    fabrics = {FIGURE: Fabric("ink", "#000000"), BACKGROUND: Fabric("paper", "#ffffff")}
    source = replace(pattern.source, file="signs.ttf", family="Signs", style="")
    return replace(pattern, fabrics=fabrics, source=source)


def test_symbols_of_another_set_stand_among_the_letters_at_their_height():
    pattern, notes = merge(LETTERS, [symbols()])
    made = lay_out(pattern, "T{leaf}I", LayoutSettings(border=Sides()), "mm")
    # The signs' blocks of 30 × 40 mm are doubled, so all three are 60 × 80.
    assert [(b.width, b.height) for b in made.blocks] == [(60.0, 80.0)] * 3
    assert made.width == 180.0
    assert notes == ("Blocks of Signs are scaled to 200.0 %, about 3 1/8 in high.",)
    assert {f.label for f in colour(made).fabrics.values()} == {"letter", "background"}


def test_what_both_have_is_taken_from_the_first_and_nothing_needs_no_note():
    other = symbols(80.0, replace(triangle(), key="T_", name="T", text="T"))
    pattern, notes = merge(LETTERS, [other])
    assert [g.name for g in pattern.glyphs] == ["I", "T", "leaf"]
    assert pattern.glyphs[1].pieces == letter_t().pieces
    assert notes == ()
    assert merge(LETTERS, [LETTERS]) == (LETTERS, ())


def test_keys_stay_apart_and_own_fabrics_come_along():
    sign = replace(LEAF, key="T_", pieces=(replace(LEAF.pieces[0], fabric="vein"), *LEAF.pieces[1:]))
    other = replace(symbols(80.0), glyphs=(sign,))
    other = replace(other, fabrics={**other.fabrics, "vein": Fabric("vein", "#00ff00")})
    mine = replace(LETTERS, fabrics={**LETTERS.fabrics, "vein": Fabric("thread", "#0000ff")})
    pattern, _ = merge(mine, [other])
    keys = [g.key for g in pattern.glyphs]
    assert len(set(keys)) == len(keys) == 3
    assert pattern.fabrics[pattern.glyphs[2].pieces[0].fabric] == Fabric("vein", "#00ff00")
    assert pattern.fabrics["vein"].label == "thread"


def test_narrow_letters_stay_so_beside_wide_symbols_and_fixed_widths_fill_up_to_the_widest():
    narrow = replace(letter_i(), metrics=replace(letter_i().metrics, block_width=60.0))
    wide = sample_pattern(replace(LEAF, metrics=replace(LEAF.metrics, block_width=90.0)))
    pattern, _ = merge(sample_pattern(narrow), [wide])
    plain = LayoutSettings(border=Sides())
    assert lay_out(pattern, "I{leaf}", plain, "mm").width == 150.0
    fixed = lay_out(pattern, "I{leaf}", replace(plain, widths="fixed"), "mm")
    assert fixed.width == 180.0


@pytest.mark.parametrize(
    ("verdicts", "rights", "verdict", "right"),
    [
        (("open", "open"), (0, 8), "open", 8),
        (("open", "unknown"), (0, 0), "unknown", 0),
        (
            ("restricted", "open"),
            (2, 4),
            "restricted",
            2,
        ),  # OpenType, OS/2: bit 1 restricted, bit 2 preview and print
    ],
)
def test_the_licence_is_as_open_as_the_least_open_one(verdicts, rights, verdict, right):
    def licensed(pattern, index):
        licence = Licence(
            f"words {index}", f"address {index}", rights[index], verdicts[index], f"name {index}"
        )
        return replace(pattern, source=replace(pattern.source, licence=licence))

    pattern, _ = merge(licensed(LETTERS, 0), [licensed(symbols(), 1)])
    licence = pattern.source.licence
    assert (licence.verdict, licence.fs_type) == (verdict, right)
    assert (licence.text, licence.name) == ("words 0 words 1", "name 0; name 1")
    assert pattern.source.file.endswith(", signs.ttf")
