"""Reads what an earlier run and a designer left in a folder."""

from collections.abc import Iterable, Mapping
from contextlib import suppress
from glob import escape
from itertools import chain
from pathlib import Path

from converter.budgets import drawings, files
from converter.errors import InputError
from converter.files import read_file
from converter.folder.keeping import BACKUPS, BLOCKS, RECORD, Kept, parse_record, record_lines
from converter.folder.live import VERSION_FILE
from converter.folder.soundness import sound_pattern
from converter.model import Pattern
from converter.output import LEDGER, file_digest, is_inside, settle
from converter.packed import Packed
from converter.papers import PAPERS, Paper, parse_papers
from converter.pattern import from_json, glyph_lines
from converter.report.alternatives import ALTERNATIVES, Alternatives, parse_alternatives

SUMMARIES = ("pattern.json", "report.html", "report.csv", RECORD, ALTERNATIVES, "problems.log", VERSION_FILE)
MOST_SETS = 200  # that are looked for in one place


def read_pattern(folder: Path) -> Pattern:
    """The pattern in a converted folder, once what a killed run left there is finished.

    Raises :class:`InputError` where there is none that can be read.
    """
    settle(folder)
    path = folder / "pattern.json"
    try:
        text = read_file(path, files.PATTERN_BYTES.most)
    except FileNotFoundError:
        raise InputError(f"{folder}: no pattern.json in it; give a folder made by convert.") from None
    try:
        return sound_pattern(from_json(text, str(path)), str(path))
    except RecursionError:  # from Python 3.12 on, JSON is read however deep it is nested
        raise InputError(f"{path} is damaged: nested too deep; run convert again.") from None


def read_papers(folder: Path) -> dict[str, Paper]:
    """The papers that were made from the set in a folder; none where none were. Raises :class:`InputError`."""
    try:
        return parse_papers(read_file(folder / PAPERS, files.PAPERS_BYTES.most))
    except FileNotFoundError:
        return {}


def is_as_made(folder: Path, files: Mapping[str, str]) -> bool:
    """Whether the files (name: hash) are in a folder as they were put there."""
    try:
        return all(file_digest(folder / name) == digest for name, digest in files.items())
    except OSError:
        return False


def read_record(folder: Path) -> Mapping[str, Kept]:
    """What the last run in a folder recorded; nothing where there was none."""
    try:
        return parse_record(read_file(folder / RECORD, files.RECORD_BYTES.most))
    except FileNotFoundError:
        return {}


def read_lines(folder: Path) -> tuple[dict[str, str], dict[str, str]]:
    """The lines of the glyphs in a folder's pattern, and of the blocks in its record, by key, as they stand there."""
    found: list[dict[str, str]] = []
    for name, most, lines in (
        ("pattern.json", files.PATTERN_BYTES.most, glyph_lines),
        (RECORD, files.RECORD_BYTES.most, record_lines),
    ):
        try:
            found.append(lines(read_file(folder / name, most).decode("utf-8")))
        except (FileNotFoundError, ValueError):
            found.append({})
    return found[0], found[1]


def read_alternatives(folder: Path) -> Mapping[str, Alternatives]:
    """The figures to choose from in a folder; none where their file is missing or cannot be read."""
    try:
        return parse_alternatives(read_file(folder / ALTERNATIVES, files.ALTERNATIVES_BYTES.most))
    except (FileNotFoundError, InputError):
        return {}


def read_block_file(path: Path) -> bytes:
    """A block's drawing. Raises :class:`InputError` where it cannot be read or is far too large."""
    try:
        return read_file(path, drawings.BYTES.most)
    except FileNotFoundError:
        raise InputError(f"{path}: there is no such file.") from None


def read_blocks(folder: Path, unreadable: dict[str, str] | None = None) -> Mapping[str, bytes]:
    """Every block's drawing in a folder, by key.

    Hidden files, which some editors leave while they save, are none; nor are links, which may lead anywhere.
    ``unreadable`` is given those that cannot be read, by key, with the reason; without it, the first is raised.
    """
    drawings: Packed[bytes] = Packed()
    for path in _drawings(folder / BLOCKS):
        try:
            drawings[path.stem] = read_block_file(path)
        except InputError as error:
            if unreadable is None:
                raise
            unreadable[path.stem] = str(error)
    return drawings


def read_backups(folder: Path) -> dict[str, bytes]:
    """The drawings that were set aside when edits were discarded, by path in the folder."""
    return {f"{BACKUPS}/{path.name}": read_block_file(path) for path in _drawings(folder / BACKUPS)}


def links(folder: Path) -> list[Path]:
    """What stands among the blocks, is a link, and so is neither read nor written."""
    return [path for path in sorted((folder / BLOCKS).glob("*.svg")) if path.is_symlink()]


def adopted(folder: Path) -> dict[str, str]:
    """The hashes, by path, of what a version of the program wrote that kept no list of its files."""
    if (folder / LEDGER).exists() or not (folder / RECORD).exists():
        return {}
    kept = read_record(folder)
    parts = [f"{part}/{key}.svg" for key in kept for part in ("templates", "faults")]
    drawings = {f"{BLOCKS}/{key}.svg": block.written for key, block in kept.items()}
    return drawings | {path: file_digest(folder / path) for path in (*SUMMARIES, *parts)}


def read_faults(folder: Path) -> dict[str, bytes]:
    """The drawings with faults drawn on them, by the block's key."""
    faulty = {}
    for path in _drawings(folder / "faults"):
        with suppress(InputError):  # they are drawn anew; the report can do without one
            faulty[path.stem] = read_block_file(path)
    return faulty


def _drawings(part: Path) -> list[Path]:
    if part.is_symlink():
        return []
    return [
        path
        for path in sorted(part.glob("*.svg"))
        if path.name[0] != "." and not path.is_symlink() and not path.is_dir()
    ]


def folders_of_sets(place: Path) -> list[Path]:
    """The folders in a place, and in those of its folders, that hold a set; hidden ones and links are passed over."""
    found = []
    for pattern in ("pattern.json", "*/pattern.json", "*/*/pattern.json"):
        for path in sorted(place.glob(pattern)):
            parts = path.relative_to(place).parts
            if not any(part.startswith(".") for part in parts) and not path.is_symlink():
                found.append(path.parent)
    return found[:MOST_SETS]


def found_by_hash(name: str, sha256: str, places: Iterable[Path]) -> Path | None:
    """A file by its name and hash: one of the places itself, or in one of them, two folders deep at the most."""
    if not is_inside(name) or "/" in name:
        return None
    for place in places:
        deep = (place.glob(f"{folders}{escape(name)}") for folders in ("", "*/", "*/*/"))
        for path in [place] if place.is_file() else sorted(chain.from_iterable(deep)):
            with suppress(OSError):
                if file_digest(path) == sha256:
                    return path
    return None
