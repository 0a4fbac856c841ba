"""One bad glyph ends no run at any stage: drawing, templates, report, pages, cutting list."""

import json

import pytest
from click.testing import CliRunner

from converter.cli import cli
from converter.folder.surviving import survived
from converter.model import Glyph
from converter.pattern import to_json
from converter.redesign.folder import new_folder
from tests.samples import letter_i, letter_t, plus, sample_pattern

SOUND = sample_pattern(letter_i(), letter_t(), plus())
STAGES = {  # what is made to fail, and whether its first argument is the glyph
    "drawing": "converter.folder.content.block_svg",
    "template": "converter.folder.content.template_svg",
    "report": "converter.report.page_data._figure",
}


def failing(stage, monkeypatch, key="T_"):
    """Makes a stage fail on one glyph that has pieces."""
    module, _, name = STAGES.get(stage, stage).rpartition(".")
    whole = getattr(__import__(module, fromlist=[name]), name)

    def fail(*args, **kwargs):
        given = [one for a in args for one in (a if isinstance(a, list) else [a])]
        if any(isinstance(one, Glyph) and one.key == key and one.pieces for one in given):
            raise ValueError("no common straight side between these")
        return whole(*args, **kwargs)

    monkeypatch.setattr(f"{module}.{name}", fail)


@pytest.mark.parametrize("stage", STAGES)
def test_a_new_folder_has_all_but_the_bad_one(stage, monkeypatch):
    failing(stage, monkeypatch)
    done = new_folder(SOUND, {})
    glyphs = {glyph.key: glyph for glyph in done.pattern.glyphs}
    assert glyphs["T_"].status == "redesign"
    assert [reason.id for reason in glyphs["T_"].reasons] == ["unexpected-error"]
    assert "ValueError" in glyphs["T_"].reasons[0].message
    assert glyphs["T_"].pieces == ()
    assert [glyphs[g.key].pieces for g in (letter_i(), plus())] == [letter_i().pieces, plus().pieces]
    assert "no common straight side" in done.logs["T_"]
    assert set(done.logs) == {"T_"}
    assert {"blocks/I_.svg", "templates/I_.svg", "report.html", "report.csv"} <= set(done.files)
    assert json.loads(done.files["pattern.json"])["glyphs"][1]["status"] == "redesign"


@pytest.mark.parametrize(
    ("command", "stage", "written"),
    [
        (("print",), "converter.printing.sheets.section_templates", "print/sheets.pdf"),
        (("fabric",), "converter.fabric.patches._patch", "fabric/cutting-list.csv"),
        (("mats",), "converter.cli.mats_command.piece_shapes", "mats/pieces/background-1.svg"),
    ],
)
def test_pages_and_lists_leave_the_bad_one_out(command, stage, written, monkeypatch, tmp_path):
    (tmp_path / "pattern.json").write_text(to_json(SOUND), encoding="utf-8")
    failing(stage, monkeypatch)
    result = CliRunner().invoke(cli, [*command, str(tmp_path)])
    assert result.exit_code == 0, result.output
    assert "the program failed on T_; it is left out" in result.output
    assert (tmp_path / written).is_file()


WORDS = {
    "scaling": "converter.words.scaling._scaled",
    "cutting list": "converter.fabric.patches._patch",
    "page": "converter.printing.sheets.section_templates",
}


@pytest.mark.parametrize("stage", WORDS)
def test_words_say_on_which_letter_the_program_failed(stage, monkeypatch, tmp_path):
    (tmp_path / "pattern.json").write_text(to_json(SOUND), encoding="utf-8")
    failing(WORDS[stage], monkeypatch)
    before = sorted(tmp_path.rglob("*"))
    result = CliRunner().invoke(cli, ["words", str(tmp_path), "IT", "--target-width", "20in"])
    assert result.exit_code == 2, result.output
    assert result.output.startswith("error: the program failed on T; ")
    assert result.output.count("\n") == 1
    assert sorted(tmp_path.rglob("*")) == before
    assert CliRunner().invoke(cli, ["words", str(tmp_path), "I+", "--no-print"]).exit_code == 0


def test_what_fails_without_a_glyph_at_fault_is_raised_as_it_was():
    def fail(pattern):
        if len(pattern.glyphs) == 3:
            raise OSError("no space left")

    with pytest.raises(OSError, match="no space left"):
        survived(SOUND, fail)


def test_several_bad_glyphs_are_found():
    def fail(pattern):
        if any(glyph.key in ("I_", "T_") and glyph.pieces for glyph in pattern.glyphs):
            raise ValueError("bad")
        return len(pattern.glyphs)

    made, pattern, logs = survived(SOUND, fail)
    assert (made, set(logs)) == (3, {"I_", "T_"})
    assert [bool(glyph.pieces) for glyph in pattern.glyphs] == [
        glyph.key not in logs for glyph in SOUND.glyphs
    ]
