"""What fabric a colour in a drawing stands for."""

from converter.folder.content import drawn
from converter.model import BACKGROUND, FIGURE, Fabric
from converter.redesign.check import check_block, with_checked
from converter.redesign.colours import MOST_NEW, Colours
from converter.words.colours import PALETTE
from tests.redesign.hands import Hand
from tests.samples import letter_t, sample_pattern

SET = {FIGURE: Fabric("letter", "#1f4e5f"), BACKGROUND: Fabric("background", "#f4efe6")}


def rgb(colour: str) -> tuple[float, float, float]:
    red, green, blue = (int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5))
    return red, green, blue


def test_the_sets_own_colours_are_its_fabrics_and_nothing_is_said():
    colours = Colours(SET)
    assert colours.fabric(rgb("#1f4e5f"), None) == FIGURE
    assert colours.fabric(rgb("#f4efe6"), FIGURE) == BACKGROUND  # what is seen counts
    assert colours.fabric(None, FIGURE) == FIGURE
    assert colours.fabric(None, "elsewhere") is None
    assert colours.notes == ()
    assert colours.new == {}


def test_colours_that_are_nearly_one_are_taken_as_one_and_it_is_said():
    colours = Colours(SET)
    assert colours.fabric(rgb("#24506a"), None) == FIGURE
    assert colours.fabric(rgb("#24506a"), None) == FIGURE
    assert colours.notes == ("#24506a is nearly #1f4e5f and is taken as the fabric letter",)
    assert colours.fabric(rgb("#d55628"), None) == "rust"
    assert colours.fabric(rgb("#d05a2c"), None) == "rust"
    assert colours.notes[-1] == "#d05a2c is nearly #d55628 and is taken as the fabric rust"


def test_another_colour_is_a_fabric_named_after_the_palette_or_its_hex():
    colours = Colours(SET)
    assert colours.fabric(rgb(PALETTE["gorse"]), FIGURE) == "gorse"
    assert colours.fabric(rgb("#00ff00"), None) == "#00ff00"
    assert colours.new == {
        "gorse": Fabric("gorse", PALETTE["gorse"]),
        "#00ff00": Fabric("#00ff00", "#00ff00"),
    }


def test_more_colours_than_fabrics_can_be_are_none():
    colours = Colours(SET)
    met = [colours.fabric((r / 4, g / 4, b / 4), None) for r in range(5) for g in range(5) for b in range(5)]
    assert len(colours.new) == MOST_NEW
    assert None in met


def test_a_checked_block_brings_its_fabric_into_the_set_and_takes_it_out_again():
    pattern, hand = sample_pattern(letter_t()), Hand()
    kept = drawn(pattern, {})[1]["T_"]
    hand.piece(6).set("fill", PALETTE["rust"])
    checked = check_block(pattern, "T_", hand.save(), kept)
    more = with_checked(pattern, [checked])
    assert dict(more.fabrics) == {**pattern.fabrics, "rust": Fabric("rust", PALETTE["rust"])}
    assert [p.fabric for p in more.glyphs[0].pieces].count("rust") == 1
    assert checked.is_sewable
    again = check_block(more, "T_", Hand().save(), kept)
    assert dict(with_checked(more, [again]).fabrics) == dict(pattern.fabrics)
