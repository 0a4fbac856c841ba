"""``font2foundation words``: words laid out from a converted set, with all that is needed to sew them."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, get_args

import click
from click.core import ParameterSource

from converter.artwork import stored_pictures
from converter.cli.layout_file import Item, layout_text, read_layout
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
    UNITS_OPTION,
    copies_option,
    example,
    out_option,
)
from converter.cli.papers import PaperCommand, record, tell_stale
from converter.cli.reading import read_names
from converter.cli.terminal import Screen, console, show_next
from converter.cli.types import LENGTH, PATH, SIZE, TEXT, Read
from converter.cli.words_job import made_words, told_by_character
from converter.cli.words_types import folder_name, read_own_colour, read_sides, read_spacing
from converter.errors import InputError
from converter.folder.reading import read_pattern
from converter.mats.files import mat_files
from converter.mats.laying import MAT_GAP, MAT_MARGIN, lay_on_mats
from converter.mats.shapes import layout_shapes
from converter.measures import size_text
from converter.output import add_file, one_run_at_a_time, write_folder
from converter.printing.wording import counted
from converter.printing.words_documents import print_words
from converter.words.colours import PALETTE, By, parse_group
from converter.words.making import PLANS, MadeWords, words_files
from converter.words.parts import Align, Fit
from converter.words.sampler import sampler

PRINT, MATS = "print", "mats"
_ARGUMENTS = "font2foundation.words.arguments"
_SAME = 1e-3  # mm

_HELP = f"""Lay out words in blocks of the converted set in DIR, as a banner, a label or a tag.

Each TEXT is a line; \\n in it starts another. {{leaf}} is the symbol of that name. Writes drawings, the order of
assembly, the colour table, the cutting list and the templates of just these characters.

A FABRIC is a colour, a name with a colour, or one of the palette: rust, #9c3f1d, "old shirt=#9c3f1d".
The palette: {", ".join(PALETTE)}.
"""


_EXAMPLE = 'words out/village "SOW IN MAY" --spacing eye --letters kelp --border 1in'


class _Words(PaperCommand):
    """Remembers its arguments as they were given, so that they can be kept in a file."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Reads the arguments."""
        ctx.meta[_ARGUMENTS] = tuple(args)
        return super().parse_args(ctx, args)


