"""What somebody else keeps in a folder stays, byte for byte, whatever is done there."""

import json
import os
import stat
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from converter.cli import cli, convert_command
from converter.output import one_run_at_a_time
from converter.pattern import from_json
from tests.cli.sea import sea_font


def run(*arguments: object, code: int = 0) -> str:
    result = CliRunner().invoke(cli, [str(argument) for argument in arguments], prog_name="font2foundation")
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exc_info
    assert result.exit_code == code, result.output
    return result.output


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.fixture
def convert(tmp_path) -> Callable[..., str]:
    font = tmp_path / "sea.ttf"
    font.write_bytes(sea_font())

    def do(out: Path, *more: object, code: int = 0) -> str:
        return run("convert", font, "--jobs", 1, "--text", "IL", "--out", out, *more, code=code)

    return do


def keep(folder: Path, *names: str) -> dict[str, bytes]:
    """Somebody's own files, under these names."""
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(f"mine: {name}".encode())
    return {name: f"mine: {name}".encode() for name in names}


OWN = (
    "notes.txt", "blocks/notes.txt", "blocks/drafts/I_.svg", "blocks/K_.ai", "blocks/.I_.svg.swp", "blocks/I_.svg~",
    "blocks/I_.SVG", "blocks/ü ß.txt", "templates/mine.svg", "templates/old/I_.svg", "faults/read me.txt",
    "backups/mine.svg", "print/mine.pdf", "cutting-plans/mine.svg",
)  # fmt: skip


@pytest.mark.parametrize("is_new", [True, False])
def test_a_second_convert_takes_nothing_away_that_it_did_not_write(convert, tmp_path, is_new):
    out = tmp_path / "set"
    if not is_new:
        convert(out)
    mine = keep(out, *OWN)
    convert(out)
    convert(out, "--text", "T")
    run("check", out)
    assert {name: data for name, data in contents(out).items() if name in mine} == mine
    assert "templates/T_.svg" in contents(out)


def test_blocks_that_are_not_converted_again_go_with_their_templates(convert, tmp_path):
    out = tmp_path / "set"
    convert(out)
    run("convert", tmp_path / "sea.ttf", "--jobs", 1, "--text", "I", "--out", out)
    assert sorted(name for name in contents(out) if "/" in name) == ["blocks/I_.svg", "templates/I_.svg"]


def test_words_print_and_fabric_take_nothing_away(convert, tmp_path):
    out = tmp_path / "set"
    convert(out)
    for command, *arguments in (("words", "IL", "--no-print"), ("fabric",), ("print",)):
        target = tmp_path / command
        mine = keep(
            target, "print/mine.pdf", "cutting-plans/figure.txt", "cutting-plans/mine.svg", "templates/a.svg"
        )
        for _ in range(2):
            run(command, out, *arguments, "--out", target)
        assert {name: data for name, data in contents(target).items() if name in mine} == mine


@pytest.mark.parametrize("name", ["pattern.json", "report.html", "templates/I_.svg"])
def test_another_s_file_in_the_way_stops_the_run(convert, tmp_path, name):
    out = tmp_path / "project"
    mine = keep(out, name)
    assert f"{out / name}: is there, and this program did not write it" in convert(out, code=2)
    assert contents(out) == mine


