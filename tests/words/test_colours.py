from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from converter.errors import InputError
from converter.model import Fabric
from converter.words.colours import ALIKE_IN_GREY, PALETTE, ColourPlan, colour, parse_fabric, parse_group
from converter.words.contrast import LARGE_TEXT, contrast, grey, ink, luminance
from converter.words.frames import Sides
from converter.words.layout import lay_out
from converter.words.parts import LayoutSettings
from tests.samples import letter_i, sample_pattern

RUST, KELP, WHITE = parse_fabric("rust"), parse_fabric("kelp"), Fabric("white", "#ffffff")


def layout(text="TA IT"):
    return lay_out(sample_pattern(), text, LayoutSettings(border=Sides.all(10)), "mm")


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        # WCAG 2.2, definition of contrast ratio: from 1 (no contrast) to 21, black on white.
        ("#000000", "#ffffff", 21.0),
        ("#336699", "#336699", 1.0),
        # What other implementations give: axe-core issue 199 (the WebAIM checker agrees), axe-core issue
        # 1196, and axe's own calculator as quoted in uswds issue 3496.
        ("#777777", "#ffffff", 4.48),
        ("#808080", "#ffffff", 3.94),
        ("#28a0cb", "#ffffff", 3.00),
    ],
)
def test_contrast_is_that_of_wcag_2(one, other, ratio):
    assert contrast(one, other) == pytest.approx(ratio, abs=0.01)
    assert contrast(other, one) == contrast(one, other)


def test_luminance_weights_are_those_of_wcag_2():
    # WCAG 2.2, definition of relative luminance.
    assert luminance("#ff0000") == pytest.approx(0.2126)
    assert luminance("#00ff00") == pytest.approx(0.7152)
    assert luminance("#0000ff") == pytest.approx(0.0722)


@settings(derandomize=True, deadline=None)
@given(st.integers(0, 0xFFFFFF))
def test_grey_keeps_the_luminance_and_ink_can_be_read(value):
    shade = f"#{value:06x}"
    assert luminance(grey(shade)) == pytest.approx(luminance(shade), abs=0.006)
    assert contrast(shade, ink(shade)) >= 4.5  # one of black and white always is


def test_letters_take_their_colours_in_turn_by_letter_and_by_word():
    def figures(by):
        found = colour(layout(), ColourPlan(letters=(RUST, KELP), by=by))
        return [found.pieces[block.id, "A1"] for block in layout().blocks]

    assert figures("set") == ["rust"] * 4
    assert figures("letter") == ["rust", "kelp", "rust", "kelp"]
    assert figures("word") == ["rust", "rust", "kelp", "kelp"]


def test_a_character_and_a_piece_group_win_over_the_turn():
    plan = ColourPlan(letters=(RUST,), only={"A": KELP}, groups=parse_group("T:A4=gorse"))
    found = colour(layout(), plan)
    assert found.pieces["1.1", "A4"] == "gorse"
    assert found.pieces["1.1", "A1"] == "rust"
    assert found.pieces["1.2", "A1"] == "kelp"


def test_a_symbol_is_coloured_by_its_sign_and_by_its_name_and_written_by_its_name():
    leaf = replace(letter_i(), key="leaf", name="leaf", codepoints=(0x1F343,), text="\U0001f343")
    made = lay_out(sample_pattern(leaf), "\U0001f343{leaf}")
    assert made.lines == ("{leaf}{leaf}",)  # the typeface of the pages has no such sign
    for called in ("leaf", "\U0001f343"):
        assert set(colour(made, ColourPlan(only={called: KELP})).fabrics) == {"kelp", "background"}


def test_every_piece_and_strip_has_a_fabric_of_the_table():
    made = layout()
    found = colour(made, ColourPlan(border=RUST, strips=KELP))
    assert {row.id for row in found.table} == set(found.fabrics)
    assert [row.number for row in found.table] == list(range(1, len(found.table) + 1))
    wanted = {(block.id, piece.id) for block in made.blocks for piece in made.glyph(block).pieces}
    assert set(found.pieces) == wanted
    kinds = {strip.kind: found.strips[strip.id] for strip in made.strips}
    assert kinds == {"word space": "kelp", "border": "rust"}
    assert set(found.pieces.values()) | set(found.strips.values()) == set(found.fabrics)


def test_a_word_that_will_not_read_is_told_and_one_that_does_is_not():
    pale = Fabric("pale", "#cccccc")
    found = colour(layout("TA IT"), ColourPlan(letters=(RUST, pale), by="word", background=WHITE))
    (warning,) = found.warnings
    # #cccccc on white: 1.05 ÷ (0.6038 + 0.05) = 1.606 by the formula of WCAG 2.2.
    assert warning.startswith("IT will be hard to read: I, T, at worst pale on white, contrast 1.60:1")
    assert "3:1" in warning
    assert [c.ratio < LARGE_TEXT for c in found.contrasts] == [False, False, True, True]


def test_fabrics_that_look_alike_in_grey_are_told():
    # Both of relative luminance 0.2126 within a hundredth: red and the grey that it prints as.
    found = colour(
        layout("T"), ColourPlan(letters=(Fabric("poppy", "#ff0000"),), border=Fabric("stone", "#7f7f7f"))
    )
    assert any("poppy (1) and stone (3)" in warning for warning in found.warnings)


@pytest.mark.parametrize(
    ("text", "fabric"),
    [
        ("rust", Fabric("rust", PALETTE["rust"])),
        (" Kelp ", Fabric("kelp", PALETTE["kelp"])),
        ("#ABC", Fabric("#aabbcc", "#aabbcc")),
        ("old sail = #DdCcBb", Fabric("old sail", "#ddccbb")),
        ("hull=slate", Fabric("hull", PALETTE["slate"])),
    ],
)
def test_a_fabric_is_read(text, fabric):
    assert parse_fabric(text) == fabric


@pytest.mark.parametrize(
    "make",
    [
        lambda: parse_fabric("puce-ish"),
        lambda: parse_fabric("#12345"),
        lambda: parse_fabric(""),
        lambda: parse_group("T=rust"),
        lambda: parse_group("T:A1,,A2=rust"),
        lambda: parse_group("T:A1"),
        lambda: colour(layout(), ColourPlan(only={"Q": RUST})),
        lambda: colour(layout(), ColourPlan(groups=parse_group("T:A99=rust"))),
        lambda: colour(layout(), ColourPlan(letters=(Fabric("rust", "#111111"),), border=RUST)),
        lambda: colour(layout(), ColourPlan(letters=(Fabric("bad", "red"),))),
        lambda: colour(layout(), ColourPlan(by="page")),
    ],
)
def test_colours_that_cannot_be(make):
    with pytest.raises(InputError):
        make()


def test_the_palette_has_letters_that_read_on_sand():
    reads = {name: contrast(value, PALETTE["sand"]) for name, value in PALETTE.items()}
    assert [n for n, ratio in reads.items() if ratio >= LARGE_TEXT] == [
        "harbour",
        "kelp",
        "rust",
        "heather",
        "slate",
    ]
    assert [n for n, ratio in reads.items() if ratio >= 4.5] == ["harbour", "heather", "slate"]


def test_any_two_fabrics_of_the_palette_can_be_told_apart_in_grey():
    for (one, first), (other, second) in combinations(PALETTE.items(), 2):
        assert contrast(first, second) >= ALIKE_IN_GREY, (one, other)
        assert contrast(grey(first), grey(second)) >= ALIKE_IN_GREY - 0.02, (
            one,
            other,
        )  # greys are whole steps
