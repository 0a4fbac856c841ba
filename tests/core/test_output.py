"""A set of files is put in place complete or not at all."""

import os
from pathlib import Path

import pytest

from converter.errors import InputError
from converter.output import write_folder

OLD = {"pattern.json": "old", "blocks/A_.svg": "<old/>", "blocks/B_.svg": "<old/>"}
NEW = {"pattern.json": "new", "blocks/A_.svg": b"<new/>", "report.html": "<p>é</p>"}


def content(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_files_are_written_as_given(tmp_path):
    write_folder(tmp_path / "deep" / "out", NEW)
    assert content(tmp_path / "deep" / "out") == {
        "pattern.json": b"new", "blocks/A_.svg": b"<new/>", "report.html": "<p>é</p>".encode(),
    }  # fmt: skip


def test_a_new_set_replaces_folders_whole_and_leaves_other_things(tmp_path):
    write_folder(tmp_path, OLD)
    (tmp_path / "notes.txt").write_text("mine")
    write_folder(tmp_path, NEW)
    assert sorted(content(tmp_path)) == ["blocks/A_.svg", "notes.txt", "pattern.json", "report.html"]
    assert (tmp_path / "pattern.json").read_text() == "new"


class Stopped(BaseException):
    """As KeyboardInterrupt: nothing that code for errors would catch."""


@pytest.mark.parametrize("method", ["write_bytes", "replace", "mkdir"])
@pytest.mark.parametrize("after", range(8))
@pytest.mark.parametrize("kind", [OSError, Stopped])
def test_a_failure_at_any_step_leaves_the_old_set(tmp_path, monkeypatch, method, after, kind):
    out = tmp_path / "out"
    write_folder(out, OLD)
    before = content(out)
    true_method = getattr(Path, method)
    calls = 0

    def failing(self, *arguments, **named):
        nonlocal calls
        calls += 1
        if calls == after + 1:
            raise kind("the disk is full")
        return true_method(self, *arguments, **named)

    with monkeypatch.context() as patched:
        patched.setattr(Path, method, failing)
        try:
            write_folder(out, NEW)
        except (InputError, Stopped):
            failed = True
        else:
            failed = False
    if failed:
        assert content(out) == before
    else:
        assert calls <= after
        assert (out / "pattern.json").read_text() == "new"
    assert not [p for p in out.iterdir() if p.name.startswith(".")]


def test_a_failure_leaves_no_folder_that_was_not_there(tmp_path, monkeypatch):
    def failing(self, *_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", failing)
    with pytest.raises(InputError, match="No space left") as caught:
        write_folder(tmp_path / "a" / "b", NEW)
    assert "\n" not in str(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_a_file_in_the_way_is_told_and_stays(tmp_path):
    out = tmp_path / "out"
    out.write_text("a letter")
    with pytest.raises(InputError, match="is a file"):
        write_folder(out, NEW)
    assert out.read_text() == "a letter"
    with pytest.raises(InputError):
        write_folder(out / "below", NEW)
    assert out.read_text() == "a letter"


def test_a_file_where_a_folder_is_to_be_and_the_other_way_round(tmp_path):
    (tmp_path / "blocks").write_text("a file")
    (tmp_path / "report.html").mkdir()
    write_folder(tmp_path, NEW)
    assert (tmp_path / "blocks" / "A_.svg").read_bytes() == b"<new/>"
    assert (tmp_path / "report.html").is_file()


@pytest.mark.skipif(os.name != "posix", reason="modes of files as POSIX has them")
def test_files_can_be_read_as_the_user_s_own_umask_says(tmp_path):
    plain = tmp_path / "plain.txt"
    plain.write_text("")
    write_folder(tmp_path / "out", NEW)
    assert (tmp_path / "out" / "report.html").stat().st_mode == plain.stat().st_mode
    assert (tmp_path / "out" / "blocks").stat().st_mode & 0o055 == (tmp_path / "out").stat().st_mode & 0o055
