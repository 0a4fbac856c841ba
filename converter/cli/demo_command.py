"""``font2foundation demo``: a coastal village's seed library sews its banner, drawer labels and bag tags.

The demo is a list of the program's own commands and a layout file; each command is shown before it runs, and the
file stays in the folder, so that both can be used again.
"""

import re
import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from converter.cli.layout_file import Item, read_layout
from converter.cli.options import NO_PRINT, PAPER, QUIET, UNITS_OPTION, example
from converter.cli.reading import installed_files, read_own_text
from converter.cli.terminal import ONE_OF_SEVERAL, console, show_next
from converter.cli.types import PATH
from converter.cli.words_command import made_items, words_command
from converter.cli.words_types import folder_name
from converter.errors import InputError
from converter.measures import Units
from converter.output import one_run_at_a_time, write_folder
from converter.printing.paper import PaperName
from converter.words.display import Setting, Shown, display_svg

LETTERS = Path("archivo_black") / "archivo-black-latin-400-normal.woff2"
SYMBOLS = Path("village_symbols") / "VillageSymbols.ttf"
LAYOUT = "demo.toml"
SETTINGS: dict[str, Setting] = {"banner": "hung", "drawer-labels": "on a drawer", "bag-tags": "tied on"}
TAG_BLOCK = "3x3in"
PICTURE = "demo.svg"
_SYMBOL = re.compile(r"\{(.*?)\}")

_HELP = f"""Make the things that a coastal village's seed library sews: a banner, drawer labels and bag tags.

Converts a sample font and a font of symbols, lays out the words in {LAYOUT}, and leaves a folder to print and sew
from. The sample fonts come with the program.
"""

Command = Sequence[str]


@click.command("demo", help=_HELP, epilog=example("demo --out out/demo"))
@click.option(
    "--out",
    type=PATH,
    default=Path("out") / "demo",
    show_default=True,
    help="Folder to write to.",
)
@click.option(
    "--fonts",
    type=PATH,
    help="Take the sample fonts from this folder.  [default: those that come with the program]",
)
@UNITS_OPTION
@PAPER
@NO_PRINT
@QUIET
@click.pass_context
def demo_command(
    ctx: click.Context, /, out: Path, fonts: Path | None, units: Units | None, paper: PaperName, no_print: bool,
    quiet: bool,
) -> None:  # fmt: skip
    """Runs the commands one after the other, and draws what they make."""
    root = ctx.find_root().command
    said = ("--quiet",) if quiet else ()
    found = _fonts(fonts)
    asked = ("--units", units or "in", "--paper", paper)
    with one_run_at_a_time(out):
        write_folder(out, {LAYOUT: read_own_text(LAYOUT)})
    items = read_layout(out / LAYOUT, words_command, folder_name)
    words = ("words", "--layout", str(out / LAYOUT), *asked, *(("--no-print",) if no_print else ()))
    fabric = ("fabric", str(out / "letters"), *asked, "--out", str(out / "fabric"))
    for command in (*_convert(found, out, items), words, fabric):
        if not quiet:
            console().print()
            console().say(f"$ font2foundation {shlex.join(command)}")
        _run(root, [*command, *said])
    with one_run_at_a_time(out):
        write_folder(out, {PICTURE: display_svg(_shown(items, units or "in"))})
    if not quiet:
        console().say(f"everything in one picture: {out / PICTURE}")
        show_next(console(), "words", "--layout", out / LAYOUT)


def _convert(fonts: Path, out: Path, items: Sequence[Item]) -> Iterator[Command]:
    texts = ["".join(item.given["lines"]) for item in items]
    letters = sorted({c for text in texts for c in _SYMBOL.sub("", text) if not c.isspace()})
    symbols = dict.fromkeys(name for text in texts for name in _SYMBOL.findall(text))
    yield (
        "convert", str(fonts / LETTERS), "--text", "".join(letters), "--width", "proportional",
        "--out", str(out / "letters"),
    )  # fmt: skip
    yield (
        "convert", str(fonts / SYMBOLS), "--glyphs", ",".join(symbols), "--fit", "each", "--block", TAG_BLOCK,
        "--out", str(out / "symbols"),
    )  # fmt: skip


def _shown(items: Sequence[Item], units: Units) -> list[list[Shown]]:
    """What the layout file made, once more, for the picture: a row for each way in which it is used."""
    made = made_items(items, {"units": units})
    kinds = dict.fromkeys(item.name.split("/")[0] for item, _ in made)
    return [
        [Shown(one, SETTINGS[kind]) for item, one in made if item.name.split("/")[0] == kind]
        for kind in kinds
    ]


def _fonts(given: Path | None) -> Path:
    """The folder of the sample fonts: beside the code in a copy of the project, else installed with it."""
    beside = Path(__file__).resolve().parents[2] / "sample_fonts"
    installed = [file.parents[1] for file in installed_files(LETTERS.name)]
    for folder in (given,) if given else (beside, *installed):
        if all((folder / font).is_file() for font in (LETTERS, SYMBOLS)):
            return folder
    if given:
        raise InputError(f"{given}: has no {LETTERS.as_posix()} and {SYMBOLS.as_posix()}; give sample_fonts.")
    raise InputError(
        "the sample fonts are not here, though they come with the program; install it anew, or give --fonts and "
        "the folder sample_fonts of the project."
    )


def _run(root: click.Command, command: list[str]) -> None:
    try:
        code = root.main(command, prog_name="font2foundation", standalone_mode=False, obj=ONE_OF_SEVERAL)
        if isinstance(code, int) and code:  # stopped
            raise click.exceptions.Exit(code)
    except SystemExit as end:  # convert ends the program to tell its code
        if end.code:
            raise
