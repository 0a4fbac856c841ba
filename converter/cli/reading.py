"""Reading what an earlier run left: for the commands that start from a converted folder."""

from pathlib import Path

from converter.errors import InputError
from converter.model import Pattern
from converter.pattern import from_json

MOST_PATTERN_BYTES = 200_000_000


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
