"""``font2foundation check``: takes a designer's edits back, and says what they changed."""

import sys
from collections.abc import Sequence
from pathlib import Path
from threading import Event

import click
from rich.table import Table

from converter.checking import check_folder
from converter.cli.lines import shortened
from converter.cli.options import example
from converter.cli.papers import tell_stale
from converter.cli.terminal import Screen, console, escape, show_next
from converter.cli.types import PATH
from converter.errors import InputError
from converter.folder.content import Files
from converter.folder.keeping import BLOCKS
from converter.folder.live import VERSION_FILE, live_report, version_file
from converter.folder.reading import (
    read_block_file,
    read_pattern,
)
from converter.measures import natural_units
from converter.model import BACKGROUND, FIGURE, Block, Fabric, Glyph, Licence, Pattern, Source
from converter.output import digest
from converter.redesign.check import Checked, check_block, plain_key, unread
from converter.redesign.edited import page_size
from converter.settings import Settings

POLL = 0.4  # seconds between looks at the files that are watched
MOST_FAULTS = 5  # told of one block; the copy in ``faults`` shows all

_HELP = """Take in blocks that you edited: update pieces, sewing order, templates and report.

PATH is a folder made by convert, or one or more block drawings (SVG). The lines in the layer "seams" decide; the
coloured shapes in "pieces" say which piece is of which fabric. An edited block must be sewable;
differences from the font are only noted. Blocks are never written to. Where one cannot be
sewn, the faults are drawn on a copy in the folder "faults".
"""


@click.command("check", help=_HELP, epilog=example("check out/village --watch"))
@click.argument("paths", nargs=-1, required=True, type=PATH)
@click.option(
    "--settings",
    "settings_file",
    type=PATH,
    help="Take accepted findings and [pattern] from this file, alphabet.toml.",
)
@click.option("--watch", is_flag=True, help="Check again whenever you save a block, until you press Ctrl-C.")
@click.option("--quiet", is_flag=True, help="Print only what cannot be sewn, in one line per block.")
def check_command(paths: tuple[Path, ...], settings_file: Path | None, watch: bool, quiet: bool) -> None:
    """Checks, writes, says what changed."""
    folders, loose = _sorted_paths(paths)
    if watch:
        if len(folders) != 1 or loose:
            raise InputError("--watch takes one converted folder, or blocks of one.")
        ((folder, keys),) = folders.items()
        _watch(folder, keys, settings_file, quiet)
        return
    checked = [c for folder, keys in folders.items() for c in check_folder(folder, keys, settings_file)]
    checked += [_check_loose(path) for path in loose]
    show_changes(console(), checked, quiet)
    if not quiet:
        for folder in folders:
            tell_stale(console(), folder, read_pattern(folder))
    if folders and not quiet:
        sewable = all(c.is_sewable for c in checked)
        show_next(console(), *(("print",) if sewable else ("check", "--watch")), next(iter(folders)))
    sys.exit(0 if all(c.is_sewable for c in checked) else 1)


def _sorted_paths(paths: Sequence[Path]) -> tuple[dict[Path, list[str]], list[Path]]:
    """Folders with the keys asked for (none: all that changed), and drawings that are in no converted folder."""
    folders: dict[Path, list[str]] = {}
    loose = []
    for path in paths:
        if path.is_dir():
            folders[path] = []
        elif not path.exists():
            raise InputError(f"{path}: no such file or folder; check the path.")
        elif path.parent.name == BLOCKS and (path.parent.parent / "pattern.json").is_file():
            keys = folders.setdefault(path.parent.parent, [])
            if path.stem not in keys:
                keys.append(path.stem)
        else:
            loose.append(path)
    return folders, loose


