"""``font2foundation demo``: a coastal village's seed library sews its banner, drawer labels and bag tags.

The demo is a list of the program's own commands; each is shown before it runs, so that it can be used again.
"""

import re
import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path

import click

from converter.cli.options import NO_PRINT, PAPER, QUIET, UNITS_OPTION
from converter.cli.terminal import console
from converter.cli.types import PATH
from converter.cli.words_command import made_words, words_command
from converter.errors import InputError
from converter.folder.reading import read_pattern
from converter.measures import Units
from converter.output import one_run_at_a_time, write_folder
from converter.printing.paper import PaperName
from converter.words.display import Setting, Shown, display_svg

LETTERS = Path("archivo_black") / "archivo-black-latin-400-normal.woff2"
SYMBOLS = Path("village_symbols") / "VillageSymbols.ttf"
BANNER = "{sun} SOW IN MAY"
DRAWERS = {"KELP": "kelp", "BEANS": "rust"}
TAGS = {"leaf": "kelp", "sun": "gorse", "drop": "harbour", "shell": "rust"}
TAG_GROUNDS = {"sun": "slate"}  # gorse reads on a dark ground
TAG_BLOCK, TAG = "3x3in", "4x5in"
CARD_COPIES = 4
PICTURE = "demo.svg"

_HELP = """Make the things that a coastal village's seed library sews: a banner, drawer labels and bag tags.

Converts a sample font and a font of symbols, lays out the words, and leaves a folder to print and sew from.
"""

Command = Sequence[str]


@click.command("demo", help=_HELP)
@click.option(
    "--out",
    type=PATH,
    default=Path("out") / "demo",
    show_default=True,
    help="Folder to write.",
)
@click.option("--fonts", type=PATH, help="The folder of sample fonts.  [default: sample_fonts]")
@UNITS_OPTION
@PAPER
@NO_PRINT
@QUIET
@click.pass_context
def demo_command(
    ctx: click.Context, out: Path, fonts: Path | None, units: Units | None, paper: PaperName, no_print: bool,
    quiet: bool,
) -> None:  # fmt: skip
    """Runs the commands one after the other, and draws what they make."""
    root = ctx.find_root().command
    said = ("--quiet",) if quiet else ()
    found = _fonts(fonts)
    asked = ("--units", units or "in", "--paper", paper)
    paged = (*asked, "--no-print") if no_print else asked
    words = tuple(tuple(_words(out, kind, paged)) for kind in ("hung", "on a drawer", "tied on"))
    fabric: Command = ("fabric", str(out / "letters"), *asked, "--out", str(out / "fabric"))
    for command in (*_convert(found, out), *(c for row in words for c in row), fabric):
        if not quiet:
            console().print()
            console().say(f"$ font2foundation {shlex.join(command)}")
        _run(root, [*command, *said])
    with one_run_at_a_time(out):
        write_folder(out, {PICTURE: display_svg(_shown(words))})
    if not quiet:
        console().print()
        console().say(f"all of it in one picture: {out / PICTURE}")


def _convert(fonts: Path, out: Path) -> Iterator[Command]:
    texts = (re.sub(r"\{.*?\}", "", text) for text in (BANNER, *DRAWERS))  # symbols are in their own font
    needed = "".join(sorted({c for text in texts for c in text if not c.isspace()}))
    yield "convert", str(fonts / LETTERS), "--text", needed, "--out", str(out / "letters")
    yield (
        "convert", str(fonts / SYMBOLS), "--glyphs", ",".join(TAGS), "--fit", "each", "--block", TAG_BLOCK,
        "--out", str(out / "symbols"),
    )  # fmt: skip


def _words(out: Path, setting: Setting, paged: Command) -> Iterator[Command]:
    """The commands that make what is used in one way."""
    letters, symbols = str(out / "letters"), str(out / "symbols")
    if setting == "hung":
        yield (
            "words", letters, BANNER, "--also", symbols,
            "--letters", "rust", "--letters", "harbour", "--letters", "kelp", "--letters", "rust",
            "--by", "word", "--background", "sand", "--spacing", "1/4in", "--border", "1 1/2in",
            "--border-fabric", "gorse", "--finished", "--binding-fabric", "slate", "--backing-fabric", "mist",
            *paged, "--out", str(out / "banner"),
        )  # fmt: skip
    if setting == "on a drawer":
        for word, fabric in DRAWERS.items():
            yield (
                "words", letters, word, "--letters", fabric, "--background", "sand", "--target-width", "14in",
                "--target-height", "5in", "--border", "1/2in", *paged,
                "--out", str(out / "drawer-labels" / word.lower()),
            )  # fmt: skip
    if setting == "tied on":
        for name, fabric in TAGS.items():
            yield (
                "words", symbols, f"{{{name}}}", "--letters", fabric, "--background", TAG_GROUNDS.get(name, "sand"),
                "--frame", TAG, "--frame-side", "bottom=1/2in", "--frame-fabric", "mist", "--border", "0in",
                "--copies", str(CARD_COPIES), *paged, "--out", str(out / "bag-tags" / name),
            )  # fmt: skip


def _shown(words: Sequence[Sequence[Command]]) -> list[list[Shown]]:
    """What the commands made, once more, for the picture."""
    rows: list[list[Shown]] = []
    settings: tuple[Setting, ...] = ("hung", "on a drawer", "tied on")
    for setting, commands in zip(settings, words, strict=True):
        rows.append([])
        for name, *arguments in commands:
            given = words_command.make_context(name, arguments).params
            rows[-1].append(Shown(made_words(read_pattern(given["folder"]), given), setting))
    return rows


def _fonts(given: Path | None) -> Path:
    """The folder of the sample fonts: they come with the repository, not with the installed package."""
    beside = Path(__file__).resolve().parents[2] / "sample_fonts"
    for folder in (given,) if given else (Path("sample_fonts"), beside):
        if all((folder / font).is_file() for font in (LETTERS, SYMBOLS)):
            return folder
    if given:
        raise InputError(f"{given}: has no {LETTERS.as_posix()} and {SYMBOLS.as_posix()}; give sample_fonts.")
    raise InputError(
        "the sample fonts are not here; run the demo in the project's repository, where sample_fonts is, "
        "or give --fonts and that folder."
    )


def _run(root: click.Command, command: list[str]) -> None:
    try:
        root.main(command, prog_name="font2foundation", standalone_mode=False)
    except SystemExit as end:  # convert ends the program to tell its code
        if end.code:
            raise
