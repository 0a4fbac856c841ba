"""Reads what stands on the disk: regular files only, and no more of them than is expected."""

import os
import stat
from pathlib import Path

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
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))  # else a pipe that nobody writes to is waited for


def megabytes(size: int) -> str:
    """A number of bytes in words.

    >>> megabytes(5_000_000)
    '5 MB'
    """
    return f"{size / 1e6:g} MB"