def _check_loose(path: Path) -> Checked:
    try:
        data = read_block_file(path)
        width, height = page_size(data, f"{plain_key(path.stem)}.svg")
    except InputError as error:
        return unread(path.stem, str(error))
    settings = Settings()
    pattern = Pattern(
        source=Source("none", "0" * 64, "", "", Licence("", "", 0, "unknown")),
        block=Block(width, height, settings.allowance, settings.piece_allowance),
        settings=settings.echo() | {"units": natural_units(width, height)},
        fabrics={
            FIGURE: Fabric("letter", settings.figure_colour),
            BACKGROUND: Fabric("background", settings.background_colour),
        },
        glyphs=(),
    )
    return check_block(pattern, plain_key(path.stem), data)


def _watch(folder: Path, keys: Sequence[str], settings_file: Path | None, quiet: bool) -> None:
    screen = console()
    screen.say(f"watching {folder / BLOCKS}; open {folder / 'report.html'}; press Ctrl-C to stop")
    seen: dict[Path, tuple[int, int]] = {}
    pause = Event()
    try:
        while True:
            now = _stamps(folder)
            if now != seen:
                seen = now
                try:
                    show_changes(screen, check_folder(folder, keys, settings_file, _live), quiet)
                except InputError as error:
                    screen.say(f"error: {shortened(str(error))}")
            pause.wait(POLL)
    except KeyboardInterrupt:
        check_folder(folder, keys, settings_file)  # leaves the report as it is without watching


def _live(files: Files) -> Files:
    version = digest(files["pattern.json"])[:16]
    page = files["report.html"]
    assert isinstance(page, str)
    files.update({"report.html": live_report(page, version), VERSION_FILE: version_file(version)})
    return files


def _stamps(folder: Path) -> dict[Path, tuple[int, int]]:
    stamps = {}
    for path in sorted((folder / BLOCKS).rglob("*.svg")):
        try:
            status = path.stat()
        except OSError:
            continue  # being saved just now
        stamps[path] = (status.st_mtime_ns, status.st_size)
    return stamps


def show_changes(screen: Screen, checked: Sequence[Checked], quiet: bool = False) -> None:
    """A table of what the edits changed, and what is wrong with those that cannot be sewn."""
    if not checked and not quiet:
        screen.print("No block has been edited.")
    if checked and not quiet:
        table = Table(box=None, pad_edge=False, header_style="bold")
        for name in ("block", "sewable", "pieces", "sections", "overlap", "level", "status"):
            table.add_column(name)
        for c in checked:
            table.add_row(*(escape(cell) for cell in _row(c)))
        screen.print(table)
    for c in checked:
        if not c.is_sewable:
            for line in _faults(c, 1 if quiet else MOST_FAULTS):
                screen.say(f"{c.after.key}: {line}", style="red")
        elif c.rebuilt is not None and not quiet:
            for note in c.rebuilt.drawing.notes:
                screen.say(f"{c.after.key}: {note}")


def _faults(c: Checked, most: int) -> list[str]:
    """Why a block cannot be sewn, in so many lines at the most; the last of them says how many more there are."""
    faults = [reason for reason in c.after.reasons if reason.severity == "redesign"]
    lines = [f"{fault.message} {fault.hint}".strip() for fault in faults[:most]]
    if len(faults) > most:
        faults_more = "1 more fault" if len(faults) == most + 1 else f"{len(faults) - most} more faults"
        lines[-1] += f" ({faults_more})"
    return lines


def _row(c: Checked) -> list[str]:
    old, new = (_cells(c.before) if c.before and c.before.pieces else []), _cells(c.after)
    if not c.is_sewable:
        new[:-1] = [""] * (len(new) - 1)
        old[:-1] = [""] * len(old[:-1])
    changes = [b if a == b else f"{a} → {b}" for a, b in zip(old, new, strict=True)] if old else new
    return [c.after.key, "yes" if c.is_sewable else "no", *changes]


def _cells(glyph: Glyph) -> list[str]:
    m = glyph.metrics
    overlap = "–" if m.iou is None else f"{m.iou:.1%}"
    return [str(m.pieces), str(m.sections), overlap, m.level, glyph.status]
