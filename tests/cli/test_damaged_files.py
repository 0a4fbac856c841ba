"""Our own files, damaged or made to do harm, end in one line or in a finding, and nothing wrong is printed of them."""

import json
import re
import shutil
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from converter.cli import cli
from tests.cli.damage import FILES, PATTERN, damaged
from tests.cli.sea import sea_font

RAW = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029]")
SEAM = '<line x1="6.35" y1="3.175" x2="60" y2="30"/>'


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> Path:
    """A folder with an edited block, converted once."""
    top = tmp_path_factory.mktemp("damage")
    (top / "sea.ttf").write_bytes(sea_font())
    arguments = ["convert", str(top / "sea.ttf"), "--text", "IL", "--out", str(top / "set"), "--jobs", "1"]
    assert CliRunner().invoke(cli, arguments).exit_code == 0
    block = top / "set/blocks/I_.svg"
    block.write_text(
        re.sub(r'(id="seams"[^>]*>)', rf"\1{SEAM}", block.read_text(encoding="utf-8")), encoding="utf-8"
    )
    return top / "set"


@pytest.fixture
def folder(made, tmp_path) -> Path:
    shutil.copytree(made, tmp_path / "set")
    return tmp_path / "set"


def run(*arguments: object) -> tuple[int, str]:
    start = time.process_time()
    result = CliRunner().invoke(cli, [str(a) for a in arguments], env={"COLUMNS": "100000"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exc_info
    assert result.exit_code in (0, 1, 2)
    lines = result.output.splitlines()
    assert lines or not result.exit_code
    assert result.exit_code != 2 or len(lines) == 1
    assert all(len(line) < 700 for line in lines)
    assert not RAW.search(result.output.replace("\n", ""))
    assert time.process_time() - start < 5
    return result.exit_code, result.output


CASES = [(file, name) for file, damages in FILES.items() for name in damages]


@pytest.mark.parametrize(("file", "name"), CASES, ids=[f"{file}-{name}" for file, name in CASES])
def test_a_damaged_file_ends_in_one_line_or_a_finding(folder, tmp_path, file, name):
    (folder / file).write_bytes(damaged((folder / file).read_bytes(), FILES[file][name]))
    drawn = (folder / "blocks/I_.svg").read_bytes()
    run("words", folder, "IL", "--no-print", "--out", tmp_path / "words")
    run("check", folder)
    run("check", folder / "blocks/L_.svg")
    assert (folder / "blocks/I_.svg").read_bytes() == drawn
    assert sorted(path.name for path in tmp_path.iterdir() if path.name != "words") == ["set"]


SPOILT = [
    name
    for name in PATTERN
    if "section names" in name or "corner moved" in name or "block width that" in name
]


@pytest.mark.parametrize("name", SPOILT)
def test_a_block_that_does_not_pass_the_replay_is_not_printed(folder, tmp_path, name):
    path = folder / "pattern.json"
    path.write_bytes(damaged(path.read_bytes(), PATTERN[name]))
    code, said = run("print", folder, "--out", tmp_path / "print")
    assert code == 0
    assert "left out until redesigned: I" in said
    code, said = run("words", folder, "I", "--no-print", "--out", tmp_path / "words")
    assert code == 2
    assert not (tmp_path / "words").exists()
    run("check", folder)
    after = json.loads(path.read_text(encoding="utf-8"))["glyphs"]
    assert next(glyph["status"] for glyph in after if glyph["key"] == "L_") == "ready"


@pytest.mark.parametrize("what", ["a text", "a name", "a fabric's label", "a family"])
@pytest.mark.parametrize("kind", ["formula", "Typst", "markup", "steering"])
def test_texts_that_would_do_something_do_nothing(folder, tmp_path, kind, what):
    path = folder / "pattern.json"
    path.write_bytes(damaged(path.read_bytes(), PATTERN[f"{kind} as {what}"]))
    for command, *more in (("print",), ("fabric",), ("words", "{L}")):
        code, _ = run(command, folder, *more, "--out", tmp_path / command)
        assert code in (0, 2)
    for table in tmp_path.rglob("*.csv"):
        cells = re.split(r'[,\n]"?', table.read_text(encoding="utf-8"))
        assert not [cell for cell in cells if cell[:1] in ("=", "@", "\t")], table


@pytest.mark.parametrize("file", [*FILES, "blocks/I_.svg", "blocks/Z_.svg"])
def test_a_pipe_in_place_of_a_file_is_not_waited_for(folder, tmp_path, file):
    import os

    (folder / file).unlink(missing_ok=True)
    os.mkfifo(folder / file)
    run("words", folder, "IL", "--no-print", "--out", tmp_path / "words")
    run("check", folder)
    run("convert", folder.parent / "sea.ttf", "--settings", folder / file)


@pytest.mark.parametrize("file", FILES)
def test_an_enormous_file_is_told_at_once(folder, tmp_path, file):
    with (folder / file).open("wb") as sparse:
        sparse.truncate(3_000_000_000)
    run("words", folder, "IL", "--no-print", "--out", tmp_path / "words")
    run("check", folder)
