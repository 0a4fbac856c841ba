"""Options that several commands share: one wording, one meaning."""

from collections.abc import Callable, Mapping
from typing import Any

import click

from converter.budgets.words import COPIES
from converter.cli.types import LENGTH, PATH, SIZE, Read
from converter.errors import InputError
from converter.measures import UNITS
from converter.printing.paper import PAPERS
from converter.units import parse_length
from converter.words.colours import parse_fabric
from converter.words.frames import Frame

Wrap = Callable[[Callable[..., None]], Callable[..., None]]

FABRIC = Read("fabric", parse_fabric)


def read_side(text: str) -> tuple[str, float]:
    """One side and its strip, from ``left=1/2in``."""
    side, _, width = text.partition("=")
    if side.strip() not in ("left", "right", "top", "bottom"):
        raise InputError(f"{text!r} is not like left=1/2in; sides are left, right, top, bottom.")
    return side.strip(), parse_length(width)


SET = click.argument("folder", metavar="DIR", type=PATH)
UNITS_OPTION = click.option(
    "--units",
    type=click.Choice(UNITS),
    help="Units of lengths; both: inches, then mm.  [default: the set's own]",
)
PAPER = click.option(
    "--paper", type=click.Choice(list(PAPERS)), default="a4", show_default=True, help="Paper to print on."
)
FABRIC_WIDTH = click.option(
    "--fabric-width",
    type=LENGTH,
    help="Usable width of the fabric.  [default: 40in, or 100cm in a metric set]",
)
PATCH_MARGIN = click.option(
    "--patch-margin",
    type=LENGTH,
    help="Extra margin around each patch.  [default: 1/4in, or 6mm in a metric set]",
)
ROUND_TO = click.option(
    "--round-to",
    type=LENGTH,
    metavar="LENGTH",
    help="Round patches up to this, like 1/2in, for fewer sizes to cut.  [default: 1/8in, or 5mm]",
)
REDESIGN = click.option(
    "--include-redesign", is_flag=True, help="Also print characters with status redesign."
)
NO_PRINT = click.option("--no-print", is_flag=True, help="Skip the PDFs, which take longest.")
CACHE = click.option(
    "--cache",
    type=PATH,
    envvar="FONT2FOUNDATION_CACHE",
    help="Keep finished blocks in this folder.  [default: the user's cache folder; see store]",
)
NO_CACHE = click.option(
    "--no-cache",
    is_flag=True,
    envvar="FONT2FOUNDATION_NO_CACHE",
    help="Make every block anew, and keep none for later runs.",
)
QUIET = click.option("--quiet", is_flag=True, help="Print errors only.")

FRAME = click.option(
    "--frame", "frame_size", type=SIZE, help="Set every block in a frame of this finished size, like 5x5in."
)
FRAME_SIDES = click.option(
    "--frame-side",
    "frame_sides",
    type=Read("side=length", read_side),
    multiple=True,
    help="Make the frame's strip on one side this wide, like left=1/2in.",
)
FRAME_FABRIC = click.option(
    "--frame-fabric", type=FABRIC, help="Fabric of the frames.  [default: the background]"
)
FRAME_ON_FOUNDATION = click.option(
    "--frame-on-foundation", is_flag=True, help="Make the frame's strips pieces of the templates."
)


def example(command: str) -> str:
    """The end of a command's help: one example, as it is typed."""
    return f"\b\nExample:\n  font2foundation {command}"


def out_option(default: str) -> Wrap:
    """``--out``, a folder."""
    return click.option("--out", type=PATH, help=f"Folder to write to.  [default: {default}]")


def copies_option(what: str) -> Wrap:
    """``--copies``, of what."""
    return click.option(
        "--copies", type=click.IntRange(1, COPIES.most), default=1, show_default=True, help=what
    )


def read_frame(given: Mapping[str, Any]) -> Frame | None:
    """The frame that the options ask for; None where they ask for none."""
    sides: dict[str, float] = {}
    for side, width in given["frame_sides"]:
        if sides.setdefault(side, width) != width:
            raise InputError(f"--frame-side gives the {side} strip two widths; give one.")
    if given["frame_size"] is None and not sides:
        for option in ("frame_on_foundation", "frame_fabric"):
            if given.get(option):
                raise InputError(f"--{option.replace('_', '-')} needs a frame; give --frame or --frame-side.")
        return None
    width, height = given["frame_size"] or (None, None)
    return Frame(width, height, **sides, fabric=given["frame_fabric"])
