"""Figures to choose from: their numbers, their file, and a report that never depends on either."""

import json
import tomllib
from dataclasses import replace
from types import SimpleNamespace

import pytest

from converter import pipeline
from converter.folder.reading import read_alternatives
from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.model import Finding
from converter.report.alternatives import Alternatives, alternatives_json, parse_alternatives
from converter.report.csv_report import report_csv
from converter.report.html_report import report_html
from converter.report.page_data import toml_key
from converter.settings import GlyphSettings, Settings, resolve_settings
from tests.fonts.makers import TEXT_FONTS
from tests.report.samples import small_pattern, two_more
from tests.report.test_csv import rows
from tests.report.test_html import data
from tests.samples import letter_i, letter_t, plus

CHOICE = {"T_": two_more(letter_t()), "+_": two_more(plus(), 3)}


@pytest.fixture
def made(monkeypatch):
    """A letter of which three figures were found, told apart by a note, by the alternative asked for."""
    found = {"first": (9.0, ()), "second": (9.5, ()), "third": (10.5, ())}
    return {n: made_of(found, monkeypatch, GlyphSettings(alternative=n)) for n in (None, 1, 2, 3, 99)}


def told(figure):
    return next(reason.message for reason in figure.reasons if reason.id == "told")


def made_of(found, monkeypatch, own):
    """The letter C with figures ``found``, each with its price and its findings."""
    verdicts = [
        SimpleNamespace(text=text, violation=0.0, price=price, rank=(0.0, price, ()))
        for text, (price, _) in found.items()
    ]

    def finished(blank, *more):
        reasons = found[more[-1].text][1]
        status = "review" if reasons else "ready"
        told = Finding("told", "note", more[-1].text)
        return replace(letter_i(), name=blank.name, reasons=(*reasons, told), status=status)

    monkeypatch.setattr(pipeline, "alternatives", lambda *_: (verdicts, None))
    monkeypatch.setattr(pipeline, "_finished", finished)
    font = load_font(TEXT_FONTS[0])
    chosen, licence = choose_glyphs(font, text="C").glyphs, judge_licence(font, TEXT_FONTS[0].parent)
    return pipeline.convert(font, chosen, licence, Settings(glyphs={"C": own})).made[0]


def test_a_figure_that_is_ready_goes_before_one_to_look_at_but_not_for_more_than_a_piece(monkeypatch):
    short = (Finding("stroke-end", "review", "A stroke ends short."),)
    found = {"short": (9.0, short), "ready": (9.9, ()), "dear": (10.1, ())}
    as_found = made_of(found, monkeypatch, GlyphSettings())
    assert [told(figure) for figure in as_found.figures] == ["ready", "short", "dear"]
    assert as_found.glyph.status == "ready"
    # What the designer accepts leaves the numbers as they were.
    accepted = made_of(
        found, monkeypatch, GlyphSettings(alternative=2, accept={"stroke-end": "it reads well"})
    )
    assert [told(figure) for figure in accepted.figures] == ["ready", "short", "dear"]
    assert (told(accepted.glyph), accepted.glyph.status) == ("short", "ready")


def test_a_number_means_the_same_figure_whichever_is_chosen(made):
    for block in made.values():
        assert [told(figure) for figure in block.figures] == ["first", "second", "third"]
    assert [(n, block.number) for n, block in made.items()] == [(None, 1), (1, 1), (2, 2), (3, 3), (99, 3)]
    assert [told(block.glyph) for block in made.values()] == ["first", "first", "second", "third", "third"]


def test_those_on_offer_are_the_ones_that_the_settings_would_choose(made):
    for block in made.values():
        offered = Alternatives(block.number, block.figures).to_offer()
        assert sorted([block.number, *(n for n, _ in offered)]) == [1, 2, 3]
        assert all(made[n].glyph == figure for n, figure in offered)


def test_a_figure_that_was_never_planned_keeps_its_number_and_is_not_offered():
    one, two, three = two_more(letter_t()).figures
    choice = Alternatives(1, (one, replace(two, pieces=(), sections=(), joins=()), three))
    assert choice.to_offer() == [(3, three)]


def test_the_file_comes_back_as_it_was():
    text = alternatives_json({"I_": Alternatives(1, (letter_i(),)), **CHOICE})
    assert parse_alternatives(text) == CHOICE  # I has no choice
    assert text == alternatives_json(dict(reversed(CHOICE.items())))
    assert list(json.loads(text)["glyphs"]) == ["+_", "T_"]
    assert parse_alternatives(alternatives_json({})) == {}


def test_figures_are_rounded_as_the_pattern_file_rounds_glyphs():
    one, two, three = CHOICE["T_"].figures
    exact = replace(two, metrics=replace(two.metrics, iou=2 / 3))
    text = alternatives_json({"T_": Alternatives(2, (one, exact, three))})
    again = parse_alternatives(text)["T_"]
    assert (again.chosen, again.figures[1].metrics.iou) == (2, 0.6667)
    assert alternatives_json({"T_": again}) == text


