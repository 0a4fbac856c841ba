"""A folder of small files, each found by its key alone: for what may be lost at any time and made anew.

Several processes may use it at once. A file is whole from the moment it has its name, since it gets that by a renaming;
whoever finds none, or one that was damaged, goes on without.
"""

import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from threading import get_ident

from converter.errors import InputError
from converter.files import read_file

MOST_ENTRY_BYTES = 16_000_000  # a block of a hundred pieces with its other figures has 30,000
_ROOM_LEFT = 0.9  # of the most: what trimming goes down to, so that the next run need not trim again


@dataclass(frozen=True, slots=True)
class Entries:
    """The files in ``folder``, by keys of hexadecimal digits."""

    folder: Path

    def _place(self, key: str) -> Path:
        return self.folder / key[:2] / key[2:]

    def read(self, key: str) -> bytes | None:
        """What was written under a key; None where there is nothing that can be read. It counts as used."""
        place = self._place(key)
        try:
            data = read_file(place, MOST_ENTRY_BYTES)
        except (OSError, InputError):
            return None
        with suppress(OSError):
            os.utime(place)
        return data

    def write(self, key: str, data: bytes) -> bool:
        """Keeps something under a key, in place of what was there; False where the disk does not take it.

        Not flushed: what a power cut leaves half written is found damaged, and costs no more than making it anew.
        """
        place = self._place(key)
        # Two machines that share a folder may choose one name here; what they write under one key is the same.
        aside = place.with_name(f"{place.name}.{os.getpid()}-{get_ident()}")
        try:
            place.parent.mkdir(parents=True, exist_ok=True)
            aside.write_bytes(data)
            aside.replace(place)
        except OSError:
            with suppress(OSError):
                aside.unlink()
            return False
        return True

    def usage(self) -> tuple[int, int]:
        """How many files there are, and their bytes."""
        sizes = [size for _, size, _ in self._files()]
        return len(sizes), sum(sizes)

    def trim(self, most: int) -> None:
        """Takes away what was not used for longest, if there are more than so many bytes."""
        files = sorted(self._files(), key=lambda file: (file[0], str(file[2])))
        left = sum(size for _, size, _ in files)
        if left <= most:
            return
        for _, size, path in files:
            if left <= most * _ROOM_LEFT:
                break
            with suppress(OSError):  # another process trims, too
                path.unlink()
            left -= size

    def empty(self) -> int:
        """Takes everything away; gives how many files that were. Only what has a name as written here goes."""
        gone = 0
        for _, _, path in self._files():
            with suppress(OSError):
                path.unlink()
                gone += 1
        for part in self._parts():
            with suppress(OSError):
                part.rmdir()
        return gone

    def _parts(self) -> Iterator[Path]:
        with suppress(OSError):
            yield from (p for p in sorted(self.folder.iterdir()) if len(p.name) == 2 and _is_hex(p.name))

    def _files(self) -> Iterator[tuple[int, int, Path]]:
        """When each was last used, its size, its path; also of those whose writer was killed."""
        for part in self._parts():
            with suppress(OSError), os.scandir(part) as files:
                for file in files:
                    with suppress(OSError):  # gone since
                        if _is_hex(file.name.partition(".")[0]) and file.is_file(follow_symlinks=False):
                            status = file.stat()
                            yield status.st_mtime_ns, status.st_size, Path(file.path)


def _is_hex(name: str) -> bool:
    return bool(name) and not set(name) - set("0123456789abcdef")
