"""The command: what it writes, how it ends, and that bad input gets one line and leaves nothing behind."""

import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from converter.cli import cli
from converter.pattern import from_json
from tests.cli.sea import LETTERS, OFL, sea_font
from tests.fonts.makers import builder, saved, square, variable


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    """An empty folder to run in, with a font beside it."""
    fonts = tmp_path / "fonts"
    fonts.mkdir()
    (fonts / "sea.ttf").write_bytes(sea_font())
    work = tmp_path / "work"
    work.mkdir()
    monkeypatch.chdir(work)
    return work


def run(*arguments: object) -> Result:
    return CliRunner().invoke(
        cli, ["convert", "--jobs", "1", *map(str, arguments)], prog_name="font2foundation"
    )


FONT = Path("../fonts/sea.ttf")


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_everything_is_written_and_the_pattern_reads_back(here):
    result = run(FONT, "--text", "IL T")
    assert result.exit_code == 0, result.output
    out = here / "out" / "sea"
    assert sorted(contents(out)) == [
        "alternatives.json", "blocks/I_.svg", "blocks/L_.svg", "blocks/T_.svg",
        "pattern.json", "record.json", "report.csv", "report.html",
        "templates/I_.svg", "templates/L_.svg", "templates/T_.svg", "written.json",
    ]  # fmt: skip
    pattern = from_json((out / "pattern.json").read_text(encoding="utf-8"))
    assert [(g.text, g.status) for g in pattern.glyphs] == [
        ("I", "ready"), ("L", "ready"), (" ", "blank"), ("T", "ready"),
    ]  # fmt: skip
    assert pattern.source.licence.name == "OFL-1.1"
    assert "report.html" in result.stdout
    assert "3" in result.stdout


def test_two_runs_and_any_number_of_jobs_give_the_same_bytes(here):
    for name, jobs in (("one", 1), ("again", 1), ("two", 2)):
        run(FONT, "--text", "ILTi-", "--out", name, "--jobs", jobs)
    first = contents(here / "one")
    assert first["pattern.json"]
    assert contents(here / "again") == first
    assert contents(here / "two") == first


def test_no_path_and_no_date_is_in_what_is_written(here):
    run(FONT, "--text", "I", "--out", "it")
    for content in contents(here / "it").values():
        assert str(here.parent).encode() not in content
        assert not re.search(rb"20\d\d-\d\d-\d\d", content)


def test_settings_are_echoed_and_the_command_line_comes_first(here):
    Path("alphabet.toml").write_text('block = "2x3in"\ngrid = "1mm"\n[glyph.I]\nmargin = "9mm"\n')
    run(
        FONT,
        "--text",
        "I",
        "--settings",
        "alphabet.toml",
        "--grid",
        "2mm",
        "--limit",
        "sections=2",
        "--out",
        "it",
    )
    settings = json.loads((here / "it" / "pattern.json").read_text())["settings"]
    assert settings["block"] == [50.8, 76.2]
    assert settings["grid"] == 2.0
    assert settings["limits"]["sections"] == 2.0
    assert settings["glyphs"]["I"] == {"margin": 9.0}


@pytest.mark.parametrize(
    ("text", "fail_on", "code"),
    [
        ("I", None, 0), ("I", "redesign", 0), ("I", "review", 0),
        ("-", None, 0), ("-", "redesign", 1), ("I-", "review", 1),
    ],
)  # fmt: skip
def test_exit_codes(here, text, fail_on, code):
    # "-" is a hairline: status redesign.
    result = run(FONT, "--text", text, *(["--fail-on", fail_on] if fail_on else []))
    assert result.exit_code == code
    assert (here / "out" / "sea" / "pattern.json").exists()


def test_review_fails_only_where_that_was_asked(here):
    arguments = (FONT, "--text", "L", "--limit", "narrowed=1.01")
    assert run(*arguments, "--fail-on", "redesign").exit_code == 0
    assert run(*arguments, "--fail-on", "review").exit_code == 1


