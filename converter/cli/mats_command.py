"""``font2foundation mats``: pieces or sections of a set, nested on the mats of a cutting machine."""

from collections.abc import Sequence
from pathlib import Path
from typing import get_args

import click

from converter.budgets.words import ON_MATS
from converter.cli.options import QUIET, SET, UNITS_OPTION, copies_option, example, out_option
from converter.cli.terminal import console, say_left_out, show_next
from converter.cli.types import LENGTH, SIZE, TEXT
from converter.errors import InputError
from converter.folder.reading import read_pattern
from converter.folder.surviving import survived
from converter.mats.files import Names, mat_files
from converter.mats.laying import MAT_GAP, MAT_MARGIN, lay_on_mats
from converter.mats.shapes import PAPER, Shape, piece_shapes, section_shapes
from converter.measures import Units, size_text, units_of
from converter.model import Pattern
from converter.output import one_run_at_a_time, write_folder
from converter.printing.placing import TURNS, Turn
from converter.printing.selection import select
from converter.printing.wording import counted

MAT = "12x12in"
_GRAIN: tuple[Turn, ...] = (0, 180)
_CAUTION = "Blades and lasers cut and burn: keep hands out while the machine runs, and never leave it alone."

_HELP = f"""Lay the pieces or sections of the set in DIR on the mats of a cutting machine.

Writes an SVG and a DXF for each mat, fabric by fabric, and a list of what lies where. Pieces are drawn as seen
from the front, for fabric that lies right side up; sections are mirrored, as on their templates. Cuts and score
lines are on layers of their own. {_CAUTION}
"""


@click.command("mats", help=_HELP, epilog=example("mats out/village --only KELP --mat 12x12in"))
@SET
@out_option("DIR/mats")
@click.option(
    "--parts",
    type=click.Choice(["pieces", "sections"]),
    default="pieces",
    show_default=True,
    help="Cut pieces of fabric, or the paper of each section.",
)
@click.option("--mat", "mat_size", type=SIZE, default=MAT, show_default=True, help="Size of the mat.")
@click.option(
    "--mat-margin",
    type=LENGTH,
    default=MAT_MARGIN,
    help="Keep the mat empty this far from its edges.  [default: 1/4in]",
)
@click.option("--gap", type=LENGTH, default=MAT_GAP, help="Distance between two cuts.  [default: 1/8in]")
@click.option(
    "--allowance",
    type=LENGTH,
    help="Add this allowance around each shape; 0in for none.  [default: the set's]",
)
@click.option(
    "--only", type=TEXT, help="Cut only what this text needs, like KELP; {leaf} is a symbol by its name."
)
@copies_option("Cut this many of each.")
@click.option(
    "--along-grain",
    is_flag=True,
    help="Do not turn shapes sideways, for fabrics with a grain or a direction.",
)
@click.option(
    "--name-shapes",
    "names",
    type=click.Choice(get_args(Names)),
    default="score",
    show_default=True,
    help="Draw each name as a score line in its shape, or put each shape on a layer of that name.",
)
@UNITS_OPTION
@QUIET
def mats_command(
    folder: Path, out: Path | None, parts: str, mat_size: tuple[float, float], mat_margin: float, gap: float,
    allowance: float | None, only: str | None, copies: int, along_grain: bool, names: Names,
    units: Units | None, quiet: bool,
) -> None:  # fmt: skip
    """Reads the set, nests, writes, reports."""
    if not 1 <= copies <= ON_MATS.most:
        raise InputError(f"{copies} copies: give a whole number from 1 to {ON_MATS.most}.")
    pattern = read_pattern(folder)
    units = units or units_of(pattern)
    shapes_of = piece_shapes if parts == "pieces" else section_shapes
    added = pattern.block.seam_allowance if allowance is None else allowance

    def shapes_in(pattern: Pattern, only: str | None = only) -> list[Shape]:
        chosen = select(pattern, only, include_redesign=True)
        return [
            shape
            for glyph in chosen.glyphs
            for shape in list(shapes_of(pattern, [glyph], added)) * (chosen.copies[glyph.key] * copies)
        ]

    shapes, pattern, logs = survived(pattern, shapes_in, lambda some: shapes_in(some, None))
    say_left_out(logs)
    mats = lay_on_mats(shapes, mat_size, mat_margin, gap, _GRAIN if along_grain else TURNS, units)
    labels = {PAPER: PAPER, **{key: fabric.label for key, fabric in pattern.fabrics.items()}}
    target = out or folder / "mats"
    files = mat_files(mats, names, units, labels)
    placed = {f"{parts}/{name}": content for name, content in files.items()}
    with one_run_at_a_time(target):
        write_folder(target, placed, outdated=(parts,))
    if quiet:
        return
    said: Sequence[str] = [
        f"  {labels[fabric]}: {counted(sum(mat.fabric == fabric for mat in mats), 'mat')}"
        for fabric in dict.fromkeys(mat.fabric for mat in mats)
    ]
    head = f"{counted(len(shapes), parts.removesuffix('s'))} on mats of {size_text(*mat_size, units)}"
    for line in (head, *said, _CAUTION, f"mats: {target / parts}"):
        console().say(line)
    show_next(console(), "print" if parts == "pieces" else "fabric", folder)