WHOLE = json.loads(alternatives_json(CHOICE))


def damaged(*path, value):
    """The file's text with another value at a place in it."""
    whole = json.loads(json.dumps(WHOLE))
    inner = whole
    for step in path[:-1]:
        inner = inner[step]
    inner[path[-1]] = value
    return json.dumps(whole)


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", "null", "7", '"x"', "[" * 100_000, json.dumps(WHOLE)[:-40],
     damaged("version", value=2), damaged("format", value="another"), damaged("glyphs", value=[1]),
     # Not JSON: RFC 8259 has no numbers without end, and none that are not a number.
     damaged("glyphs", "T_", "figures", 1, "pieces", 1, "polygon", 0, value=[float("inf"), 5.0]),
     damaged("glyphs", "T_", "figures", 1, "pieces", 1, "polygon", 0, value=[float("nan"), 5.0])],
)  # fmt: skip
def test_a_damaged_file_means_no_alternatives(text):
    assert parse_alternatives(text) == {}


FIGURE = ("glyphs", "T_", "figures", 1)


@pytest.mark.parametrize(
    "text",
    [
        damaged("glyphs", "T_", value=None),
        damaged("glyphs", "T_", value={}),
        damaged("glyphs", "T_", "figures", value=7),
        damaged("glyphs", "T_", "figures", value=[]),
        damaged("glyphs", "T_", "chosen", value=0),
        damaged("glyphs", "T_", "chosen", value=4),
        damaged("glyphs", "T_", "chosen", value=True),
        damaged("glyphs", "T_", "chosen", value="1"),
        damaged(*FIGURE, value="</script>"),
        damaged(*FIGURE, "key", value="A_"),
        damaged(*FIGURE, "status", value="fine"),
        damaged(*FIGURE, "sections", 0, "pieces", value=["A1", "Z9"]),
        damaged(*FIGURE, "joins", value=[{"step": 1, "parts": ["A", "B"], "makes": "A+B"}]),
        damaged(*FIGURE, "pieces", 1, "polygon", 0, value=[5.0, 5.0]),
    ],
)
def test_a_damaged_character_is_left_out_and_the_others_stay(text):
    assert parse_alternatives(text) == {"+_": CHOICE["+_"]}


def test_a_file_that_is_not_there_or_no_text_means_no_alternatives(tmp_path):
    assert read_alternatives(tmp_path) == {}
    (tmp_path / "alternatives.json").write_bytes(b"\xff\xfe\x00")
    assert read_alternatives(tmp_path) == {}
    (tmp_path / "alternatives.json").unlink()
    (tmp_path / "alternatives.json").mkdir()
    assert read_alternatives(tmp_path) == {}


def test_the_page_gets_the_others_with_their_numbers():
    glyphs = {g["key"]: g for g in data(report_html(small_pattern(), alternatives=CHOICE))["glyphs"]}
    assert glyphs["T_"]["number"] == 1
    assert [other["number"] for other in glyphs["T_"]["others"]] == [2, 3]
    assert glyphs["+_"]["number"] == 3
    assert [other["number"] for other in glyphs["+_"]["others"]] == [1, 2]
    assert [len(other["pieces"]) for other in glyphs["+_"]["others"]] == [5, 5]
    assert "others" not in glyphs["I_"]


def test_a_block_changed_by_hand_has_all_figures_beside_it():
    choice = {"T_": replace(CHOICE["T_"], chosen=0)}
    (glyph,) = (g for g in data(report_html(small_pattern(), alternatives=choice))["glyphs"] if "others" in g)
    assert (glyph["number"], [other["number"] for other in glyph["others"]]) == (0, [1, 2, 3])


def test_the_table_tells_how_many_alternatives_there_are():
    table = rows(report_csv(small_pattern(), CHOICE))
    assert [row["alternatives"] for row in table] == ["0", "2", "0", "2", "0"]
    assert rows(report_csv(small_pattern()))[1]["alternatives"] == "0"


@pytest.mark.parametrize(
    "name", ["Q", "a.alt", "uni00C9", "T_h", "é", 'a"b', "a\\b", "a b", "\x7f", "a\tb\n", "", "𝒬", "]x["]
)
def test_the_lines_to_copy_are_toml_that_means_this_glyph(name, tmp_path):
    # Outside: the TOML reader of Python's standard library.
    lines = f"[glyph.{toml_key(name)}]\nalternative = 2\n"
    assert tomllib.loads(lines) == {"glyph": {name: {"alternative": 2}}}
    (tmp_path / "alphabet.toml").write_text(lines, encoding="utf-8")
    assert resolve_settings(tmp_path / "alphabet.toml", {}).of(name).alternative == 2