@click.command("words", cls=_Words, help=_HELP, epilog=example(_EXAMPLE))
@click.argument("folder", metavar="DIR", type=PATH, required=False)
@click.argument("lines", metavar="TEXT...", nargs=-1, type=TEXT)
@click.option(
    "--layout",
    type=PATH,
    help="Make all items of this layout file instead of DIR and TEXT; other options go before what it says.",
)
@click.option(
    "--keep",
    type=PATH,
    help="Also save these options as a new layout file, like labels.toml.",
)
@out_option("DIR/words/TEXT; for a layout file, its own folder")
@click.option(
    "--also",
    type=PATH,
    multiple=True,
    help="Take characters that DIR lacks, such as symbols, from this set, scaled to the same height.",
)
@click.option(
    "--sampler",
    type=PATH,
    metavar="FILE",
    help="Instead of TEXT: rows of the symbols in this file, one a line, like kelp or kelp = Sugar kelp, with the "
    "legend below each.",
)
@click.option(
    "--columns",
    type=click.IntRange(1, 100),
    default=5,
    show_default=True,
    help="Symbols in a row of a sampler.",
)
@click.option(
    "--align",
    type=click.Choice(get_args(Align)),
    default="centre",
    show_default=True,
    help="Align the lines.",
)
@click.option(
    "--spacing",
    type=Read("none|eye|length", read_spacing),
    default="none",
    show_default=True,
    help="Between letters. none: block beside block; eye: as the font sets them, kerned, by trimming and widening "
    "the blocks' background (eye+1/16in: looser, eye-1/16in: tighter); a length: strips of that width.",
)
@click.option(
    "--word-space",
    type=LENGTH,
    help="Strip between two words.  [default: 1/2 of the block's width; by eye, the font's space]",
)
@click.option(
    "--line-strip",
    type=LENGTH,
    help="Strip between two lines.  [default: 1/4 of the block's height]",
)
@click.option(
    "--border",
    type=Read("sides", read_sides),
    help="Border: one length, or top,right,bottom,left.  [default: 1/4 of the block's height]",
)
@click.option(
    "--equal-widths",
    is_flag=True,
    help="Add strips beside narrower blocks, so that all are as wide as the widest.",
)
@click.option("--target-width", type=LENGTH, help="Make the whole exactly this wide, finished.")
@click.option("--target-height", type=LENGTH, help="Make the whole exactly this high, finished.")
@click.option(
    "--meet-target",
    type=click.Choice(get_args(Fit)),
    default="scale",
    show_default=True,
    help="Meet the target by scaling the blocks, or by widening the border.",
)
@FRAME
@FRAME_SIDES
@FRAME_ON_FOUNDATION
@click.option(
    "--letters", type=FABRIC, multiple=True, help="Fabric of the letters; give several to take turns."
)
@click.option(
    "--by",
    type=click.Choice(get_args(By)),
    help="Change the letters' fabric with every letter or word.  [default: letter, for several fabrics]",
)
@click.option("--background", type=FABRIC, help="Fabric behind the letters.")
@click.option(
    "--strip-fabric", type=FABRIC, help="Fabric of the strips between blocks.  [default: the background]"
)
@click.option("--border-fabric", type=FABRIC, help="Fabric of the border.  [default: that of the strips]")
@FRAME_FABRIC
@click.option("--binding-fabric", type=FABRIC, help="Fabric of the binding; needs --finishing.")
@click.option("--backing-fabric", type=FABRIC, help="Fabric of the backing; needs --finishing.")
@click.option(
    "--own-colour",
    "own",
    type=Read("character=fabric", read_own_colour),
    multiple=True,
    help="Give a character its own fabric, like K=rust.",
)
@click.option(
    "--pieces",
    "groups",
    type=Read("name:pieces=fabric", parse_group),
    multiple=True,
    help="Give pieces of a character their own fabric, like leaf:A1,A3=rust.",
)
@UNITS_OPTION
@copies_option("Make it this many times.")
@FABRIC_WIDTH
@PATCH_MARGIN
@ROUND_TO
@click.option("--finishing", is_flag=True, help="Add binding, backing and wadding.")
@click.option(
    "--mat", type=SIZE, help="Also lay the pieces on mats of this size for a cutting machine, like 12x12in."
)
@PAPER
@REDESIGN
@NO_PRINT
@QUIET
@click.pass_context
def words_command(
    ctx: click.Context, /, folder: Path | None, lines: tuple[str, ...], layout: Path | None, keep: Path | None,
    out: Path | None, quiet: bool, **given: Any,
) -> None:  # fmt: skip
    """Reads sets and layouts, lays out, writes, reports."""
    if layout and (folder or keep):
        raise InputError("--layout goes without DIR, TEXT and --keep: the file has its own.")
    if layout:
        sources = {name: ctx.get_parameter_source(name) for name in given}
        said = {
            name: given[name] for name, source in sources.items() if source == ParameterSource.COMMANDLINE
        }
        items = read_layout(layout, words_command, folder_name)
        for item, made in made_items(items, said):
            _write(
                made,
                (out or layout.parent) / item.name,
                {**item.given, **said},
                _sources(item.given),
                quiet,
                recorded=False,
            )
        if not quiet:
            show_next(console(), "mats", items[0].given["folder"])
        return
    if given["sampler"] is not None:
        if lines or keep:
            raise InputError("--sampler goes without TEXT and --keep: its file says what is laid out.")
        read = sampler(read_names(given["sampler"]), given["columns"])
        lines, given["legends"] = read.lines, read.legends
        given |= {"equal_widths": True, "align": "left"}  # columns stand below each other
    if folder is None or not lines:
        raise InputError("give the folder of a converted set and a text, or --layout and a layout file.")
    asked = {**given, "folder": folder, "lines": lines}
    made = _made(asked)
    if keep:
        add_file(keep, layout_text(words_command, ctx.meta[_ARGUMENTS], keep.parent))
    _write(
        made,
        out or folder / "words" / folder_name(given["sampler"].stem if given["sampler"] else made.job.text),
        asked,
        _sources(asked),
        quiet,
        recorded=True,
    )
    if not quiet:
        if given["sampler"]:
            show_next(console(), "mats", folder)
            return
        again = ("words", "--layout", keep) if keep else ("words", folder, *lines, "--keep", "layout.toml")
        show_next(console(), *again)


