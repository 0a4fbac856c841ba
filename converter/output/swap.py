"""Moves prepared files into their places, so that a run that is killed at any moment can be finished by the next.

Everything lies in one hidden folder of the folder that is written: ``new/`` has the files to come, ``old/`` takes
those that give way, and ``plan.json``, which is there only once ``new/`` is whole and on the disk, says what is to
be moved. Each step looks at what it finds, so that all of them can be done again from the start.
"""

import hashlib
import json
import os
import shutil
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from converter.budgets.files import PLAN_BYTES
from converter.errors import InputError
from converter.files import parse_json, read_file
from converter.output.ledger import is_inside

WORK = ".font2foundation"
BACKUPS = "backups"
_NEW, _OLD, _PLAN = "new", "old", "plan.json"


@dataclass(frozen=True, slots=True)
class Step:
    """One place: the hash of what may give way there, and whether something new comes."""

    path: str
    known: str
    is_new: bool


@dataclass(frozen=True, slots=True)
class Plan:
    """The steps in their order.

    In the folder ``by_hand``, what is not as it is known keeps its place; elsewhere it goes to ``backups/``.
    """

    steps: tuple[Step, ...]
    by_hand: str = ""


class Swap:
    """One set of files on its way into the folder ``out``."""

    def __init__(self, out: Path, plan: Plan) -> None:
        self._out, self._plan = out, plan
        self._work = out / WORK
        self._backed_up: list[tuple[Path, Path]] = []

    def prepare(self, files: Iterable[tuple[str, bytes | str]]) -> None:
        """Writes the new files (path, content) aside, one by one, and the plan once they are on the disk.

        On failure nothing is left.
        """
        self._work.mkdir()
        try:
            self._write(files)
        except BaseException:
            shutil.rmtree(self._work, ignore_errors=True)
            raise

    def _write(self, files: Iterable[tuple[str, bytes | str]]) -> None:
        new = self._work / _NEW
        paths = [new / step.path for step in self._plan.steps if step.is_new]
        folders = {path.parent for path in paths}
        for folder in folders | {new, self._work / _OLD}:
            folder.mkdir(parents=True, exist_ok=True)
        for name, content in files:
            (new / name).write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
        for path in paths:  # written first and flushed then, so that the disk can do most of it at once
            _flush(path)
        for folder in folders:
            flush_folder(folder)
        unfinished = self._work / f"{_PLAN}.part"
        write_flushed(unfinished, json.dumps(asdict(self._plan)).encode("utf-8"))
        flush_folder(self._work)
        unfinished.replace(self._work / _PLAN)
        flush_folder(self._work)
        flush_folder(self._out)

    def run(self) -> None:
        """Moves everything. If that fails, everything is as it was."""
        try:
            self._move_all()
        except BaseException:
            self._undo()
            raise
        self._end()

    def finish(self) -> None:
        """Does what is left to do of a swap that was begun."""
        self._move_all()
        self._end()

    def _move_all(self) -> None:
        for step in self._plan.steps:
            self._move(step)
        for step in self._plan.steps:
            old = self._work / _OLD / step.path
            if old.exists() and file_digest(old) != step.known:
                backup = _free(self._out / BACKUPS / step.path)
                backup.parent.mkdir(parents=True, exist_ok=True)
                old.replace(backup)
                self._backed_up.append((old, backup))
        for folder in {(self._out / step.path).parent for step in self._plan.steps}:
            flush_folder(folder)

    def _move(self, step: Step) -> None:
        place, new, old = self._places(step)
        if is_there(place) and not old.exists() and (new.exists() or not step.is_new):
            if place.is_symlink() or not place.is_file():
                return  # it has come to be there since the plan was made, and is nobody's that could give way
            old.parent.mkdir(parents=True, exist_ok=True)
            place.replace(old)
        by_hand = self._plan.by_hand and step.path.startswith(f"{self._plan.by_hand}/")
        if (
            by_hand and old.exists() and file_digest(old) != step.known
        ):  # looked at where nobody saves any more
            if not is_there(place):
                old.replace(place)
        elif step.is_new and new.exists() and not is_there(place):
            place.parent.mkdir(parents=True, exist_ok=True)
            new.replace(place)

    def _undo(self) -> None:
        for old, backup in self._backed_up:
            backup.replace(old)
        for step in reversed(self._plan.steps):
            place, new, old = self._places(step)
            if step.is_new and not new.exists() and place.is_file():
                place.replace(new)
            if old.exists() and not is_there(place):
                old.replace(place)
        self._end()

    def _places(self, step: Step) -> tuple[Path, Path, Path]:
        return self._out / step.path, self._work / _NEW / step.path, self._work / _OLD / step.path

    def _end(self) -> None:
        (self._work / _PLAN).unlink(missing_ok=True)  # first, so that it is not followed once more
        shutil.rmtree(self._work, ignore_errors=True)
        places = [self._out / step.path for step in self._plan.steps] + [b for _, b in self._backed_up]
        for folder in {folder for place in places for folder in place.parents if self._out in folder.parents}:
            with suppress(OSError):
                folder.rmdir()  # only where it is empty


def finish_swap(out: Path) -> None:
    """Finishes what a killed run had begun in a folder, or takes it away where it was not all written.

    Raises :class:`InputError` where the plan cannot be read: what was moved aside may be a designer's.
    """
    work = out / WORK
    if work.is_symlink() or not work.is_dir():
        return
    try:
        plan = _plan(parse_json(read_file(work / _PLAN, PLAN_BYTES.most)))
    except FileNotFoundError:
        shutil.rmtree(work, ignore_errors=True)
        return
    except (ValueError, KeyError, TypeError):
        raise InputError(
            f"{work / _PLAN} is damaged; move {work} away, and look for your files in it."
        ) from None
    Swap(out, plan).finish()


def _plan(data: Any) -> Plan:
    steps = tuple(Step(**step) for step in data["steps"])
    by_hand = data["by_hand"]
    if not isinstance(by_hand, str) or not all(is_inside(s.path) and isinstance(s.known, str) for s in steps):
        raise ValueError("no plan")
    return Plan(steps, by_hand)


def is_begun(out: Path) -> bool:
    """Whether files wait in a folder to be moved into their places."""
    return (out / WORK / _PLAN).exists()


def file_digest(path: Path) -> str:
    """The hash of a regular file; empty where there is none."""
    if path.is_symlink() or not path.is_file():
        return ""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def is_there(path: Path) -> bool:
    """Whether a path leads to anything, be it a link that leads nowhere."""
    return path.exists() or path.is_symlink()


def write_flushed(path: Path, content: bytes) -> None:
    """Writes a file, and waits until the disk has it."""
    path.write_bytes(content)
    _flush(path)


def _flush(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def flush_folder(folder: Path) -> None:
    """Waits until the disk knows the names in a folder, where the system can say so (Windows cannot)."""
    if os.name != "posix" or not folder.is_dir():
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _free(place: Path) -> Path:
    """The place with the next free number in its name."""
    number = 1
    while is_there(free := place.with_name(f"{place.stem}.{number}{place.suffix}")):
        number += 1
    return free
