"""``font2foundation print``: the documents of a converted set, to print and sew from."""

from pathlib import Path
from typing import Any

import click
from click.core import ParameterSource

from converter.artwork import stored_pictures
from converter.cli.options import (
    FRAME,
    FRAME_FABRIC,
    FRAME_SIDES,
    PAPER,
    QUIET,
    REDESIGN,
    ROUND_TO,
    SET,
    UNITS_OPTION,
    example,
    out_option,
    read_frame,
)
from converter.cli.papers import PaperCommand, make_stale, record, tell_stale
from converter.cli.reading import read_only
from converter.cli.terminal import console, say_left_out, show_next, stages
from converter.cli.types import LINE, PATH, TEXT
from converter.drawing.labels import tag
from converter.errors import InputError
from converter.folder.content import Files
from converter.folder.reading import read_pattern
from converter.folder.surviving import survived
from converter.measures import Units, units_of
from converter.model import Pattern
from converter.output import check_places, one_run_at_a_time, write_folder
from converter.printing import Job, prepare, set_pages
from converter.printing.documents import DOCUMENTS
from converter.printing.paper import PaperName
from converter.printing.selection import Only, select
from converter.printing.wording import counted
from converter.words.framing import frame_pattern

_PRINT_HELP = """Make PDFs of the converted set in DIR, to print at actual size.

Writes instructions.pdf, characters.pdf (one character a page), sheets.pdf (all templates on the fewest pages),
proof.pdf (for testers) and colouring.pdf (to colour in). Everything lies in the area that A4 and US Letter share. With
a frame, its strips are pieces of the templates.
"""


@click.command(
    "print",
    cls=PaperCommand,
    help=_PRINT_HELP,
    epilog=example("print out/village --only KELP --paper letter"),
)
@SET
@out_option("DIR/print")
@PAPER
@click.option(
    "--only",
    type=TEXT,
    metavar="TEXT",
    help="Print only what this text needs, like KELP; {leaf} is a symbol by its name, {sea-*} all of such names.",
)
@click.option(
    "--only-from",
    type=PATH,
    metavar="FILE",
    help="Print only the symbols named in this file, one name or pattern a line.",
)
@UNITS_OPTION
@FRAME
@FRAME_SIDES
@FRAME_FABRIC
@ROUND_TO
@REDESIGN
@click.option(
    "--date", type=LINE, default="", metavar="TEXT", help="Print this date on the cover, as you write it."
)
@click.option(
    "--stale",
    is_flag=True,
    help="Make anew, as they were made, the papers of DIR that are out of date; all else stays.",
)
@QUIET
def print_command(
    folder: Path, out: Path | None, paper: PaperName, only: str | None, only_from: Path | None, units: Units | None,
    round_to: float | None, include_redesign: bool, date: str, stale: bool, quiet: bool, **given: Any,
) -> None:  # fmt: skip
    """Reads the pattern, sets the pages, writes, reports."""
    if stale:
        _check_alone()
        make_stale(folder, quiet)
        return
    wanted = read_only(only, only_from)
    pattern, target = read_pattern(folder), out or folder / "print"
    units = units or units_of(pattern)
    if frame := read_frame(given):
        printed = {glyph.key for glyph in select(pattern, wanted, include_redesign).glyphs}
        pattern = frame_pattern(pattern, frame, units, printed)
    with one_run_at_a_time(target), stages(quiet) as tell:
        check_places(target, DOCUMENTS)
        pictures = stored_pictures(folder, pattern)

        def set_all(pattern: Pattern, only: Only = wanted) -> tuple[Job, Files]:
            job = prepare(
                pattern,
                paper=paper,
                only=only,
                units=units,
                round_to=round_to,
                include_redesign=include_redesign,
                date=date,
                pictures=pictures,
                tell=tell,
            )
            return job, dict(set_pages(job, tell))

        (job, files), _, logs = survived(pattern, set_all, lambda some: set_all(some, None))
        write_folder(target, files)
    say_left_out(logs)
    record(folder, target, files, None if wanted is None else [g.key for g in job.selection.glyphs])
    if not quiet:
        _report(job, target)
        tell_stale(console(), folder, read_pattern(folder), target)
        show_next(console(), "fabric", folder)


def _check_alone() -> None:
    ctx = click.get_current_context()
    said = [name for name in ctx.params if ctx.get_parameter_source(name) is ParameterSource.COMMANDLINE]
    others = sorted(set(said) - {"folder", "stale", "quiet"})
    if others:
        option = others[0].replace("_", "-")
        raise InputError(
            f"--stale makes papers as they were made; leave --{option} out, or leave --stale out."
        )


def _report(job: Job, folder: Path) -> None:
    screen = console()
    sheets = job.sheets
    split = f", {counted(len(sheets.splits), 'template')} in parts" if sheets.splits else ""
    lines = [
        f"{counted(len(job.selection.glyphs), 'character')}, "
        f"{counted(sum(len(t) for t in job.templates.values()), 'template')}",
        f"sheets.pdf: {counted(sheets.pages, 'page')}"
        + (
            f" ({len(sheets.packed)} packed; {sheets.by_area:.2f} by the templates' area{split})"
            if sheets.packed
            else split
        ),
    ]
    if job.selection.left_out:
        left_out = ", ".join(tag(glyph) for glyph in job.selection.left_out)
        lines.append(f"left out until redesigned: {left_out} (print them with --include-redesign)")
    lines.append(f"documents: {folder}")
    for line in lines:
        screen.say(line)
