"""``font2foundation contact``: every block of a set at a glance."""

from pathlib import Path

import click

from converter.cli.options import PAPER, QUIET, SET, UNITS_OPTION, example, out_option
from converter.cli.papers import PaperCommand, record
from converter.cli.reading import read_only
from converter.cli.terminal import console, show_next, stages
from converter.cli.types import PATH, TEXT
from converter.folder.reading import read_pattern
from converter.measures import Units, units_of
from converter.output import one_run_at_a_time, write_folder
from converter.printing.contact import contact_sheet
from converter.printing.paper import PaperName
from converter.printing.selection import chosen_glyphs
from converter.printing.wording import counted

_HELP = """Show every block of the converted set in DIR at a glance, small, with its name and status.

Writes contact.pdf, and a picture (PNG) of each of its pages.
"""


@click.command("contact", cls=PaperCommand, help=_HELP, epilog=example("contact out/village --columns 8"))
@SET
@out_option("DIR/contact")
@PAPER
@click.option(
    "--only", type=TEXT, help="Show only these, like KELP; {leaf} is a symbol, {sea-*} all of such names."
)
@click.option(
    "--only-from", type=PATH, metavar="FILE", help="Show only the symbols named in this file, one a line."
)
@click.option(
    "--columns", type=click.IntRange(2, 20), default=10, show_default=True, help="Blocks beside each other."
)
@UNITS_OPTION
@QUIET
def contact_command(
    folder: Path, out: Path | None, paper: PaperName, only: str | None, only_from: Path | None, columns: int,
    units: Units | None, quiet: bool,
) -> None:  # fmt: skip
    """Reads the set, sets the pages, writes, reports."""
    wanted = read_only(only, only_from)
    pattern, target = read_pattern(folder), out or folder / "contact"
    glyphs = chosen_glyphs(pattern, wanted)
    with one_run_at_a_time(target), stages(quiet) as tell:
        files = contact_sheet(
            pattern, glyphs, columns=columns, paper=paper, units=units or units_of(pattern), tell=tell
        )
        write_folder(target, files, [f"contact-{n:03}.png" for n in range(1, 1000)])
    record(folder, target, files, None if wanted is None else [glyph.key for glyph in glyphs])
    if not quiet:
        console().say(f"{counted(len(glyphs), 'block')} on {counted(len(files) - 1, 'page')}: {target}")
        show_next(console(), "print", folder)
