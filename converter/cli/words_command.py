"""``font2foundation words``: words laid out from a converted set, with all that is needed to sew them."""

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, get_args

import click

from converter.artwork import stored_pictures
from converter.cli.options import (
    FABRIC,
    FABRIC_WIDTH,
    FRAME,
    FRAME_FABRIC,
    FRAME_ON_FOUNDATION,
    FRAME_SIDES,
    NO_PRINT,
    PAPER,
    PATCH_MARGIN,
    QUIET,
    REDESIGN,
    ROUND_TO,
    SET,
    UNITS_OPTION,
    copies_option,
    out_option,
    read_frame,
)  # fmt: skip
from converter.cli.papers import PaperCommand, record, tell_stale
from converter.cli.terminal import Screen, console
from converter.cli.types import LENGTH, PATH, TEXT, Read
from converter.errors import InputError
from converter.folder.reading import read_pattern
from converter.measures import Units, size_text, units_of
from converter.model import Fabric, Pattern
from converter.output import one_run_at_a_time, write_folder
from converter.printing.paper import PaperName
from converter.printing.wording import counted
from converter.printing.words_documents import print_words
from converter.units import parse_length
from converter.words.colours import PALETTE, By, ColourPlan, parse_fabric, parse_group
from converter.words.frames import Frame, Sides
from converter.words.framing import frame_pattern
from converter.words.making import PLANS, MadeWords, WordsJob, make_words, words_files
from converter.words.merging import merge
from converter.words.parts import Align, Fit, LayoutSettings, Widths
from converter.words.text import read_text

PRINT = "print"
_NAME_LENGTH = 40

_HELP = f"""Lay out words in the blocks of the converted set in DIR, to sew a banner, a label or a tag.

Each TEXT is a line; \\n in it starts another. {{leaf}} is the symbol of that name. Writes drawings, the order of
assembly, the colour table, the cutting list and the templates of just these characters.

A FABRIC is a colour, a name with a colour, or one of the palette: rust, #9c3f1d, "old shirt=#9c3f1d".
The palette: {", ".join(PALETTE)}.
"""


def read_sides(text: str) -> Sides:
    """Strips on four sides from one length, or four: top, right, bottom, left."""
    lengths = [parse_length(part) for part in text.split(",")]
    if len(lengths) == 1:
        return Sides.all(lengths[0])
    if len(lengths) != 4:
        raise InputError(f"{text!r} is not one length or four (top,right,bottom,left).")
    return Sides(*lengths)


def read_own_colour(text: str) -> tuple[str, Fabric]:
    """A character and its fabric, from ``K=rust``; the first character may be = itself."""
    at = text.find("=", 1)
    if at < 0:
        raise InputError(f"{text!r} is not like K=rust or leaf=#4a5f23.")
    return text[:at].strip(" {}") or text[:at], parse_fabric(text[at + 1 :])


@click.command("words", cls=PaperCommand, help=_HELP)
@SET
@click.argument("lines", metavar="TEXT...", nargs=-1, required=True, type=TEXT)
@out_option("DIR/words/TEXT")
@click.option(
    "--also",
    type=PATH,
    multiple=True,
    help="Another converted set, for characters that DIR lacks, such as symbols; scaled to DIR's height.",
)
@click.option(
    "--align", type=click.Choice(get_args(Align)), default="centre", show_default=True, help="Of the lines."
)
@click.option("--spacing", type=LENGTH, default="0in", help="Strip between two letters.  [default: none]")
@click.option("--word-space", type=LENGTH, help="Strip between two words.  [default: 1/2 block's width]")
@click.option("--line-strip", type=LENGTH, help="Strip between two lines.  [default: 1/4 block's height]")
@click.option(
    "--border",
    type=Read("sides", read_sides),
    help="Round it all: one length, or top,right,bottom,left.  [default: 1/4 block's height]",
)
@click.option(
    "--widths",
    type=click.Choice(get_args(Widths)),
    default="proportional",
    show_default=True,
    help="Blocks as wide as they are, or all filled up to one width.",
)
@click.option("--target-width", type=LENGTH, help="Finished width of the whole, met exactly.")
@click.option("--target-height", type=LENGTH, help="Finished height of the whole, met exactly.")
@click.option(
    "--fit",
    type=click.Choice(get_args(Fit)),
    default="scale",
    show_default=True,
    help="Meet the target by scaling the blocks, or by widening the border.",
)
@FRAME
@FRAME_SIDES
@FRAME_ON_FOUNDATION
@click.option("--letters", type=FABRIC, multiple=True, help="Fabric of the letters; several take turns.")
@click.option(
    "--by",
    type=click.Choice(get_args(By)),
    help="Letter fabrics take turns by letter or by word.  [default: letter, for several fabrics]",
)
@click.option("--background", type=FABRIC, help="Fabric behind the letters.")
@click.option("--strip-fabric", type=FABRIC, help="Of strips between blocks.  [default: the background]")
@click.option("--border-fabric", type=FABRIC, help="Of the border.  [default: as the strips]")
@FRAME_FABRIC
@click.option("--binding-fabric", type=FABRIC, help="Of the binding; needs --finished.")
@click.option("--backing-fabric", type=FABRIC, help="Of the backing; needs --finished.")
@click.option(
    "--own-colour",
    "own",
    type=Read("character=fabric", read_own_colour),
    multiple=True,
    help="A character in a fabric of its own, like K=rust.",
)
@click.option(
    "--pieces",
    "groups",
    type=Read("name:pieces=fabric", parse_group),
    multiple=True,
    help="Pieces of a character in a fabric of their own, like leaf:A1,A3=rust.",
)
@UNITS_OPTION
@copies_option("How many times it is made.")
@FABRIC_WIDTH
@PATCH_MARGIN
@ROUND_TO
@click.option("--finished", is_flag=True, help="Binding, backing and wadding, too.")
@PAPER
@REDESIGN
@NO_PRINT
@QUIET
def words_command(
    folder: Path, out: Path | None, paper: PaperName, include_redesign: bool, no_print: bool,
    quiet: bool, **given: Any,
) -> None:  # fmt: skip
    """Reads the set, lays out, writes, reports."""
    made = made_words(read_pattern(folder), given)
    files: dict[str, bytes | str] = dict(words_files(made))
    if not no_print:
        pictures = stored_pictures(folder, made.layout.pattern)
        printed = print_words(made, paper, include_redesign=include_redesign, pictures=pictures)
        files |= {f"{PRINT}/{name}": content for name, content in printed.items()}
    target = out or folder / "words" / folder_name(made.job.text)
    with one_run_at_a_time(target):
        write_folder(target, files, outdated=(PRINT, PLANS))
    used = {(glyph.name, glyph.text) for glyph in made.layout.pattern.glyphs}
    for source in (folder, *given["also"]):  # a character comes from the first set that has it
        mine = [g for g in read_pattern(source).glyphs if (g.name, g.text) in used]
        used -= {(g.name, g.text) for g in mine}
        if mine:
            record(source, target, files, [g.key for g in mine])
    if not quiet:
        _report(console(), made, target)
        tell_stale(console(), folder, read_pattern(folder), target)


