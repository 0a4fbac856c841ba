"""Option types: what makers write, read by the functions of the library."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from converter.budgets import words as budgets
from converter.errors import InputError
from converter.units import parse_length, parse_size


class Read(click.ParamType):  # type: ignore[type-arg, unused-ignore]  # generic from click 8.4 on
    """An option read by a function that raises InputError; ``name`` stands in the help."""

    def __init__(self, name: str, read: Callable[[str], object], takes_any_bytes: bool = False) -> None:
        self.name = name
        self.read = read
        self.takes_any_bytes = takes_any_bytes

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> object:
        """What the function makes of it; a usage error where it cannot."""
        if not isinstance(value, str):
            return value
        try:
            return self.read(value if self.takes_any_bytes else read_words(value))
        except InputError as error:
            self.fail(str(error), param, ctx)


def read_named_number(text: str) -> tuple[str, float]:
    """A name and its number, from ``wght=800``. Raises :class:`InputError` for anything else."""
    name, sign, number = text.partition("=")
    try:
        if sign and name.strip():
            return name.strip(), float(number)
    except ValueError:
        pass
    raise InputError(f"{text!r} is not like name=number.")


def read_path(text: str) -> Path:
    """A path; an empty one, as from a variable that is not set, would be the folder one is in."""
    if not text.strip():
        raise InputError("a path is empty; write . for the folder you are in.")
    return Path(text)


def read_words(text: str) -> str:
    """Text that can be written into files. Raises :class:`InputError` for what is none."""
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise InputError(f"{text!r} is no text in UTF-8.") from None
    return text


def _read_line(text: str) -> str:
    """A line to be printed on a cover or kept beside a licence."""
    if len(text) > budgets.LINE.most or not text.isprintable():
        raise InputError(f"{text[:40]!r} is no line of at most {budgets.LINE.most} printable characters.")
    return text


LINE = Read("text", _read_line)
PATH = Read("path", read_path, takes_any_bytes=True)
TEXT = Read("text", read_words)
LENGTH = Read("length", parse_length)  # mm
SIZE = Read("size", parse_size)  # width and height, mm
NAMED_NUMBER = Read("name=number", read_named_number)
