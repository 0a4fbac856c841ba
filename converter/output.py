"""Writes a finished set of files: complete or not at all."""

import shutil
import tempfile
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from converter.errors import InputError

_LOCK = ".lock"


def write_folder(out: Path, files: Mapping[str, bytes | str], outdated: Collection[str] = ()) -> None:
    """Puts the files (relative path with ``/``: content) into the folder ``out``.

    They are made aside and moved into place together. Each top-level name of ``files`` replaces what had that
    name in ``out``, folders whole; ``outdated`` top-level names go unless they are in ``files``; other things in
    ``out`` stay. If anything fails, ``out`` is as it was.
    Raises :class:`InputError` where the folder cannot be written.
    """
    try:
        _write_folder(out, files, outdated)
    except OSError as error:
        raise InputError(
            f"{out}: cannot be written ({error.strerror or error}); give another --out."
        ) from None


def _write_folder(out: Path, files: Mapping[str, bytes | str], outdated: Collection[str]) -> None:
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
            _swap(out, aside, outdated)
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


def _swap(out: Path, aside: Path, outdated: Collection[str]) -> None:
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
        for name in sorted(outdated):
            place = out / name
            if place.exists() and place not in done:
                place.replace(old / name)
                done.append(place)
    except BaseException:
        for place in reversed(done):
            if place.is_dir():
                shutil.rmtree(place, ignore_errors=True)
            else:
                place.unlink(missing_ok=True)
            if (old / place.name).exists():
                (old / place.name).replace(place)
        raise


@contextmanager
def one_run_at_a_time(out: Path) -> Iterator[None]:
    """Holds a folder for one run. Raises :class:`InputError` where another run holds it."""
    is_new = not out.exists()
    try:
        out.mkdir(parents=True, exist_ok=True)
        lock = FileLock(out / _LOCK, timeout=0)
        lock.acquire()
    except Timeout:
        raise InputError(f"{out}: another run is using this folder; wait until it has finished.") from None
    except OSError as error:
        raise InputError(
            f"{out}: cannot be written ({error.strerror or error}); give another --out."
        ) from None
    try:
        yield
    finally:
        with suppress(OSError):  # on Windows an open file stays until its lock is let go
            (out / _LOCK).unlink()
        lock.release()
        with suppress(OSError):
            if is_new:
                out.rmdir()  # only where nothing was written


def add_file(path: Path, content: str) -> None:
    """Writes one new file. Raises :class:`InputError` where there is one already, or it cannot be written."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(content)
    except FileExistsError:
        raise InputError(f"{path}: already exists and is not overwritten.") from None
    except OSError as error:
        raise InputError(f"{path}: cannot be written ({error.strerror or error}).") from None
