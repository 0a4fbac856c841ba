"""``font2foundation fabric``: what to buy and to cut for one of each block of a set."""

from pathlib import Path

import click

from converter.cli.reading import read_pattern
from converter.cli.terminal import console
from converter.cli.types import Length, Size
from converter.fabric.cutting import USABLE_WIDTH
from converter.measures import UNITS, Units
from converter.output import write_folder
from converter.words.making import PLANS, finishing_text, make_set

_HELP = """Work out the fabric for the converted set in DIR: one of each block, times the copies.

Writes the cutting list (CSV) and a drawing of how each fabric is cut. Patches are cut larger than their pieces,
so that they cover them when sewn.
"""


@click.command("fabric", help=_HELP)
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Folder to write.  [default: DIR/fabric]")
@click.option(
    "--units",
    type=click.Choice(UNITS),
    default="in",
    show_default=True,
    help="Of lengths; both: inches, then mm.",
)
@click.option("--copies", type=int, default=1, show_default=True, help="How many of each block.")
@click.option("--fabric-width", type=Length(), default=USABLE_WIDTH, help="Usable width.  [default: 40in]")
@click.option(
    "--finished",
    type=Size(),
    help="Binding, backing and wadding for a piece of this size, like 40x50in, too.",
)
@click.option("--quiet", is_flag=True, help="Only errors.")
def fabric_command(
    folder: Path,
    out: Path | None,
    units: Units,
    copies: int,
    fabric_width: float,
    finished: tuple[float, float] | None,
    quiet: bool,
) -> None:
    """Reads the set, plans, writes, reports."""
    made = make_set(read_pattern(folder), units, copies, fabric_width, finished)
    target = out or folder / "fabric"
    write_folder(target, made.files, outdated=(PLANS,))
    if quiet:
        return
    screen = console()
    said = [f"{sheet.label}: {sheet.buy}" for sheet in made.sheets]
    if made.finishing:
        said += finishing_text(made.finishing, units)
    for line in (*said, f"cutting list: {target}"):
        screen.print(line, markup=False, soft_wrap=True)
