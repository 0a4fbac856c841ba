"""Whether files have changed, told without reading them."""

from collections.abc import Iterable
from pathlib import Path

Stamps = dict[str, tuple[int, int, int]]


def stamps_of(paths: Iterable[Path]) -> Stamps:
    """When files were changed last, their sizes and places on the disk; those that are not there are left out."""
    stamps = {}
    for path in paths:
        try:
            status = path.stat()
        except OSError:
            continue  # not there, or being saved just now
        stamps[str(path)] = (status.st_mtime_ns, status.st_size, status.st_ino)
    return stamps
