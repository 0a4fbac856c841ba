"""What a run wrote, so that a later one can tell a designer's work from its own; and one run at a time.

``record.json`` in the folder holds, for each block, the hash of the drawing as the program wrote it, and what a
check needs and the pattern does not hold: the font's own outline in the block, and the size that limits refer to.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from converter.errors import InputError
from converter.model import Ring
from converter.redesign.xml import MOST_BYTES

RECORD = "record.json"
BLOCKS, BACKUPS = "blocks", "backups"
_FORMAT, _VERSION = "font2foundation-record", 1
_LOCK = ".lock"

Outline = tuple[tuple[Ring, ...], ...]  # polygons, each an outer ring and its holes, mm on the block


@dataclass(frozen=True, slots=True)
class Kept:
    """One block as a run left it. ``written`` is the hash of its drawing; empty where none was written."""

    written: str = ""
    size: float = 0.0
    outline: Outline = ()


def digest(content: bytes | str) -> str:
    """The hash by which a file is known again (SHA-256, in hex)."""
    return hashlib.sha256(content.encode("utf-8") if isinstance(content, str) else content).hexdigest()


def record_json(kept: Mapping[str, Kept]) -> str:
    """The text of ``record.json``; one block a line."""
    lines = [
        f"  {json.dumps(key)}: "
        + json.dumps(
            {
                "written": block.written,
                "size": round(block.size, 4),
                "outline": [
                    [[[round(x, 4), round(y, 4)] for x, y in ring] for ring in p] for p in block.outline
                ],
            },
            separators=(",", ":"),
        )
        for key, block in sorted(kept.items())
    ]
    blocks = ",\n".join(lines)
    return f'{{\n "format": "{_FORMAT}",\n "version": {_VERSION},\n "blocks": {{\n{blocks}\n }}\n}}\n'


def parse_record(text: str) -> dict[str, Kept]:
    """What :func:`record_json` wrote. Raises :class:`InputError` for anything else."""
    try:
        data = json.loads(text)
        if data["format"] != _FORMAT or data["version"] != _VERSION:
            raise ValueError("another format")
        return {key: _kept(value) for key, value in data["blocks"].items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise InputError(f"{RECORD} is damaged; without it edits cannot be told apart. Restore it.") from None


def _kept(value: Mapping[str, Any]) -> Kept:
    outline = tuple(tuple(tuple((float(x), float(y)) for x, y in ring) for ring in p) for p in value["outline"])
    return Kept(str(value["written"]), float(value["size"]), outline)


def read_record(folder: Path) -> dict[str, Kept]:
    """What the last run in a folder recorded; nothing where there was none."""
    try:
        return parse_record((folder / RECORD).read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{folder / RECORD}: cannot be read ({error}).") from None


def read_block_file(path: Path) -> bytes:
    """A block's drawing. Raises :class:`InputError` where it cannot be read or is far too large."""
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror or error}).") from None
    if len(data) > MOST_BYTES:
        raise InputError(f"{path}: too large for a block's drawing (more than {MOST_BYTES // 1_000_000} MB).")
    return data


def edited_blocks(folder: Path, kept: Mapping[str, Kept]) -> dict[str, bytes]:
    """The drawings in a folder that are not as the program wrote them, by key: edited, or new by hand."""
    drawings = sorted((folder / BLOCKS).glob("*.svg"))
    found = {path.stem: read_block_file(path) for path in drawings if path.is_file()}
    return {key: data for key, data in found.items() if digest(data) != kept.get(key, Kept()).written}


def backups(folder: Path, discarded: Mapping[str, bytes]) -> dict[str, bytes]:
    """All backups of a folder, those of the ``discarded`` drawings (by key) added under the next free number."""
    paths = sorted((folder / BACKUPS).glob("*")) if discarded else []
    files = {f"{BACKUPS}/{path.name}": path.read_bytes() for path in paths if path.is_file()}
    for key, data in sorted(discarded.items()):
        number = 1
        while f"{BACKUPS}/{key}.{number}.svg" in files:
            number += 1
        files[f"{BACKUPS}/{key}.{number}.svg"] = data
    return files


def discard(edits: Mapping[str, bytes], keys: Sequence[str], folder: Path) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """The edits without those of ``keys``, and the files (path: content) that keep what was dropped.

    Raises :class:`InputError` for a key that has no edit.
    """
    for key in keys:
        if key not in edits:
            there = ", ".join(sorted(edits)) or "none"
            raise InputError(f"{key}: no edit of that block in {folder}; blocks changed by hand: {there}.")
    dropped = {key: edits[key] for key in keys}
    return {key: data for key, data in edits.items() if key not in dropped}, backups(folder, dropped)


@contextmanager
def one_run_at_a_time(folder: Path) -> Iterator[None]:
    """Holds a folder for one run. Raises :class:`InputError` where another run holds it."""
    is_new = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"{folder}: cannot be written ({error.strerror or error}).") from None
    lock = FileLock(folder / _LOCK, timeout=0)
    try:
        with lock:
            try:
                yield
            finally:
                with suppress(OSError):  # on Windows an open file stays until its lock is let go
                    (folder / _LOCK).unlink()
    except Timeout:
        raise InputError(f"{folder}: another run is at work in it; wait for it to end.") from None
    finally:
        if is_new:
            with suppress(OSError):
                folder.rmdir()  # only where nothing was written