def made_words(pattern: Pattern, given: Mapping[str, Any]) -> MadeWords:
    """What the command's options ask for, made."""
    text = "\n".join(given["lines"]).replace("\\n", "\n")
    frame = read_frame(given)
    units: Units = given["units"] or units_of(pattern)
    pattern, remarks = merge(pattern, [read_pattern(folder) for folder in given["also"]], units)
    if frame and given["frame_on_foundation"]:
        pattern, frame = _framed(pattern, text, frame, units), None
    job = WordsJob(
        text,
        _layout(given, frame),
        _colours(given),
        units,
        given["copies"],
        given["fabric_width"],
        given["patch_margin"],
        given["finished"],
        remarks,
        given["round_to"],
    )
    return make_words(pattern, job)


def folder_name(text: str) -> str:
    """A name for the folder of a text, safe on any disk: letters and digits, else code points.

    >>> folder_name("SOW IN MAY"), folder_name("{leaf}"), folder_name("?!")
    ('sow-in-may', 'leaf', 'u003f-u0021')
    """
    name = re.sub(r"[^\w]+", "-", text.casefold()).strip("-_")
    name = name or "-".join(f"u{ord(character):04x}" for character in text if not character.isspace())
    name = name[:_NAME_LENGTH].rstrip("-_")
    reserved = re.fullmatch(r"con|prn|aux|nul|(com|lpt)\d", name)  # Windows: names of devices
    return f"{name}-words" if reserved else name


def _layout(given: Mapping[str, Any], frame: Frame | None) -> LayoutSettings:
    names = ("align", "spacing", "word_space", "line_strip", "border", "widths", "fit")
    targets = {name: given[name] for name in ("target_width", "target_height")}
    return LayoutSettings(**{name: given[name] for name in names}, **targets, frame=frame)


def _framed(pattern: Pattern, text: str, frame: Frame, units: Units) -> Pattern:
    """The needed blocks in frames of pieces; others may not fit, and need not."""
    needed = {g.key for line in read_text(pattern, text) for word in line.words for g in word}
    return frame_pattern(pattern, frame, units, needed)


def _colours(given: Mapping[str, Any]) -> ColourPlan:
    letters = given["letters"]
    for what in ("binding", "backing"):
        if given[f"{what}_fabric"] and not given["finished"]:
            raise InputError(f"--{what}-fabric needs --finished, which adds binding, backing and wadding.")
    groups: dict[tuple[str, str], Fabric] = {}
    for group in given["groups"]:
        groups |= group
    return ColourPlan(
        letters=letters,
        by=given["by"] or ("letter" if len(letters) > 1 else "set"),
        background=given["background"],
        strips=given["strip_fabric"],
        frame=given["frame_fabric"],
        border=given["border_fabric"],
        binding=given["binding_fabric"],
        backing=given["backing_fabric"],
        only=dict(given["own"]),
        groups=groups,
    )


def _report(screen: Screen, made: MadeWords, folder: Path) -> None:
    layout, units = made.layout, made.job.units
    said: Sequence[str] = (
        f"{counted(len(layout.blocks), 'block')}, {counted(len(layout.strips), 'strip')}; "
        f"finished {size_text(layout.width, layout.height, units)}"
        + (f", {made.job.copies} times" if made.job.copies > 1 else ""),
        *(f"  {sheet.label}: {sheet.buy}" for sheet in made.sheets),
        *(f"note: {note}" for note in layout.notes),
        *(f"warning: {warning}" for warning in made.colouring.warnings),
        f"words: {folder}",
    )
    for line in said:
        screen.say(line)
