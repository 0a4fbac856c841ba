"""``font2foundation blank``: an empty block to draw a character in that the font lacks."""

from pathlib import Path

import click
from fontTools.agl import UV2AGL
from fontTools.misc.filenames import userNameToFileName

from converter.cli.options import example
from converter.cli.terminal import console, show_next
from converter.cli.types import LENGTH, PATH, SIZE, TEXT
from converter.errors import InputError
from converter.folder.keeping import BLOCKS, Kept, is_key
from converter.folder.reading import read_pattern, read_record
from converter.measures import measured_text, size_text, units_of
from converter.model import BACKGROUND, FIGURE
from converter.output import add_file, one_run_at_a_time
from converter.redesign.blank import blank_svg
from converter.settings import Settings
from converter.units import MM_PER_INCH, Size

_HELP = """Write an empty block for you to draw the character NAME in.

NAME is a glyph's name such as eacute, or the character itself. With --into, the block joins a folder made by
convert: it takes that set's size and colours, and "check" takes in what is drawn.
"""


@click.command("blank", help=_HELP, epilog=example("blank schwa --into out/village"))
@click.argument("name", type=TEXT)
@click.option(
    "--block",
    type=SIZE,
    help="Finished size of the block, like 3x4in or 75x100mm.  [default: the set's, or 3x4in]",
)
@click.option("--into", type=PATH, help="Add the block to this folder made by convert.")
@click.option("--out", type=PATH, help="File to write.  [default: NAME.svg]")
@click.option(
    "--grid-lines",
    "grid",
    type=LENGTH,
    default=MM_PER_INCH / 4,
    help="Distance between grid lines.  [default: 1/4in]",
)
def blank_command(name: str, block: Size | None, into: Path | None, out: Path | None, grid: float) -> None:
    """Draws and writes one block."""
    if not name.strip() or not is_key(name):
        raise InputError(f"{name[:40]!r} is not a name for a block; give a glyph's name or a character.")
    text, name = name, _glyph_name(name)
    key = userNameToFileName(name)
    settings = Settings(block=block) if block else Settings()
    width, height = settings.block
    if not 1.0 <= grid <= min(width, height):
        units = block.unit if block else "in"
        least, said = measured_text(1.0, units), measured_text(grid, units)
        raise InputError(
            f"grid lines {said} apart: give {least} or more, and no more than the block's smaller side."
        )
    if into is None:
        path = out or Path(f"{key}.svg")
        add_file(
            path,
            blank_svg(
                name,
                width,
                height,
                grid,
                settings.background_colour,
                units=block.unit if block else "in",
                figure=settings.figure_colour,
            ),
        )
    else:
        if out is not None:
            raise InputError("give --into or --out, not both.")
        with one_run_at_a_time(into):
            pattern = read_pattern(into)
            size = (pattern.block.width, pattern.block.height)
            if block is not None and block != size:
                said = size_text(*size, units_of(pattern))
                raise InputError(f"{into}: its blocks are {said}; leave --block out.")
            glyph = next((g for g in pattern.glyphs if text in (g.name, g.text) or g.key == key), None)
            key = glyph.key if glyph else key
            baselines = sorted({round(g.placement[5], 4) for g in pattern.glyphs if g.pieces})
            levels = tuple(baselines) if len(baselines) == 1 else ()
            path = into / BLOCKS / f"{key}.svg"
            kept = read_record(into).get(key, Kept())
            colour, figure = (pattern.fabrics[fabric].colour for fabric in (BACKGROUND, FIGURE))
            drawing = blank_svg(name, *size, grid, colour, kept.outline, levels, units_of(pattern), figure)
            add_file(path, drawing)
    screen = console()
    screen.say(f"wrote {path}")
    show_next(screen, "check", into or path)


def _glyph_name(text: str) -> str:
    """A character's name by the Adobe Glyph List, so that no file is called / or é; a name is left as it is."""
    if len(text) != 1:
        return text
    code = ord(text)
    return UV2AGL.get(code) or (f"uni{code:04X}" if code <= 0xFFFF else f"u{code:X}")
