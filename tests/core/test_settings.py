"""Command line before file before default; unknown keys and values that make no sense are refused, in one line."""

import json
from dataclasses import replace

import pytest

from converter.cli.convert_command import convert_command
from converter.errors import InputError
from converter.limits import LIMITS, most_pieces, resolve_limits
from converter.settings import GlyphSettings, Settings, resolve_settings
from converter.settings.definitions import RUN
from converter.units import parse_size


@pytest.fixture
def file(tmp_path):
    def write(text: str):
        path = tmp_path / "alphabet.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_defaults_are_the_trade_s_measures():
    # A 3 × 4 in block, an allowance of 1/4 in, pieces of 1/8 in and more: common practice, no source.
    settings = resolve_settings(None, {})
    assert settings.block == (76.2, 101.6)
    assert settings.allowance == 6.35
    assert settings.min_piece_width == 3.175
    assert settings.grid == 1.5875
    assert settings.frame().margin == 6.35


def test_the_command_line_comes_before_the_file_and_the_file_before_the_default(file):
    path = file(
        'grid = "1/8in"\nseam_allowance = "10mm"\ndetail = "fine"\n[limits]\nsections = 2\nnarrowed = 0.5\n'
    )
    settings = resolve_settings(
        path, {"grid": 2.0, "seam_allowance": None, "limits": {"narrowed": 0.7}, "block": None}
    )
    assert settings.grid == 2.0
    assert settings.seam_allowance == 10.0
    assert settings.detail == "fine"
    assert settings.budget == Settings().budget
    assert settings.limits["narrowed"] == 0.7
    assert settings.limits["sections"] == 2
    assert settings.limits["sharp-corner"] == LIMITS["sharp-corner"].value


def test_one_glyph_may_have_its_own(file):
    path = file(
        'margin = "5mm"\n[glyph.Q]\ndetail = "coarse"\nalternative = 2\nmargin = "2mm"\nmin_piece_width = "2mm"\n'
        'width = "proportional"\n[glyph.Q.accept]\nsharp-corner = "looked at, sewn"\n'
    )
    settings = resolve_settings(path, {})
    own = settings.of("Q")
    assert (own.detail, own.alternative, own.margin, own.min_piece_width) == ("coarse", 2, 2.0, 2.0)
    assert settings.frame(own).side == 2.0
    assert settings.frame(own).margin == 5.0  # on the baseline of the others
    assert replace(settings, fit="each").frame(own).margin == 2.0
    assert settings.frame(own).widths == "proportional"
    assert settings.frame(settings.of("R")).margin == 5.0
    assert settings.echo()["glyphs"] == {
        "Q": {
            "detail": "coarse", "alternative": 2, "width": "proportional", "margin": 2.0, "min_piece_width": 2.0,
            "accept": {"sharp-corner": "looked at, sewn"},
        }
    }  # fmt: skip


def test_every_setting_is_echoed_as_it_was_resolved():
    echo = resolve_settings(None, {"block": (75.0, 100.0), "limits": {"sections": 3.0}}).echo()
    assert echo["block"] == [75.0, 100.0]
    assert echo["margin"] == 6.25
    assert echo["limits"]["sections"] == 3.0
    assert set(echo["limits"]) == set(LIMITS)


def test_what_a_pattern_says_of_its_settings_is_read_again_as_it_was():
    settings = Settings(
        block=(75.0, 100.0), margin=5.0, fit="each", width="proportional", units="cm", seam_allowance=7.5,
        piece_allowance=4.0, grid=2.0,
        min_piece_width=4.0, detail="fine", section_price=1.5, effort="draft", effort_for="promising", budget=9,
        limits={"sections": 2.0},
        parts={"curve-1": 2},
        glyphs={
            "Q": GlyphSettings("coarse", 2, "fixed", 1.0, 2.0, {"sharp-corner": "pressed open"}), "R": GlyphSettings()
        },
    )  # fmt: skip
    assert Settings.from_echo(json.loads(json.dumps(settings.echo()))) == settings
    # The values differ from the defaults, or this would show nothing; colours stand with the fabrics.
    same = {name for name in RUN if getattr(settings, name) == getattr(Settings(), name)}
    assert same == {"figure_colour", "background_colour"}
    assert Settings.from_echo({"axes": {"wght": 800}, "heights": [1.0]}) == Settings()