def made_items(items: Sequence[Item], said: Mapping[str, Any]) -> list[tuple[Item, MadeWords]]:
    """All items of a layout file; those that share a letter size in the largest that all of them can have."""
    made = [_made({**item.given, **said}) for item in items]
    heights: dict[str, float] = {}
    for item, one in zip(items, made, strict=True):
        if item.letter_size:
            height = one.layout.block_height
            heights[item.letter_size] = min(height, heights.get(item.letter_size, height))
    for index, item in enumerate(items):
        layout, height = made[index].layout, heights.get(item.letter_size, 0.0)
        if item.letter_size and abs(layout.block_height - height) > _SAME:
            made[index] = _made({**item.given, **said}, layout.scale * height / layout.block_height)
    return list(zip(items, made, strict=True))


def _made(given: Mapping[str, Any], scale: float | None = None) -> MadeWords:
    with told_by_character(given, lambda one: made_words(one, scale)):
        return made_words(given, scale)


def _sources(given: Mapping[str, Any]) -> list[Path]:
    """The sets that characters come from, in their order."""
    return [given["folder"], *given["also"]]


def _write(
    made: MadeWords,
    target: Path,
    given: Mapping[str, Any],
    sources: Sequence[Path],
    quiet: bool,
    *,
    recorded: bool,
) -> None:
    scale = made.layout.scale
    with told_by_character(given, lambda one: _files(made_words(one, scale), one, sources[0])):
        files = _files(made, given, sources[0])
    with one_run_at_a_time(target):
        write_folder(target, files, outdated=(PRINT, PLANS, MATS))
    if recorded:
        _record(made, target, files, sources)
    if not quiet:
        _report(console(), made, target)
        tell_stale(console(), sources[0], read_pattern(sources[0]), target)


def _files(made: MadeWords, given: Mapping[str, Any], source: Path) -> dict[str, bytes | str]:
    """All that is written; ``source``: the set with the pictures of its pages."""
    files: dict[str, bytes | str] = dict(words_files(made))
    if not given["no_print"]:
        pictures = stored_pictures(source, made.layout.pattern)
        printed = print_words(
            made, given["paper"], include_redesign=given["include_redesign"], pictures=pictures
        )
        files |= {f"{PRINT}/{name}": content for name, content in printed.items()}
    if given["mat"]:
        files |= {f"{MATS}/{name}": content for name, content in _mats(made, given["mat"]).items()}
    return files


def _record(made: MadeWords, target: Path, files: Mapping[str, bytes | str], sources: Sequence[Path]) -> None:
    used = {(glyph.name, glyph.codepoints) for glyph in made.layout.pattern.glyphs}
    for source in sources:  # a character comes from the first set that has it
        mine = [g for g in read_pattern(source).glyphs if (g.name, g.codepoints) in used]
        used -= {(g.name, g.codepoints) for g in mine}
        if mine:
            record(source, target, files, [g.key for g in mine])


def _mats(made: MadeWords, size: tuple[float, float]) -> dict[str, str]:
    """The pieces of all copies on mats, by fabric."""
    units, fabrics = made.job.units, made.colouring.fabrics
    shapes = list(layout_shapes(made.layout, made.colouring, made.layout.pattern.block.seam_allowance))
    mats = lay_on_mats(shapes * made.job.copies, size, MAT_MARGIN, MAT_GAP, units=units)
    return mat_files(mats, "score", units, {key: fabric.label for key, fabric in fabrics.items()})


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