def test_quiet_says_nothing_and_verbose_lists_every_glyph(here):
    assert run(FONT, "--text", "I-", "--quiet").output == ""
    told = run(FONT, "--glyphs", "*", "--verbose").stdout
    assert "redesign" in told
    assert "\x1b" not in told  # no colour where there is no terminal


def test_missing_glyphs_are_an_error_with_all_of_them_listed_unless_asked_to_go_on(here):
    result = run(FONT, "--text", "IXYZ")
    assert result.exit_code == 2
    assert all(letter in result.stderr for letter in "XYZ")
    assert contents(here) == {}
    result = run(FONT, "--text", "IXYZ", "--ignore-missing")
    assert result.exit_code == 0
    assert all(letter in result.stderr for letter in "XYZ")


def test_margin_nought_needs_no_strips_above_and_below(here):
    run(FONT, "--text", "L", "--out", "wide")
    result = run(FONT, "--text", "L", "--margin", "0mm", "--fail-on", "review", "--out", "tight")
    assert result.exit_code == 0, result.output
    wide, tight = (
        json.loads((here / name / "pattern.json").read_text())["glyphs"][0]["metrics"]["pieces"]
        for name in ("wide", "tight")
    )
    assert (
        wide == 3 + 4
    )  # an L that fills its block has three pieces; a margin on four sides is four strips more
    assert tight == 3 + 2


