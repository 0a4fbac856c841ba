"""``font2foundation fabric``: what to buy and to cut for one of each block of a set."""

from pathlib import Path
from typing import Any

import click

from converter.artwork import stored_pictures
from converter.cli.options import (
    FABRIC_WIDTH,
    FRAME,
    FRAME_FABRIC,
    FRAME_ON_FOUNDATION,
    FRAME_SIDES,
    PAPER,
    PATCH_MARGIN,
    QUIET,
    ROUND_TO,
    SET,
    UNITS_OPTION,
    copies_option,
    example,
    out_option,
    read_frame,
)
from converter.cli.papers import PaperCommand, record, tell_stale
from converter.cli.terminal import console, say_left_out, show_next
from converter.cli.types import SIZE
from converter.folder.reading import read_pattern
from converter.folder.surviving import survived
from converter.measures import Units, units_of
from converter.output import one_run_at_a_time, write_folder
from converter.printing.cutting_pages import cutting_pages, letters
from converter.printing.page import imprint_of
from converter.printing.paper import PaperName
from converter.words.framing import frame_pattern
from converter.words.making import PLANS, finishing_text, make_set

_HELP = """Work out the fabric for the converted set in DIR: one of each block, or several copies.

Writes the cutting list (CSV, and PDF to print) and a drawing of how each fabric is cut. Patches are cut larger
than their pieces, so that they cover them when sewn.
"""


@click.command(
    "fabric",
    cls=PaperCommand,
    help=_HELP,
    epilog=example("fabric out/village --copies 2 --finished-size 40x50in"),
)
@SET
@out_option("DIR/fabric")
@UNITS_OPTION
@copies_option("Make this many of each block.")
@FABRIC_WIDTH
@PATCH_MARGIN
@ROUND_TO
@FRAME
@FRAME_SIDES
@FRAME_FABRIC
@FRAME_ON_FOUNDATION
@click.option(
    "--finished-size",
    "finished",
    type=SIZE,
    help="Add binding, backing and wadding for a finished piece of this size, like 40x50in.",
)
@PAPER
@QUIET
def fabric_command(
    folder: Path,
    out: Path | None,
    units: Units | None,
    copies: int,
    fabric_width: float | None,
    patch_margin: float | None,
    round_to: float | None,
    finished: tuple[float, float] | None,
    paper: PaperName,
    quiet: bool,
    **given: Any,
) -> None:
    """Reads the set, plans, writes, reports."""
    pattern, frame = read_pattern(folder), read_frame(given)
    units = units or units_of(pattern)
    if frame and given["frame_on_foundation"]:
        pattern, frame = frame_pattern(pattern, frame, units), None
    made, _, logs = survived(
        pattern,
        lambda some: make_set(some, units, copies, fabric_width, patch_margin, finished, frame, round_to),
    )
    say_left_out(logs)
    target = out or folder / "fabric"
    printed = cutting_pages(
        imprint_of(pattern, units, stored_pictures(folder, pattern)),
        made.made_for,
        made.sheets,
        made.plans,
        made.cutting,
        finishing_text(made.finishing, units) if made.finishing else (),
        paper,
        letters(pattern, made.sheets),
    )
    files: dict[str, bytes | str] = {**made.files, "cutting-list.pdf": printed}
    with one_run_at_a_time(target):
        write_folder(target, files, outdated=(PLANS,))
    record(folder, target, files)
    if quiet:
        return
    screen = console()
    said = [f"{sheet.label}: {sheet.buy}" for sheet in made.sheets]
    if made.finishing:
        said += finishing_text(made.finishing, units)
    for line in (*said, f"cutting list: {target}"):
        screen.say(line)
    tell_stale(screen, folder, read_pattern(folder), target)
    show_next(screen, "words", folder, "TEXT")
