"""An ordinary slip in one drawing is one finding of its block, and the other blocks of the folder are checked."""

import json
import os
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from converter.cli import cli
from converter.drawing.block import block_svg
from converter.folder.keeping import Kept, record_json
from converter.output import digest
from converter.pattern import to_json
from tests.redesign.corpus import CORPUS
from tests.redesign.hands import Hand
from tests.samples import letter_i, letter_t, sample_pattern

GLYPHS = (letter_i(), letter_t())


def run(*words: object, code: int) -> list[str]:
    result = CliRunner().invoke(cli, [str(word) for word in words], env={"COLUMNS": "2000"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exc_info
    assert result.exit_code == code, result.output
    return [line for line in result.output.splitlines() if line]


@pytest.fixture
def folder(tmp_path) -> Path:
    """A set of I and T in which T was changed soundly by hand."""
    pattern = sample_pattern(*GLYPHS)
    (tmp_path / "blocks").mkdir()
    drawings = {glyph.key: block_svg(pattern, glyph) for glyph in GLYPHS}
    for key, drawing in drawings.items():
        (tmp_path / "blocks" / f"{key}.svg").write_text(drawing, encoding="utf-8")
    (tmp_path / "pattern.json").write_text(to_json(pattern), encoding="utf-8")
    kept = {glyph.key: Kept(digest(drawings[glyph.key]), 60.0, glyph.figure) for glyph in GLYPHS}
    (tmp_path / "record.json").write_text(record_json(kept), encoding="utf-8")
    hand = Hand()
    hand.line(0, 75, 60, 75)
    (tmp_path / "blocks" / "T_.svg").write_bytes(hand.save())
    return tmp_path


def glyph(folder: Path, key: str) -> dict:
    glyphs = json.loads((folder / "pattern.json").read_text(encoding="utf-8"))["glyphs"]
    return next(g for g in glyphs if g["key"] == key)


def test_what_the_other_block_comes_to(folder):
    assert run("check", "--quiet", folder, code=0) == []
    assert len(glyph(folder, "T_")["pieces"]) == len(letter_t().pieces) + 1


@pytest.mark.parametrize(
    "name",
    ["5000 nested ( in a sheet", "5000 nested f(", "a chain of 5000 copies", "15000 rectangles as pieces",
     "polygon of 2000 random corners", "a million of '1' in id", "dots alone", "binary", "too large"],
)  # fmt: skip
def test_a_bad_drawing_is_one_line_and_the_others_are_checked(name, folder):
    data = CORPUS[name]()
    (folder / "blocks" / "I_.svg").write_bytes(data)
    (said,) = run("check", "--quiet", folder, code=1)
    assert said.startswith("I_: ")
    assert (folder / "blocks" / "I_.svg").read_bytes() == data
    assert len(glyph(folder, "T_")["pieces"]) == len(letter_t().pieces) + 1


@pytest.mark.parametrize("name", ["a\nb", "x\udcff", "a\u202eb", "tab\there"])
def test_a_name_that_is_no_key_is_told_and_the_file_left(name, folder):
    path = folder / "blocks" / f"{name}.svg"
    try:
        path.write_bytes(Hand().save())
    except (OSError, UnicodeError):
        pytest.skip("no such name on this file system")
    said = run("check", "--quiet", folder, code=1)
    assert len(said) == 1
    assert "Rename it" in said[0]
    assert path.read_bytes() == Hand().save()
    assert len(json.loads((folder / "pattern.json").read_text(encoding="utf-8"))["glyphs"]) == 2
    assert len(glyph(folder, "T_")["pieces"]) == len(letter_t().pieces) + 1


@pytest.mark.parametrize("name", ["a\nb", "a\x85b", "a\u2028b", "a\u202eb", "n" * 201])
def test_blank_makes_no_file_of_such_a_name(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (said,) = run("blank", name, code=2)
    assert "is not a name for a block" in said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="no named pipes in folders")
def test_a_pipe_is_not_waited_for(folder, tmp_path):
    os.mkfifo(tmp_path / "pipe.svg")
    (said,) = run("check", "--quiet", tmp_path / "pipe.svg", code=1)
    assert "is no regular file" in said
    (folder / "blocks" / "I_.svg").unlink()
    os.mkfifo(folder / "blocks" / "I_.svg")
    (said,) = run("check", "--quiet", folder, code=1)
    assert said.startswith("I_: ")
    assert len(glyph(folder, "T_")["pieces"]) == len(letter_t().pieces) + 1


def test_many_faults_of_one_block_are_few_lines(folder):
    hand = Hand()
    for k in range(20):
        hand.line(12 + k, 30, 12.5 + k, 33)
    (folder / "blocks" / "I_.svg").write_bytes(hand.save())
    (said,) = run("check", "--quiet", folder, code=1)
    assert said.endswith("more faults)")
    assert sum("I_: " in line for line in run("check", folder, code=1)) == 5
