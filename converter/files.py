"""Reads what stands on the disk: regular files of bounded size, and JSON as its standard has it."""

import json
import math
import os
import re
import stat
from pathlib import Path
from typing import Any

from converter.budgets.files import DIGITS
from converter.errors import InputError


def read_file(path: Path, most: int) -> bytes:
    """The content of a regular file of at most so many bytes.

    A pipe or a device is not waited for. Raises :class:`InputError` for what is no such file or cannot be read,
    and FileNotFoundError where there is nothing.
    """
    try:
        with open(path, "rb", opener=_at_once) as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise InputError(f"{path}: is no regular file.")
            data = file.read(most + 1)
    except FileNotFoundError:
        raise
    except (OSError, ValueError) as error:  # ValueError: a zero character in the path
        raise InputError(f"{path}: cannot be read ({getattr(error, 'strerror', None) or error}).") from None
    if len(data) > most:
        raise InputError(f"{path}: too large (more than {megabytes(most)}).")
    return data


def _at_once(path: str, flags: int) -> int:
    return os.open(
        path, flags | getattr(os, "O_NONBLOCK", 0)
    )  # else a pipe that nobody writes to is waited for


def megabytes(size: int) -> str:
    """A number of bytes in words.

    >>> megabytes(5_000_000)
    '5 MB'
    """
    return f"{size / 1e6:g} MB"


def parse_json(text: str | bytes) -> Any:
    """The data in a JSON text as RFC 8259 has it: finite numbers, of not too many digits, and text that is text.

    Raises ValueError for anything else, nested too deep as well.
    """
    try:
        data = json.loads(text, parse_float=_finite, parse_int=_short, parse_constant=_finite)
    except RecursionError:
        raise ValueError("nested too deep") from None
    if _LONE_SURROGATE.search(text if isinstance(text, str) else text.decode("utf-8")):
        json.dumps(data, ensure_ascii=False).encode("utf-8")  # UnicodeEncodeError is a ValueError
    return data


_LONE_SURROGATE = re.compile(r"\\u[dD][89a-fA-F]")


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(f"{text[:20]} is no finite number")
    return number


def _short(text: str) -> int:
    if len(text) > DIGITS.most:
        raise ValueError(f"a number of {len(text)} digits")
    return int(text)
