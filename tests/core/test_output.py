"""A set of files is put in place complete or not at all, and takes nothing away that is not the program's."""

import json
import os
import shutil
from pathlib import Path

import pytest

from converter.errors import InputError
from converter.output import LEDGER, add_file, check_places, digest, one_run_at_a_time, settle, write_folder

OLD = {"pattern.json": "old", "blocks/A_.svg": "<old/>", "blocks/B_.svg": "<old/>", "faults/A_.svg": "<bad/>"}
NEW = {"pattern.json": "new", "blocks/A_.svg": b"<new/>", "report.html": "<p>é</p>"}
OUTDATED = ("blocks", "faults")


def content(folder: Path) -> dict[str, bytes]:
    """All files but the list of them."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != LEDGER
    }


def encoded(files: dict[str, str | bytes]) -> dict[str, bytes]:
    return {path: data.encode() if isinstance(data, str) else data for path, data in files.items()}


def convert(out: Path, files: dict[str, str | bytes] = NEW, **more: object) -> None:
    write_folder(out, files, OUTDATED, by_hand="blocks", **more)


def listed(out: Path) -> dict[str, str]:
    return json.loads((out / LEDGER).read_text(encoding="utf-8"))["files"]


def test_files_are_written_as_given_and_listed(tmp_path):
    out = tmp_path / "deep" / "out"
    write_folder(out, NEW)
    assert content(out) == encoded(NEW)
    assert listed(out) == {path: digest(data) for path, data in NEW.items()}


def test_a_new_set_takes_away_what_the_program_wrote_and_nothing_else(tmp_path):
    convert(tmp_path, OLD)
    theirs = {
        "notes.txt": b"mine", "blocks/notes.txt": b"mine", "blocks/drafts/A_.svg": b"draft", "blocks/K_.ai": b"%!PS",
        "blocks/A_.SVG": b"other", "blocks/.A_.svg.swp": b"swap", "blocks/A_.svg~": b"older", "blocks/ö ü.svg": b"x",
        "faults/why.txt": b"mine", "templates/T.svg": b"somebody else's",
    }  # fmt: skip
    for path, data in theirs.items():
        (tmp_path / path).parent.mkdir(exist_ok=True)
        (tmp_path / path).write_bytes(data)
    convert(tmp_path)
    assert content(tmp_path) == encoded(NEW) | theirs
    assert sorted(listed(tmp_path)) == sorted(NEW)


def test_a_folder_that_is_empty_now_goes(tmp_path):
    convert(tmp_path, OLD)
    convert(tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "blocks",
        "pattern.json",
        "report.html",
        LEDGER,
    ]


def test_what_is_as_it_was_is_not_touched(tmp_path):
    convert(tmp_path)
    before = {path: path.stat().st_ino for path in tmp_path.rglob("*")}
    convert(tmp_path)
    assert {path: path.stat().st_ino for path in tmp_path.rglob("*")} == before


@pytest.mark.parametrize("path", ["pattern.json", "report.html", "templates/A_.svg"])
def test_another_s_file_in_the_way_is_told_and_stays(tmp_path, path):
    (tmp_path / path).parent.mkdir(exist_ok=True)
    (tmp_path / path).write_text("mine")
    with pytest.raises(InputError, match="this program did not write it; move it away") as caught:
        convert(tmp_path, NEW | {"templates/A_.svg": "<new/>"})
    assert str(tmp_path / path) in str(caught.value)
    assert content(tmp_path) == {path: b"mine"}
    with pytest.raises(InputError, match="did not write it"):
        check_places(tmp_path, [path])


def test_its_own_file_changed_since_goes_to_the_backups(tmp_path):
    convert(tmp_path, OLD | {"report.csv": "a"})
    for number in (1, 2):
        (tmp_path / "report.csv").write_text(f"a, and my word on it {number}")
        (tmp_path / "faults").mkdir(exist_ok=True)
        (tmp_path / "faults/A_.svg").write_text(f"<drawn-on n='{number}'/>")
        convert(tmp_path, (OLD if number == 1 else NEW) | {"report.csv": "b"})
    assert (tmp_path / "report.csv").read_text() == "b"
    kept = {path: data.decode() for path, data in content(tmp_path).items() if path.startswith("backups")}
    assert kept == {
        "backups/report.1.csv": "a, and my word on it 1",
        "backups/report.2.csv": "a, and my word on it 2",
        "backups/faults/A_.1.svg": "<drawn-on n='1'/>",
        "backups/faults/A_.2.svg": "<drawn-on n='2'/>",
    }


def test_a_drawing_changed_by_hand_keeps_its_place(tmp_path):
    convert(tmp_path, OLD)
    (tmp_path / "blocks/A_.svg").write_text("<mine/>")
    (tmp_path / "blocks/B_.svg").write_text("<mine/>")
    (tmp_path / "blocks/C_.svg").write_text("<mine/>")
    convert(tmp_path, NEW | {"blocks/C_.svg": "<new/>"})
    assert content(tmp_path) == encoded(NEW) | {f"blocks/{key}_.svg": b"<mine/>" for key in "ABC"}
    convert(tmp_path, known={"blocks/A_.svg": digest("<mine/>")})
    assert content(tmp_path)["blocks/A_.svg"] == b"<new/>"


def test_a_drawing_saved_just_before_it_is_moved_keeps_its_place(tmp_path, monkeypatch):
    convert(tmp_path, OLD)
    true_replace, place = Path.replace, tmp_path / "blocks/A_.svg"

    def replace(self, target):
        if self == place:
            place.write_text("<saved in the last moment/>")
        return true_replace(self, target)

    monkeypatch.setattr(Path, "replace", replace)
    convert(tmp_path)
    assert content(tmp_path) == encoded(NEW) | {"blocks/A_.svg": b"<saved in the last moment/>"}


@pytest.mark.parametrize("link", ["blocks", "pattern.json", "blocks/A_.svg", "templates"])
def test_nothing_is_written_through_a_link(tmp_path, link):
    outside, out = tmp_path / "outside", tmp_path / "out"
    outside.mkdir()
    (outside / "A_.svg").write_text("theirs")
    (out / link).parent.mkdir(parents=True)
    target = outside / "A_.svg" if "." in link else outside
    (out / link).symlink_to(target)
    files = NEW | {"templates/A_.svg": "<new/>"}
    if link == "blocks/A_.svg":
        convert(out, files)
    else:
        with pytest.raises(InputError, match="move it away"):
            convert(out, files)
    assert (out / link).is_symlink()
    assert content(outside) == {"A_.svg": b"theirs"}


@pytest.mark.parametrize("path", ["../x", "/x", "a/../../x", "a//b", "", "..\\x", "C:x", "a/./b", "x\0"])
def test_no_name_leads_out_of_the_folder(tmp_path, path):
    with pytest.raises(InputError, match="no name for a file"):
        write_folder(tmp_path / "out", {path: "x"})
    assert content(tmp_path) == {}
    (tmp_path / "x").write_text("mine")
    (tmp_path / "out").mkdir()
    text = {"format": "font2foundation-written", "version": 1, "files": {path: digest("mine")}}
    (tmp_path / "out" / LEDGER).write_text(json.dumps(text))
    with pytest.raises(InputError, match="is damaged"):
        write_folder(tmp_path / "out", NEW, outdated=("..", path))
    assert (tmp_path / "x").read_text() == "mine"


@pytest.mark.parametrize(
    "text", ["", "[]", "{", '{"files": {}}', '{"format": "font2foundation-written", "version": 2, "files": {}}',
             '{"format": "font2foundation-written", "version": 1, "files": {"a": 1}}', "[" * 100_000]
)  # fmt: skip
def test_a_damaged_list_stops_the_run(tmp_path, text):
    (tmp_path / LEDGER).write_text(text)
    with pytest.raises(InputError, match="cannot tell its files from yours") as caught:
        write_folder(tmp_path, NEW)
    assert "\n" not in str(caught.value)
    assert list(content(tmp_path)) == []


class Stopped(BaseException):
    """As KeyboardInterrupt: nothing that code for errors would catch."""


METHODS = ("write_bytes", "replace", "mkdir", "unlink")


def interrupt(monkeypatch, method: str, after: int, kind: type[BaseException]) -> list[int]:
    """From now on, the call number ``after`` of a method fails, and all calls are counted."""
    true_method = getattr(Path, method)
    calls: list[int] = []

    def failing(self, *arguments, **named):
        calls.append(1)
        if len(calls) == after + 1:
            raise kind(28, "the disk is full")
        return true_method(self, *arguments, **named)

    monkeypatch.setattr(Path, method, failing)
    return calls


def edited(out: Path) -> dict[str, bytes]:
    """A folder with work of a designer's own in it, and what that is."""
    convert(out, OLD)
    theirs = {"blocks/B_.svg": b"<mine/>", "blocks/notes.txt": b"mine", "faults/A_.svg": b"<drawn on/>"}
    for path, data in theirs.items():
        (out / path).write_bytes(data)
    return theirs


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("after", range(14))
@pytest.mark.parametrize("kind", [OSError, Stopped])
def test_a_failure_at_any_step_leaves_the_old_set(tmp_path, monkeypatch, method, after, kind):
    out = tmp_path / "out"
    edited(out)
    before = content(out)
    with monkeypatch.context() as patched:
        calls = interrupt(patched, method, after, kind)
        try:
            convert(out)
        except (InputError, Stopped):
            failed = True
        else:
            failed = False
    with one_run_at_a_time(out):
        pass
    if failed and method != "unlink":
        assert content(out) == before
    else:
        assert len(calls) <= after or method == "unlink"
        assert (out / "pattern.json").read_text() == "new"
    assert content(out)["blocks/B_.svg"] == b"<mine/>"
    assert content(out)["blocks/notes.txt"] == b"mine"
    assert b"<drawn on/>" in content(out).values()
    assert not [p for p in out.iterdir() if p.name.startswith(".")]


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("after", range(14))
def test_a_run_killed_at_any_step_is_finished_or_undone_by_the_next(tmp_path, monkeypatch, method, after):
    out = tmp_path / "out"
    theirs = edited(out)
    before = content(out)
    child = os.fork()
    if child == 0:
        interrupt(monkeypatch, method, after, lambda *_: os._exit(9))
        convert(out)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    settle(out)
    with one_run_at_a_time(out):
        pass
    now = content(out)
    if now != before:
        moved = {"backups/faults/A_.1.svg": b"<drawn on/>"}
        assert now == encoded(NEW) | {k: v for k, v in theirs.items() if k.startswith("blocks")} | moved
    else:
        assert status
    assert not [p for p in out.iterdir() if p.name.startswith(".")]
    convert(out)
    assert (out / "pattern.json").read_text() == "new"


