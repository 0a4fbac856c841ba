"""What commands read themselves: layout files, and what is installed with the program."""

import tomllib
from importlib.metadata import PackageNotFoundError, distribution
from importlib.resources import files
from pathlib import Path
from typing import Any

from converter.budgets.files import LAYOUT_BYTES, NAMES_BYTES
from converter.errors import InputError
from converter.files import read_file
from converter.printing.selection import Only


def read_toml(path: Path) -> dict[str, Any]:
    """What stands in a TOML file. Raises :class:`InputError` where it cannot be read."""
    try:
        return tomllib.loads(read_file(path, LAYOUT_BYTES.most).decode("utf-8-sig"))
    except FileNotFoundError:
        raise InputError(f"{path}: no such file; check the path.") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError(f"{path}: is not a TOML file that can be read ({error}).") from None


def read_only(text: str | None, file: Path | None) -> Only:
    """What is asked for by a text, or by a file of names, one a line; lines with # are passed over.

    Raises :class:`InputError` where the file cannot be read or both are given.
    """
    if file is None:
        return text
    if text is not None:
        raise InputError("--only and --only-from both say what to print; give one.")
    names = read_names(file)
    if not names:
        raise InputError(f"{file}: has no names; write one a line.")
    return names


def read_names(file: Path) -> tuple[str, ...]:
    """The names in a file, one a line; lines that begin with # are passed over. Raises :class:`InputError`."""
    try:
        lines = read_file(file, NAMES_BYTES.most).decode("utf-8-sig").splitlines()
    except FileNotFoundError:
        raise InputError(f"{file}: no such file; check the path.") from None
    except UnicodeDecodeError:
        raise InputError(f"{file}: is not UTF-8 text.") from None
    return tuple(name for line in lines if (name := line.strip().strip("{}").strip()) and name[0] != "#")


def read_own_text(name: str) -> str:
    """A text that this package carries with it."""
    return files("converter.cli").joinpath(name).read_text(encoding="utf-8")


def installed_files(name: str) -> list[Path]:
    """Files of that name that were installed with the program, wherever the installer puts data."""
    try:
        listed = distribution("font2foundation").files or ()
    except PackageNotFoundError:
        return []
    return [Path(str(file.locate())).resolve() for file in listed if file.name == name]
