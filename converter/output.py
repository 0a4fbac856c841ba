"""Writes a finished set of files: complete or not at all."""

import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from converter.errors import InputError


def write_folder(out: Path, files: Mapping[str, bytes | str]) -> None:
    """Puts the files (relative path with ``/``: content) into the folder ``out``.

    They are made aside and moved into place together. Each top-level name of ``files`` replaces what had that
    name in ``out``, folders whole; other things in ``out`` stay. If anything fails, ``out`` is as it was.
    Raises :class:`InputError` where the folder cannot be written.
    """
    try:
        _write_folder(out, files)
    except OSError as error:
        raise InputError(f"{out}: cannot be written ({error.strerror or error}); give another --out.") from None


def _write_folder(out: Path, files: Mapping[str, bytes | str]) -> None:
    if out.exists() and not out.is_dir():
        raise InputError(f"{out}: is a file, not a folder; give another --out.")
    new_parents = [p for p in (out, *out.parents) if not p.exists()]
    out.mkdir(parents=True, exist_ok=True)
    try:
        with _aside(out) as aside:
            for name, content in files.items():
                path = aside / "new" / name
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
            _swap(out, aside)
    except BaseException:
        for parent in new_parents:  # leave nothing behind that was not there
            if parent.is_dir() and not any(parent.iterdir()):
                parent.rmdir()
        raise


@contextmanager
def _aside(out: Path) -> Iterator[Path]:
    aside = Path(tempfile.mkdtemp(prefix=".making-", dir=out))
    try:
        yield aside
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def _swap(out: Path, aside: Path) -> None:
    old = aside / "old"
    old.mkdir()
    done: list[Path] = []
    try:
        for new in sorted((aside / "new").iterdir()):
            place = out / new.name
            if place.exists():
                place.replace(old / new.name)
            done.append(place)
            new.replace(place)
    except BaseException:
        for place in reversed(done):
            if place.is_dir():
                shutil.rmtree(place, ignore_errors=True)
            else:
                place.unlink(missing_ok=True)
            if (old / place.name).exists():
                (old / place.name).replace(place)
        raise