@pytest.mark.parametrize(
    "said",
    [{"block": [3]}, {"limits": 3}, {"glyphs": [1]}, {"glyphs": {"A": 1}}, {"budget": "many"}, {"grid": 99}],
)
def test_a_pattern_whose_settings_are_none_is_told_in_one_line(said):
    with pytest.raises(InputError, match=r"the pattern's settings: .*un convert again"):
        Settings.from_echo(said)


def test_the_settings_of_one_glyph_go_before_those_of_the_run():
    settings = Settings(detail="fine", glyphs={"Q": GlyphSettings(detail="plain", min_piece_width=2.0)})
    own, others = settings.for_glyph("Q"), settings.for_glyph("R")
    assert (own.detail, own.min_piece_width) == ("plain", 2.0)
    assert (others.detail, others.min_piece_width) == ("fine", 3.175)


def test_every_setting_has_an_option_with_its_name():
    options = {name for param in convert_command.params for name in param.opts}
    assert {f"--{name.replace('_', '-')}" for name, setting in RUN.items() if setting.help} <= options
    assert [name for name, setting in RUN.items() if not setting.help] == ["limits"]  # --limit NAME=NUMBER


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("colour = 1", "unknown setting 'colour'"),
        ("detial = 'fine'", "unknown setting 'detial' (did you mean detail?)"),
        ("[glyph.A]\nalternativ = 2", "unknown setting 'alternativ' (did you mean alternative?)"),
        ("[glyph.A]\nblock = '3x4in'", "glyph.A: unknown setting 'block'"),
        ("[glyphs.A]\ndetail = 'fine'", "unknown setting 'glyphs'"),
        ("glyph = 3", "must be a table"),
        ("[glyph]\nA = 3", "must be a table"),
        ("grid = 3", 'in quotes, like "1/4in"'),
        ("grid = '3'", "is not a length"),
        ("block = '3in'", "is not a size"),
        ("fit = 'some'", "together, each"),
        ("width = 'wide'", "fixed, proportional"),
        ("detail = 'lots'", "coarse"),
        ("detail = ['fine']", "coarse"),
        ("effort = 'all'", "draft, normal, thorough"),
        ("budget = 0", "whole number"),
        ("budget = true", "whole number"),
        ("budget = 1.5", "whole number"),
        ("section_price = 'dear'", "a number"),
        ("figure_colour = 3", "in quotes"),
        ("figure_colour = 'red'", "not a colour"),
        ("background_colour = '#F4EFE6X'", "not a colour"),
        ("limits = 3", "table of numbers"),
        ("[limits]\nsections = 'few'", "table of numbers"),
        ("[limits]\nbeauty = 1", "unknown limit 'beauty'"),
        ("[limits]\nsections = -1", "not a positive number"),
        ("[limits]\nsections = nan", "not a positive number"),
        ("[limits]\nsections = true", "table of numbers"),
        ("[glyph.A]\nalternative = 0", "whole number"),
        ("[glyph.A]\naccept = 'all'", "table of reasons"),
        ("[glyph.A.accept]\nsharp-corner = 3", "table of reasons"),
        (
            "[glyph.A.accept]\nsharp-corners = 'fine'",
            "unknown finding 'sharp-corners' (did you mean sharp-corner?)",
        ),
        ("[glyph.A]\nmargin = '9in'", "glyph 'A': the margin leaves no room"),
        ("grid = ", "cannot be read"),
        ("grid = '1mm'\ngrid = '2mm'", "cannot be read"),
        ("section_price = nan", "section_price"),
        ("section_price = -1.0", "section_price"),
    ],
)
def test_a_fault_in_the_file_is_told_in_one_line(file, text, message):
    with pytest.raises(InputError) as caught:
        resolve_settings(file(text), {})
    assert message in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_file_that_is_not_there_or_not_text_is_told(file, tmp_path):
    with pytest.raises(InputError, match=r"none\.toml: there is no such file"):
        resolve_settings(tmp_path / "none.toml", {})
    with pytest.raises(InputError, match=r"cannot be read|is no regular file"):
        resolve_settings(tmp_path, {})
    path = file("")
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError, match="cannot be read"):
        resolve_settings(path, {})


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"block": (1.0, 100.0), "units": "mm"}, "block: a side must be 20.0 mm to 1000.0 mm, not 1.0 mm."),
        ({"block": (127.0, 5080.0)}, "block: a side must be 0.787 in to 39.37 in, not 200 in."),
        ({"margin": 40.0}, "leaves no room"),
        ({"margin": -1.0}, "margin: must be 0 in or more, not -0.039 in."),
        ({"margin": float("nan")}, "not nan"),
        ({"seam_allowance": 0.0}, "seam_allowance"),
        ({"seam_allowance": float("inf")}, "seam_allowance"),
        ({"piece_allowance": 0.5}, "piece_allowance"),
        ({"seam_allowance": 5.0, "piece_allowance": 6.0}, "more than the 0.197 in round the block"),
        ({"grid": 0.0}, "grid"),
        ({"grid": 50.0}, "grid"),
        ({"min_piece_width": 50.0}, "min_piece_width"),
        ({"section_price": 1000.0}, "section_price"),
        ({"budget": 0}, "budget"),
        ({"budget": 10**9}, "budget"),
        ({"figure_colour": "blue"}, "not a colour"),
        ({"limits": {"sections": 0.0}}, "not a positive number"),
        ({"limits": {"unknown": 1.0}}, "unknown limit"),
    ],
)
def test_values_that_make_no_sense_are_told(given, message):
    with pytest.raises(InputError) as caught:
        resolve_settings(None, given)
    assert message in str(caught.value)


