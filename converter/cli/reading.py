"""Reading what an earlier run left: for the commands that start from a converted folder."""

from pathlib import Path

from converter.errors import InputError
from converter.files import read_file
from converter.model import Pattern
from converter.output import settle
from converter.pattern import from_json

MOST_PATTERN_BYTES = 200_000_000


def read_pattern(folder: Path) -> Pattern:
    """The pattern in a converted folder, once what a killed run left there is finished.

    Raises :class:`InputError` where there is none that can be read.
    """
    settle(folder)
    path = folder / "pattern.json"
    try:
        text = read_file(path, MOST_PATTERN_BYTES).decode("utf-8")
    except FileNotFoundError:
        raise InputError(f"{folder}: no pattern.json in it; give a folder made by convert.") from None
    except UnicodeDecodeError as error:
        raise InputError(f"{path}: cannot be read ({error}).") from None
    return from_json(text, str(path))
