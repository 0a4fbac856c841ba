"""Reads what an earlier run and a designer left in a folder."""

import os
import stat
from pathlib import Path

from converter.errors import InputError
from converter.folder.keeping import BACKUPS, BLOCKS, RECORD, Kept, parse_record
from converter.model import Pattern
from converter.pattern import from_json
from converter.report.alternatives import ALTERNATIVES, Alternatives, parse_alternatives

MOST_PATTERN_BYTES = 200_000_000
MOST_DRAWING_BYTES = 16_000_000  # a block of a hundred pieces has 50,000


def read_pattern(folder: Path) -> Pattern:
    """The pattern in a converted folder. Raises :class:`InputError` where there is none that can be read."""
    path = folder / "pattern.json"
    try:
        if path.stat().st_size > MOST_PATTERN_BYTES:
            raise InputError(f"{path}: too large for a pattern file.")
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise InputError(f"{folder}: no pattern.json in it; give a folder made by convert.") from None
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path}: cannot be read ({error}).") from None
    return from_json(text, str(path))


def read_record(folder: Path) -> dict[str, Kept]:
    """What the last run in a folder recorded; nothing where there was none."""
    try:
        return parse_record((folder / RECORD).read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{folder / RECORD}: cannot be read ({error}).") from None


def read_alternatives(folder: Path) -> dict[str, Alternatives]:
    """The figures to choose from in a folder; none where their file is missing or cannot be read."""
    try:
        return parse_alternatives((folder / ALTERNATIVES).read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError):
        return {}


def read_block_file(path: Path) -> bytes:
    """A block's drawing. Raises :class:`InputError` where it cannot be read or is far too large."""
    try:
        with open(path, "rb", opener=_at_once) as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise InputError(f"{path}: is no regular file.")
            data = file.read(MOST_DRAWING_BYTES + 1)
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror or error}).") from None
    if len(data) > MOST_DRAWING_BYTES:
        raise InputError(
            f"{path}: too large for a block's drawing (more than {MOST_DRAWING_BYTES // 1_000_000} MB)."
        )
    return data


def _at_once(path: str, flags: int) -> int:
    return os.open(
        path, flags | getattr(os, "O_NONBLOCK", 0)
    )  # else a pipe that nobody writes to is waited for


def read_blocks(folder: Path, unreadable: dict[str, str] | None = None) -> dict[str, bytes]:
    """Every block's drawing in a folder, by key; hidden files, which some editors leave while they save, are not.

    ``unreadable`` is given those that cannot be read, by key, with the reason; without it, the first is raised.
    """
    drawings = {}
    for path in sorted((folder / BLOCKS).glob("*.svg")):
        if path.is_dir() or path.name[0] == ".":
            continue
        try:
            drawings[path.stem] = read_block_file(path)
        except InputError as error:
            if unreadable is None:
                raise
            unreadable[path.stem] = str(error)
    return drawings


def read_backups(folder: Path) -> dict[str, bytes]:
    """The drawings that were set aside when edits were discarded, by path in the folder."""
    paths = sorted((folder / BACKUPS).glob("*.svg"))
    return {f"{BACKUPS}/{path.name}": read_block_file(path) for path in paths if path.is_file()}


def read_files(folder: Path, part: str) -> dict[str, bytes]:
    """All files directly in one part of a folder, by path in the folder."""
    try:
        return {
            f"{part}/{path.name}": path.read_bytes()
            for path in sorted((folder / part).glob("*"))
            if path.is_file()
        }
    except OSError as error:
        raise InputError(f"{folder / part}: cannot be read ({error.strerror or error}).") from None
