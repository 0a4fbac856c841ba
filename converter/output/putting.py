"""Puts a finished set of files into a folder: complete or not at all, beside what others keep there."""

from collections.abc import Collection, Mapping
from contextlib import suppress
from itertools import chain
from pathlib import Path

from converter.errors import InputError
from converter.output.ledger import LEDGER, digest, is_inside, ledger_text, read_ledger
from converter.output.swap import Plan, Step, Swap, file_digest, flush_folder, is_there, write_flushed


def write_folder(
    out: Path,
    files: Mapping[str, bytes | str],
    outdated: Collection[str] = (),
    by_hand: str = "",
    known: Mapping[str, str] | None = None,
) -> list[str]:
    """Puts the files (relative path with ``/``: content) into the folder ``out``, which the caller holds.

    They are written aside, flushed to the disk and moved into place together; if anything fails, ``out`` is as it
    was, and what a killed run leaves is finished by the next one that holds the folder. Of the files that
    ``written.json`` lists, those in ``outdated`` (paths, or folders) go unless they are in ``files``.

    Whatever the program did not write stays. One of its own files that was changed since goes to ``backups/``
    before its place is taken; in the folder ``by_hand``, a changed file keeps its place, and its path is in what is
    returned. ``known``: hashes by path that go before those in ``written.json``; an empty one fits no file.
    Raises :class:`InputError` where the folder cannot be written, or another's file is in the way.
    """
    new = [folder for folder in (out, *out.parents) if not folder.exists()]
    try:
        out.mkdir(parents=True, exist_ok=True)
        return _write_folder(out, files, outdated, by_hand, known or {})
    except BaseException as error:
        for folder in new:  # leave nothing behind that was not there
            with suppress(OSError):
                folder.rmdir()
        if isinstance(error, OSError):
            if is_there(out) and not out.is_dir():
                raise InputError(f"{out}: is a file, not a folder; give another --out.") from None
            raise InputError(
                f"{out}: cannot be written ({error.strerror or error}); give another --out."
            ) from None
        raise


def _write_folder(
    out: Path,
    files: Mapping[str, bytes | str],
    outdated: Collection[str],
    by_hand: str,
    known: Mapping[str, str],
) -> list[str]:
    ours = {path: at_last for path, at_last in {**read_ledger(out), **known}.items() if at_last}
    gone = [
        path
        for path in ours
        if path not in files and any(path == name or _is_in(name, path) for name in outdated)
    ]
    _check_folders(out, (*files, *gone))
    _check_files(out, files, ours, by_hand)
    hashes = {path: digest(content) for path, content in files.items()}
    changed = [path for path in files if file_digest(out / path) != hashes[path]]
    ledger = ledger_text({path: at_last for path, at_last in ours.items() if path not in gone} | hashes)
    last = {}  # moved once all that it lists is in place
    if file_digest(out / LEDGER) != digest(ledger):
        last[LEDGER], ours[LEDGER] = ledger, file_digest(out / LEDGER)
    if changed or last:
        new = {*changed, *last}
        order = [*sorted({*new, *gone} - {LEDGER}), *last]
        swap = Swap(out, Plan(tuple(Step(path, ours.get(path, ""), path in new) for path in order), by_hand))
        swap.prepare(chain(((path, files[path]) for path in changed), last.items()))
        swap.run()
    return [path for path in changed if _is_in(by_hand, path) and file_digest(out / path) != hashes[path]]


def check_places(out: Path, paths: Collection[str], known: Collection[str] = ()) -> None:
    """Raises :class:`InputError` where files to be written would take the place of what the program did not write.

    For those who want to know before a long run; :func:`write_folder` looks for itself. ``known``: paths of what the
    program wrote, besides those in ``written.json``.
    """
    if out.is_dir():
        _check_folders(out, paths)
        _check_files(out, paths, {*read_ledger(out), *known}, "")


def _check_folders(out: Path, paths: Collection[str]) -> None:
    for path in paths:
        if not is_inside(path):
            raise InputError(f"{path!r} is no name for a file.")
    for folder in sorted({folder for path in paths for folder in list(Path(path).parents)[:-1]}):
        place = out / folder
        if place.is_symlink() or (place.exists() and not place.is_dir()):
            raise InputError(
                f"{place}: is a link or a file where a folder is needed; move it away, or give another --out."
            )


def _check_files(out: Path, paths: Collection[str], ours: Collection[str], by_hand: str) -> None:
    for path in paths:
        place = out / path
        if _is_in(by_hand, path):
            continue
        if is_there(place) and (place.is_symlink() or not place.is_file() or path not in ours):
            raise InputError(
                f"{place}: is there, and this program did not write it; move it away, or give another --out."
            )


def _is_in(folder: str, path: str) -> bool:
    return bool(folder) and path.startswith(f"{folder}/")


def add_file(path: Path, content: str) -> None:
    """Writes one new file, complete or not at all.

    Raises :class:`InputError` where there is one already, or it cannot be written.
    """
    aside = path.with_name(f".{path.name[:100]}.making")
    try:
        if is_there(path):
            raise FileExistsError
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            write_flushed(aside, content.encode("utf-8"))
            _put(aside, path)
        finally:
            aside.unlink(missing_ok=True)
        flush_folder(path.parent)
    except FileExistsError:
        raise InputError(f"{path}: already exists and is not overwritten.") from None
    except OSError as error:
        raise InputError(f"{path}: cannot be written ({error.strerror or error}).") from None


def replace_file(path: Path, content: str, known: str) -> None:
    """Writes a file in the place of one whose hash is ``known`` (empty: of none), complete or not at all.

    Raises :class:`InputError` where another has come to be there, or it cannot be written.
    """
    if not known:
        add_file(path, content)
        return
    aside = path.with_name(f".{path.name[:100]}.making")
    try:
        try:
            write_flushed(aside, content.encode("utf-8"))
            if file_digest(path) != known:
                raise InputError(f"{path}: was saved by somebody else just now; look at it, and try again.")
            aside.replace(path)
        finally:
            aside.unlink(missing_ok=True)
        flush_folder(path.parent)
    except OSError as error:
        raise InputError(f"{path}: cannot be written ({error.strerror or error}).") from None


def _put(aside: Path, path: Path) -> None:
    try:
        path.hardlink_to(aside)  # unlike a renaming, it fails where another file has come to be there
    except FileExistsError:
        raise
    except OSError:  # a disk without links
        aside.rename(path)
