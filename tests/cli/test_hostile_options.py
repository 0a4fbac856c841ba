"""Values that nobody means, given to options: one line, soon, and nothing written."""

import re
import time
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from converter.cli import cli
from tests.cli.sea import sea_font

NINES, MANY, BYTES, ESCAPE = "9" * 400, "9" * 5000, "kelp\udcff", "kelp\x1b[31m"
RAW = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029]")
WORDS = ("words", "set", "IL", "--no-print", "--out", "new")
PRINT = ("print", "set", "--out", "new")
FABRIC = ("fabric", "set", "--out", "new")
CONVERT = ("convert", "sea.ttf", "--jobs", "1", "--out", "new", "--text", "I")
HOSTILE = {
    "letters that are no text": (*WORDS, "--letters", BYTES),
    "a name of a fabric that is no text": (*WORDS, "--letters", f"{BYTES}=#ffffff"),
    "a name of a fabric with an escape": (*WORDS, "--letters", f"{ESCAPE}=#ffffff"),
    "an endless name of a fabric": (*WORDS, "--letters", "x" * 100_000 + "=#ffffff"),
    "an own colour that is no text": (*WORDS, "--own-colour", f"{BYTES}=rust"),
    "words that are no text": ("words", "set", BYTES, "--no-print", "--out", "new"),
    "words of 100,000 characters": ("words", "set", "IL" * 50_000, "--no-print", "--out", "new"),
    "a date that is no text": (*PRINT, "--date", BYTES),
    "a date with an escape": (*PRINT, "--date", ESCAPE),
    "an endless date": (*PRINT, "--date", "d" * 100_000),
    "a border of 400 digits": (*WORDS, "--border", f"{NINES}in"),
    "a width of 400 digits": (*WORDS, "--target-width", f"{NINES}.5in"),
    "a fraction of 400 digits": (*WORDS, "--spacing", f"1/{NINES}in"),
    "a height of 1e300": (*WORDS, "--target-height", "1e300in"),
    "copies of 400 digits": (*WORDS, "--copies", NINES),
    "copies of 5,000 digits": (*FABRIC, "--copies", MANY),
    "no copies": (*FABRIC, "--copies", "0"),
    "a million copies": (*FABRIC, "--copies", "1000000"),
    "a fabric of 400 digits": (*FABRIC, "--fabric-width", f"{NINES}in"),
    "a patch margin of 400 digits": (*FABRIC, "--patch-margin", f"{NINES}mm"),
    "a finished piece of miles": (*FABRIC, "--finished-size", "9999999x9999999in"),
    "a frame of 60 in": (*PRINT, "--frame", "60x60in"),
    "a frame of miles": (*PRINT, "--frame", "999999x999999in"),
    "a strip of miles": (*PRINT, "--frame-side", "left=9999999in"),
    "a framed block of 60 in": (*WORDS, "--frame", "60x60in", "--frame-on-foundation"),
    "a block of 400 digits": (*CONVERT, "--block", f"{NINES}x4in"),
    "a limit of 400 digits": (*CONVERT, "--limit", f"sections={NINES}"),
    "a limit that is no text": (*CONVERT, "--limit", f"{BYTES}=1"),
    "an axis of 5,000 digits": (*CONVERT, "--axis", f"wght={MANY}"),
    "a face of 5,000 digits": (*CONVERT, "--face", MANY),
    "a budget of 5,000 digits": (*CONVERT, "--budget", MANY),
    "a colour with an escape": (*CONVERT, "--figure-colour", ESCAPE),
    "names that are no text": (*CONVERT, "--glyphs", BYTES),
    "a path of 5,000 letters": ("convert", "p" * 5000, "--out", "new"),
    "a folder of 5,000 letters": ("convert", "sea.ttf", "--text", "I", "--jobs", "1", "--out", "p" * 5000),
    "a folder within 2,400 folders": ("convert", "sea.ttf", "--text", "I", "--jobs", "1", "--out", "p/" * 2400),
    "65,000 characters that are not there": ("convert", "sea.ttf", "--unicodes", "0-FFFF", "--out", "new"),
    "a word on the licence without end": (*CONVERT, "--licence-checked", "w" * 100_000),
    "a block with a line break": ("blank", "a\nb", "--out", "new.svg"),
    "a block that is no text": ("blank", BYTES, "--out", "new.svg"),
    "a grid of 400 digits": ("blank", "x", "--grid-lines", f"{NINES}in", "--out", "new.svg"),
    "a folder with an escape": ("words", "no\x1b]0;owned\x07such\nplace", "IL", "--no-print"),
    "an option with an escape": ("words", "set", "IL", "--\x1b[31mred"),
}  # fmt: skip


@pytest.fixture(scope="module")
def here(tmp_path_factory) -> Path:
    top = tmp_path_factory.mktemp("options")
    (top / "sea.ttf").write_bytes(sea_font())
    arguments = ["convert", str(top / "sea.ttf"), "--text", "IL", "--out", str(top / "set"), "--jobs", "1"]
    assert CliRunner().invoke(cli, arguments).exit_code == 0
    return top


def names(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_value_is_told_in_one_line(here, monkeypatch, name):
    monkeypatch.chdir(here)
    before = names(here)
    start = time.process_time()
    result = CliRunner().invoke(cli, HOSTILE[name], prog_name="font2foundation")
    assert time.process_time() - start < 5
    assert isinstance(result.exception, SystemExit), result.exc_info
    assert result.exit_code == 2, result.output
    (line,) = result.output.splitlines()
    assert line.startswith("error: ")
    assert "No such option" not in line or "red" in line  # else nothing was tried
    assert len(line) < 600
    assert not RAW.search(line)
    assert names(here) == before


def test_a_choice_of_65_000_with_some_there_is_made_soon_and_tells_the_count(here, tmp_path):
    arguments = ["convert", str(here / "sea.ttf"), "--unicodes", "0-FFFF", "--ignore-missing", "--jobs", "1"]
    start = time.process_time()
    result = CliRunner().invoke(cli, [*arguments, "--out", str(tmp_path / "set")])
    assert time.process_time() - start < 10
    assert result.exit_code == 0
    assert re.search(r"warning: not in the font: .* and 65500 more", result.output)
    assert max(map(len, result.output.splitlines())) < 600


@pytest.mark.parametrize("command", [("print",), ("words", "IL", "--no-print"), ("fabric",)])
def test_a_folder_s_name_cannot_steer_the_terminal(here, tmp_path, command):
    name = "sea\x1b[31m\n\u202ekelp"
    (here / "set").rename(here / name)
    try:
        words = [command[0], str(here / name), *command[1:], "--out", str(tmp_path / name)]
        result = CliRunner().invoke(cli, words)
        assert result.exit_code == 0
        assert r"sea\x1b[31m\n\u202ekelp" in result.output
        assert not re.search("[\x1b\u202e]", result.output)
        for drawing in tmp_path.rglob("*.svg"):
            ElementTree.parse(drawing)
    finally:
        (here / name).rename(here / "set")
