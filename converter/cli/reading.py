"""Reading what an earlier run left: for the commands that start from a converted folder."""

from collections.abc import Mapping
from pathlib import Path

from converter.errors import InputError
from converter.model import Pattern
from converter.papers import PAPERS, Paper, digest_of, parse_papers
from converter.pattern import from_json

MOST_PATTERN_BYTES = 200_000_000
MOST_PAPERS_BYTES = 50_000_000


def read_papers(folder: Path) -> dict[str, Paper]:
    """The papers that were made from the set in a folder; none where none were. Raises :class:`InputError`."""
    path = folder / PAPERS
    try:
        if path.stat().st_size > MOST_PAPERS_BYTES:
            raise InputError(f"{path}: too large for a record of papers.")
        return parse_papers(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path}: cannot be read ({error}).") from None


def is_as_made(folder: Path, files: Mapping[str, str]) -> bool:
    """Whether the files (name: hash) are in a folder as they were put there."""
    try:
        return all(digest_of((folder / name).read_bytes()) == digest for name, digest in files.items())
    except OSError:
        return False


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