def test_an_empty_path_is_no_path(convert, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    before = contents(tmp_path)
    assert "a path is empty" in convert("", code=2)
    for command in ("print", "words", "check", "fabric"):
        assert "a path is empty" in run(command, "", code=2)
    assert contents(tmp_path) == before


def test_its_own_files_that_were_changed_are_backed_up(convert, tmp_path):
    out = tmp_path / "set"
    convert(out)
    (out / "templates/I_.svg").write_text("<svg><!-- my pencil marks --></svg>")
    convert(out, "--block", "3x3in")
    assert "my pencil marks" in (out / "backups/templates/I_.1.svg").read_text()
    assert "my pencil marks" not in (out / "templates/I_.svg").read_text()


def test_a_drawing_saved_just_before_the_folder_is_written_is_kept(convert, tmp_path, monkeypatch):
    out = tmp_path / "set"
    convert(out)
    true_write, saved = convert_command.write_folder, b"<svg>saved in the last moment</svg>"

    def write(*arguments, **named):
        (out / "blocks/I_.svg").write_bytes(saved)
        (out / "blocks/new.svg").write_bytes(saved)
        return true_write(*arguments, **named)

    monkeypatch.setattr(convert_command, "write_folder", write)
    said = convert(out, "--block", "3x3in")
    assert "blocks/I_.svg was saved during the run, and left as it is" in said
    assert (out / "blocks/I_.svg").read_bytes() == (out / "blocks/new.svg").read_bytes() == saved
    monkeypatch.undo()
    assert "I_" in run("check", out, code=1)
    assert (out / "blocks/I_.svg").read_bytes() == saved


def test_a_drawing_changed_and_discarded_is_backed_up_and_a_change_meanwhile_is_kept(convert, tmp_path):
    out = tmp_path / "set"
    convert(out)
    proposal = (out / "blocks/I_.svg").read_bytes()
    (out / "blocks/I_.svg").write_text("<svg>mine</svg>")
    convert(out, "--discard-edits", "I_")
    assert (out / "blocks/I_.svg").read_bytes() == proposal
    assert (out / "backups/I_.1.svg").read_text() == "<svg>mine</svg>"


@pytest.mark.parametrize("link", ["blocks/I_.svg", "blocks/Q_.svg", "blocks", "templates", "pattern.json"])
def test_links_are_neither_read_nor_written_through(convert, tmp_path, link):
    out, outside = tmp_path / "set", tmp_path / "outside"
    convert(out)
    mine = keep(outside, "secret.svg", "I_.svg")
    place = out / link
    if place.is_dir():
        for path in place.iterdir():
            path.unlink()
        place.rmdir()
    elif place.exists():
        place.unlink()
    place.symlink_to(outside if link in ("blocks", "templates") else outside / "secret.svg")
    is_block = link.startswith("blocks/")
    if link != "pattern.json":
        said = convert(out, code=0 if is_block else 2)
        assert f"{place} is a link" in said or f"{place}: is a link" in said
    assert contents(outside) == mine
    assert place.is_symlink()
    assert not [data for name, data in contents(out).items() if b"mine:" in data and not (out / name).is_symlink()
                and not (out / name).parent.is_symlink()]  # fmt: skip


def test_no_name_in_a_pattern_becomes_a_path(convert, tmp_path):
    out = tmp_path / "deep" / "er" / "set"
    convert(out)
    text = (out / "pattern.json").read_text(encoding="utf-8")
    data = json.loads(text)
    for number, name in enumerate(
        ("../../../../escaped", "/tmp/escaped-f2f", "a/b", "..", "a\\b", "CON", "x" * 100)
    ):
        fabric = {"label": "old shirt", "colour": "#9c3f1d"}
        changed = {**data, "fabrics": {**data["fabrics"], name: fabric}}
        changed["glyphs"] = json.loads(json.dumps(data["glyphs"]))
        changed["glyphs"][0]["pieces"][0]["fabric"] = name
        (out / "pattern.json").write_text(json.dumps(changed), encoding="utf-8")
        run("fabric", out, "--out", tmp_path / "deep" / "er" / f"fabric{number}")
        plans = tmp_path / "deep" / "er" / f"fabric{number}" / "cutting-plans"
        assert len(list(plans.iterdir())) == 3
    assert sorted(path.name for path in tmp_path.iterdir()) == ["deep", "sea.ttf"]
    assert not Path("/tmp/escaped-f2f.svg").exists()


def test_a_folder_of_an_earlier_version_is_taken_over(convert, tmp_path):
    out = tmp_path / "set"
    convert(out)
    once = contents(out)
    (out / "written.json").unlink()
    (out / "blocks/I_.svg").write_text("<svg>mine</svg>")
    mine = keep(out, "templates/mine.svg")
    convert(out)
    now = contents(out)
    assert now["blocks/I_.svg"] == b"<svg>mine</svg>"
    assert now["templates/mine.svg"] == mine["templates/mine.svg"]
    assert now["templates/L_.svg"] == once["templates/L_.svg"]
    (out / "written.json").unlink()
    run("check", out, code=1)
    assert not (out / "backups").exists()


def test_print_and_words_finish_what_a_killed_convert_left(convert, tmp_path, monkeypatch):
    out = tmp_path / "set"
    convert(out)
    child = os.fork()
    if child == 0:
        true_replace = Path.replace

        def replace(self, target):
            if self.name == "pattern.json" and "/new/" in str(self):
                os._exit(9)
            return true_replace(self, target)

        Path.replace = replace
        convert(out, "--block", "3x3in")
        os._exit(0)
    assert os.waitpid(child, 0)[1]
    assert not (out / "pattern.json").exists()
    run("words", out, "IL", "--no-print", "--out", tmp_path / "words")
    assert from_json((out / "pattern.json").read_text(encoding="utf-8")).block.width == 76.2
    assert not (out / ".font2foundation").exists()
    assert "No block has been edited" in run("check", out)


@pytest.mark.skipif(os.getuid() == 0, reason="root may write anywhere")
def test_without_permission_one_line_is_told(convert, tmp_path):
    out = tmp_path / "set"
    convert(out)
    before = contents(out)
    out.chmod(stat.S_IRUSR | stat.S_IXUSR)
    try:
        for words in (("check", out), ("print", out), ("words", out, "IL")):
            assert "cannot be written" in run(*words, code=2)
        assert "cannot be written" in convert(out, code=2)
    finally:
        out.chmod(stat.S_IRWXU)
    assert contents(out) == before


def test_two_commands_on_one_folder(convert, tmp_path):
    out = tmp_path / "set"
    convert(out)
    with one_run_at_a_time(out / "print"):
        assert "another run is using this folder" in run("print", out, code=2)
    with one_run_at_a_time(out):
        run("words", out, "IL", "--no-print", "--out", tmp_path / "words")  # it only reads there
    assert not (out / "print").exists()


def test_a_blank_block_on_a_full_disk_leaves_nothing(convert, tmp_path, monkeypatch):
    out = tmp_path / "set"
    convert(out)
    before = contents(out)
    with monkeypatch.context() as patched:

        def full(self, data):
            with self.open("wb") as file:
                file.write(data[:20])
            raise OSError(28, "No space left on device")

        patched.setattr(Path, "write_bytes", full)
        assert "No space left" in run("blank", "eacute", "--into", out, code=2)
    assert contents(out) == before
    run("blank", "eacute", "--into", out)