@pytest.mark.parametrize("text", ['margin = "60mm"', 'min_piece_width = "60mm"', 'min_piece_width = "0mm"'])
def test_what_is_set_for_one_glyph_is_looked_at_before_the_run_begins(file, text):
    with pytest.raises(InputError, match=r"leaves no room|min_piece_width"):
        resolve_settings(file(f"[glyph.A]\n{text}"), {})


def test_every_limit_has_a_reason_and_a_unit():
    for name, limit in LIMITS.items():
        assert limit.id == name
        assert limit.reason
        assert limit.unit
    assert resolve_limits({}) == {name: limit.value for name, limit in LIMITS.items()}


def test_how_many_pieces_a_block_may_have_grows_with_its_side():
    limits = resolve_limits({})
    assert most_pieces(limits, 76.2, 101.6) == limits["pieces-per-block"]
    assert most_pieces(limits, 152.4, 203.2) == pytest.approx(2 * limits["pieces-per-block"])


@pytest.mark.parametrize(
    ("text", "given", "units", "allowance"),
    [
        ("", {}, "in", 6.35),
        ("", {"block": parse_size("75x100mm")}, "mm", 7.0),
        ("", {"block": parse_size("7.5x10cm")}, "cm", 7.0),
        ("", {"block": parse_size("76.2x101.6mm")}, "mm", 7.0),
        ("", {"block": parse_size("75x100mm"), "units": "in"}, "in", 6.35),
        ("", {"block": parse_size("75x100mm"), "seam_allowance": 6.0}, "mm", 6.0),
        ("block = '75x100mm'", {}, "mm", 7.0),
        ("block = '75x100mm'", {"block": parse_size("3x4in")}, "in", 6.35),
        ("units = 'both'\nblock = '75x100mm'", {}, "both", 6.35),
        ("units = 'mm'", {}, "mm", 7.0),
    ],
)
def test_units_follow_the_block_unless_they_are_said(file, text, given, units, allowance):
    found = resolve_settings(file(text), given)
    assert (found.speaks, found.allowance) == (units, allowance)
    assert found.echo()["units"] == units


def test_units_that_there_are_not_are_told(file):
    with pytest.raises(InputError, match="units: 'furlong' is not a choice; choose in, mm, cm, both"):
        resolve_settings(file("units = 'furlong'"), {})