def test_what_is_saved_between_the_kill_and_the_next_run_stays(tmp_path, monkeypatch):
    for after in range(10):
        out = tmp_path / str(after)
        convert(out, OLD)
        child = os.fork()
        if child == 0:
            interrupt(monkeypatch, "replace", after, lambda *_: os._exit(9))
            convert(out)
            os._exit(0)
        os.waitpid(child, 0)
        (out / "blocks/A_.svg").write_text("<mine/>")
        with one_run_at_a_time(out):
            pass
        assert (out / "blocks/A_.svg").read_text() == "<mine/>"


def test_a_plan_that_cannot_be_read_is_told(tmp_path):
    work = tmp_path / ".font2foundation"
    for text in ("", "[]", '{"steps": [{"path": "../x", "known": "", "is_new": true}], "by_hand": ""}'):
        (work / "old").mkdir(parents=True)
        (work / "old/A_.svg").write_text("mine")
        (work / "plan.json").write_text(text)
        with pytest.raises(InputError, match="look for your files in it"), one_run_at_a_time(tmp_path):
            pass
        assert (work / "old/A_.svg").read_text() == "mine"
        shutil.rmtree(work)


def test_a_failure_leaves_no_folder_that_was_not_there(tmp_path, monkeypatch):
    def failing(self, *_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", failing)
    with pytest.raises(InputError, match="No space left") as caught:
        write_folder(tmp_path / "a" / "b", NEW)
    assert "\n" not in str(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_place_of_the_folder_is_told_and_stays(tmp_path):
    out = tmp_path / "out"
    out.write_text("a letter")
    for attempt in (lambda: write_folder(out, NEW), lambda: one_run_at_a_time(out).__enter__()):
        with pytest.raises(InputError, match="is a file"):
            attempt()
    with pytest.raises(InputError):
        write_folder(out / "below", NEW)
    assert out.read_text() == "a letter"


def test_a_file_where_a_folder_is_to_be_and_the_other_way_round_are_told_and_stay(tmp_path):
    (tmp_path / "blocks").write_text("a file")
    with pytest.raises(InputError, match="where a folder is needed"):
        write_folder(tmp_path, NEW)
    (tmp_path / "blocks").unlink()
    (tmp_path / "report.html").mkdir()
    with pytest.raises(InputError, match="did not write it"):
        write_folder(tmp_path, NEW)
    assert [path.name for path in tmp_path.iterdir()] == ["report.html"]


@pytest.mark.skipif(os.name != "posix", reason="modes of files as POSIX has them")
def test_files_can_be_read_as_the_user_s_own_umask_says(tmp_path):
    plain = tmp_path / "plain.txt"
    plain.write_text("")
    write_folder(tmp_path / "out", NEW)
    assert (tmp_path / "out" / "report.html").stat().st_mode == plain.stat().st_mode
    assert (tmp_path / "out" / "blocks").stat().st_mode & 0o055 == (tmp_path / "out").stat().st_mode & 0o055


def test_each_file_is_flushed_before_it_takes_the_old_one_s_place(tmp_path, monkeypatch):
    convert(tmp_path, OLD)
    done: list[str] = []
    true_sync, true_replace = os.fsync, Path.replace

    def sync(handle):
        done.append("flush " + str(Path(f"/proc/self/fd/{handle}").readlink()).rpartition("/new/")[2])
        return true_sync(handle)

    def replace(self, target):
        done.append(f"move {self.name}" if "/new/" in str(self) else "")
        return true_replace(self, target)

    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr(Path, "replace", replace)
    convert(tmp_path)
    moves = [n for n, what in enumerate(done) if what.startswith("move")]
    for path in (*NEW, LEDGER):
        assert done.index(f"flush {path}") < min(moves)
    assert done[max(moves)] == f"move {LEDGER}"
    assert [what for what in done[max(moves) :] if what.startswith("flush")]


def test_a_single_file_is_whole_or_not_there(tmp_path, monkeypatch):
    path = tmp_path / "new" / "eacute.svg"
    add_file(path, "<svg/>")
    with pytest.raises(InputError, match="already exists and is not overwritten"):
        add_file(path, "<other/>")
    assert content(tmp_path) == {"new/eacute.svg": b"<svg/>"}

    def half(self, data):
        with self.open("wb") as file:
            file.write(data[: len(data) // 2])
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(Path, "write_bytes", half)
        with pytest.raises(InputError, match="No space left"):
            add_file(tmp_path / "new" / "leaf.svg", "<svg/>")
    assert content(tmp_path) == {"new/eacute.svg": b"<svg/>"}
    add_file(tmp_path / "new" / "leaf.svg", "<svg/>")