def bad_fonts(folder: Path) -> dict[str, Path]:
    whole = (folder / "sea.ttf").read_bytes()
    made = {
        "empty": b"", "text": b"This is not a font at all, only a letter home. " * 20,
        "truncated": whole[: len(whole) // 2],
        "a little of a font": whole[:100], "picture": b"\x89PNG\r\n\x1a\n" + b"\0" * 500,
    }  # fmt: skip
    paths = {}
    for name, content in made.items():
        paths[name] = folder / f"{name}.ttf"
        paths[name].write_bytes(content)
    return paths | {"a folder": folder, "no such file": folder / "none.ttf"}


def assert_told_in_one_line(result: Result) -> None:
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    assert result.stderr.startswith("error: ")
    assert result.stderr.count("\n") == 1
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert len(result.stderr) < 600


@pytest.mark.parametrize(
    "name", ["empty", "text", "truncated", "a little of a font", "picture", "a folder", "no such file"]
)
def test_what_is_no_font_is_told_in_one_line(here, name):
    before = contents(here.parent)
    path = bad_fonts(here.parent / "fonts")[name]
    before = contents(here.parent)
    assert_told_in_one_line(run(path))
    assert contents(here.parent) == before
    assert list(here.iterdir()) == []


BAD_ARGUMENTS = {
    "no length": ("--grid", "thick"),
    "a length without unit": ("--margin", "3"),
    "no size": ("--block", "3in"),
    "a block too small": ("--block", "1x1mm"),
    "a block too large": ("--block", "9x9000in"),
    "a block of nothing": ("--block", "0x0in"),
    "a margin too large": ("--margin", "2in"),
    "no allowance": ("--seam-allowance", "0in"),
    "pieces wider than the block": ("--min-piece-width", "3in"),
    "a coarse grid": ("--grid", "3in"),
    "an unknown axis": ("--axis", "wght=700"),
    "an axis without number": ("--axis", "wght=bold"),
    "an axis without name": ("--axis", "=7"),
    "an unknown limit": ("--limit", "beauty=1"),
    "a limit without number": ("--limit", "sections=few"),
    "a limit of nothing": ("--limit", "sections=0"),
    "a limit that is no number": ("--limit", "sections=nan"),
    "a colour by name": ("--figure-colour", "teal"),
    "a colour too short": ("--background-colour", "#fff"),
    "an unknown glyph": ("--glyphs", "whale"),
    "a code point that is none": ("--unicodes", "U+XYZ"),
    "a code point too large": ("--unicodes", "U+110000"),
    "an empty text": ("--text", ""),
    "an empty choice of names": ("--glyphs", ""),
    "names that are none": ("--glyphs", " ,"),
    "an empty choice of code points": ("--unicodes", "", "--text", "I"),
    "nothing to convert": ("--text", "XYZ", "--ignore-missing"),
    "an unknown detail": ("--detail", "lots"),
    "an unknown fit": ("--fit", "some"),
    "an unknown width": ("--width", "wide"),
    "a budget of nothing": ("--budget", "0"),
    "a budget that is no number": ("--budget", "much"),
    "a section price below nothing": ("--section-price", "-1"),
    "a section price that is no number": ("--section-price", "nan"),
    "a face that the file has not": ("--face", "7"),
    "a face below nought": ("--face", "-1"),
    "no jobs": ("--jobs", "0"),
    "no settings file": ("--settings", "none.toml"),
    "settings that are a font": ("--settings", str(FONT)),
    "an unknown option": ("--beauty", "1"),
    "an option without value": ("--grid",),
    "an argument more": ("another.ttf",),
    "an unknown status": ("--fail-on", "ready"),
    "an output that is a file": ("--out", str(FONT)),
    "an output inside a file": ("--out", str(FONT / "out")),
    "an output with too long a name": ("--out", "kelp" * 100),
    "settings that are a folder": ("--settings", "."),
}


@pytest.mark.parametrize("arguments", BAD_ARGUMENTS.values(), ids=BAD_ARGUMENTS)
def test_bad_arguments_are_told_in_one_line_and_leave_nothing(here, arguments):
    text = () if {"--glyphs", "--unicodes", "--text"} & set(arguments) else ("--text", "I")
    before = contents(here.parent)
    assert_told_in_one_line(run(FONT, *text, *arguments))
    assert contents(here.parent) == before
    assert list(here.iterdir()) == []


def test_bad_input_leaves_an_earlier_result_as_it_is(here):
    run(FONT, "--text", "I")
    before = contents(here)
    assert_told_in_one_line(run(FONT, "--text", "IX"))
    assert_told_in_one_line(run(FONT, "--text", "I", "--margin", "5in"))
    assert contents(here) == before


def test_what_an_earlier_run_left_is_not_taken_for_work_by_hand(here):
    # A run without any block to draw writes no folder of blocks; the old one would look like edits.
    run(FONT, "--text", "IL")
    run(FONT, "--text", " ")
    assert not (here / "out" / "sea" / "blocks").exists()
    assert "by hand" not in run(FONT, "--text", "I").output


def test_a_typing_error_in_a_glyph_s_settings_is_told_with_what_it_may_mean(here):
    path = Path("alphabet.toml")
    path.write_text('[glyph.spaec]\ndetail = "fine"\n')
    result = run(FONT, "--text", "I", "--settings", path)
    assert_told_in_one_line(result)
    assert "glyph 'spaec'" in result.stderr
    assert "did you mean space?" in result.stderr
    path.write_text("[glyph.L]\nalternative = 9\n")
    assert run(FONT, "--text", "I", "--settings", path, "--fail-on", "review").exit_code == 0
    assert run(FONT, "--text", "L", "--settings", path, "--fail-on", "review").exit_code == 1


def test_a_section_s_price_is_in_pieces_not_millimetres(here):
    for price in ("-1", "nan", "inf", "101"):
        told = run(FONT, "--text", "I", "--section-price", price).stderr
        assert "pieces" in told
        assert "mm" not in told


def test_the_help_tells_every_exit_code():
    told = " ".join(CliRunner().invoke(cli, ["--help"]).output.split())
    for code in ("0 success", "1 a glyph has a status", "(check)", "2 bad input", "130 stopped"):
        assert code in told


def _heeds_ctrl_c() -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # a shell's job in the background is begun with it ignored


@pytest.mark.skipif(os.name != "posix", reason="sends a signal")
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_ctrl_c_ends_with_130_and_leaves_an_earlier_result_as_it_is(here, jobs):
    # 128 + 2 for an interrupt: POSIX shells' exit status of what a signal ended.
    run(FONT, "--text", "I")
    before = contents(here)
    arguments = ["convert", str(FONT), "--glyphs", "*", "--jobs", jobs]
    # The terminal sends the signal to the whole group, workers and all.
    running = subprocess.Popen(
        [sys.executable, "-m", "tests.cli.slowly", *arguments],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
        preexec_fn=_heeds_ctrl_c, env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    assert running.stdout is not None
    running.stdout.readline()  # says that it is at work
    os.killpg(running.pid, signal.SIGINT)
    _, told = running.communicate(timeout=30)
    assert running.returncode == 130
    assert "Traceback" not in told
    assert contents(here) == before


def test_a_process_that_is_killed_is_told_in_one_line(here, monkeypatch):
    monkeypatch.setattr("converter.pipeline.alternatives", lambda *_: os._exit(9))
    command = ["convert", "--jobs", "2", str(FONT), "--glyphs", "*"]
    assert_told_in_one_line(CliRunner().invoke(cli, command))
    assert contents(here) == {}


def test_no_font_and_no_command_and_an_unknown_command(here):
    for arguments in (["convert"], ["knit"], ["--beauty"]):
        result = CliRunner().invoke(cli, arguments, prog_name="font2foundation")
        assert_told_in_one_line(result)
    assert "convert" in CliRunner().invoke(cli, [], prog_name="font2foundation").output


def test_a_value_out_of_an_axis_is_told_and_one_inside_is_taken(here):
    path = here.parent / "fonts" / "wide.ttf"
    path.write_bytes(saved(variable(square(0, 0, 400), 300)))
    assert_told_in_one_line(run(path, "--text", "A", "--axis", "wght=950"))
    assert_told_in_one_line(run(path, "--text", "A", "--axis", "slnt=1"))
    assert run(path, "--text", "A", "--axis", "wght=900", "--out", "it").exit_code == 0
    assert json.loads((here / "it" / "pattern.json").read_text())["settings"]["axes"] == {"wght": 900.0}


def test_a_restricted_licence_stops_and_the_user_s_own_word_lets_through(here):
    path = here.parent / "fonts" / "closed.ttf"
    # OpenType, OS/2 table: fsType bit 1 (value 2) is restricted licence embedding.
    path.write_bytes(saved(builder({"I": LETTERS["I"]}, fsType=2)))
    assert_told_in_one_line(run(path, "--text", "I"))
    assert list(here.iterdir()) == []
    word = "the librarian, in May, by letter"
    assert run(path, "--text", "I", "--licence-checked", word).exit_code == 0
    licence = json.loads((here / "out" / "closed" / "pattern.json").read_text())["source"]["licence"]
    assert (licence["checked"], licence["fs_type"]) == (word, 2)


def test_an_unknown_licence_goes_on_with_a_warning(here):
    path = here.parent / "fonts" / "unknown.ttf"
    path.write_bytes(saved(builder({"I": LETTERS["I"]})))
    result = run(path, "--text", "I")
    assert result.exit_code == 0
    assert result.stderr.startswith("warning: ")
    assert "legal advice" in result.stderr


def test_a_font_of_symbols_only_states_no_height_of_capitals_and_works(here):
    path = here.parent / "fonts" / "symbols.ttf"
    path.write_bytes(
        saved(builder({"leaf": LETTERS["T"]}, cmap={0xE000: "leaf"}, names={"licenseDescription": OFL}))
    )
    for fit in ("together", "each"):
        assert run(path, "--glyphs", "leaf", "--fit", fit, "--fail-on", "review").exit_code == 0


@pytest.mark.parametrize("arguments", [["convert", "none.ttf"], ["convert", ".", "--text", "I"]])
def test_the_installed_command_itself_ends_with_2_and_no_traceback(here, arguments):
    environment = os.environ | {"NO_COLOR": "1"}
    done = subprocess.run(
        [sys.executable, "-m", "converter", *arguments],
        capture_output=True,
        text=True,
        env=environment,
        cwd=here,
    )
    assert done.returncode == 2
    assert done.stderr.startswith("error: ")
    assert "Traceback" not in done.stderr
    assert done.stdout == ""
