"""``font2foundation print``: the documents of a converted set, to print and sew from."""

from pathlib import Path

import click

from converter.cli.reading import read_pattern
from converter.cli.terminal import console
from converter.drawing.labels import tag
from converter.measures import UNITS, Units
from converter.output import write_folder
from converter.printing import Job, prepare, set_pages
from converter.printing.paper import PAPERS, PaperName
from converter.printing.wording import counted

_PRINT_HELP = """Make the documents of the converted set in DIR, to print at actual size.

Writes instructions.pdf, characters.pdf (one character a page), sheets.pdf (all templates on the fewest pages)
and proof.pdf (for testers). Everything lies in the area that A4 and US Letter share.
"""


@click.command("print", help=_PRINT_HELP)
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder to write.  [default: DIR/print]")
@click.option(
    "--paper", type=click.Choice(list(PAPERS)), default="a4", show_default=True, help="Size of the pages."
)
@click.option(
    "--only", metavar="TEXT", help="Only what this text needs, like KELP; {leaf} for a symbol by name."
)
@click.option(
    "--units",
    type=click.Choice(UNITS),
    default="in",
    show_default=True,
    help="Of lengths; both: inches, then mm.",
)
@click.option("--include-redesign", is_flag=True, help="Print characters that should be redesigned, too.")
@click.option("--date", default="", metavar="TEXT", help="A date to print on the cover, as you write it.")
@click.option("--quiet", is_flag=True, help="Only errors.")
def print_command(
    folder: Path, out: Path | None, paper: PaperName, only: str | None, units: Units, include_redesign: bool,
    date: str, quiet: bool,
) -> None:  # fmt: skip
    """Reads the pattern, sets the pages, writes, reports."""
    pattern = read_pattern(folder)
    job = prepare(pattern, paper=paper, only=only, units=units, include_redesign=include_redesign, date=date)
    target = out or folder / "print"
    write_folder(target, set_pages(job))
    if not quiet:
        _report(job, target)


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
        lines.append(f"left out, to be redesigned first: {left_out} (--include-redesign prints them)")
    lines.append(f"documents: {folder}")
    for line in lines:
        screen.print(line, markup=False, soft_wrap=True)
