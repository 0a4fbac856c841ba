"""One run a folder at a time, each starting from a folder that is whole."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from converter.errors import InputError
from converter.output.swap import finish_swap, is_begun

_LOCK = ".lock"


@contextmanager
def one_run_at_a_time(out: Path) -> Iterator[None]:
    """Holds a folder for one run, and finishes first what a killed one left.

    Raises :class:`InputError` where another run holds it.
    """
    new = [folder for folder in (out, *out.parents) if not folder.exists()]
    try:
        lock = _held(out)
    except Timeout:
        raise InputError(f"{out}: another run is using this folder; wait until it has finished.") from None
    except OSError as error:
        raise _unwritable(out, error) from None
    try:
        try:
            finish_swap(out)
        except OSError as error:
            raise _unwritable(out, error) from None
        yield
    finally:
        with suppress(OSError):  # on Windows an open file stays until its lock is let go
            (out / _LOCK).unlink()
        lock.release()
        for folder in new:
            with suppress(OSError):
                folder.rmdir()  # only where nothing was written


def settle(out: Path) -> None:
    """Finishes what a killed run left half moved in a folder, for those who only read there."""
    if is_begun(out):
        with one_run_at_a_time(out):
            pass


def _held(out: Path) -> FileLock:
    while True:
        out.mkdir(parents=True, exist_ok=True)
        lock = FileLock(out / _LOCK, timeout=0)
        lock.acquire()
        if (out / _LOCK).exists():
            return lock
        lock.release()  # of a run that ended, and took its file away, just as this one had opened it


def _unwritable(out: Path, error: OSError) -> InputError:
    if out.exists() and not out.is_dir():
        return InputError(f"{out}: is a file, not a folder; give another --out.")
    return InputError(f"{out}: cannot be written ({error.strerror or error}); give another --out.")
