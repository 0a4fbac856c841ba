"""How long a block takes to be cut anew from its figure: ``python -m tests.benchmarks.cutting [FONT…]``

Converts A to Z of each font (the sample fonts where none is given), then moves one corner of a figure at a time,
up to 3 mm any way, and cuts the block anew: what a hand asks for while it drags. Prints for each font the median and
the 95th percentile of the milliseconds of one answer, on the clock and of work, the slowest letter, and how many of
the figures can be sewn. The moves are drawn from a seed, so each run measures the same figures.
"""

import argparse
import random
import string
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table

from converter.folder.keeping import Kept, parse_record, record_json
from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.model import FIGURE, Glyph, Polygons
from converter.pattern import from_json, to_json
from converter.pipeline import convert
from converter.redesign.figure.cutting import cut_figure
from converter.redesign.ground import Ground
from converter.settings import Settings

SAMPLES = Path(__file__).parents[2] / "sample_fonts"
FARTHEST = 3.0  # mm that a corner is moved
Answer = tuple[str, float, float, bool]  # letter, milliseconds on the clock, of work, whether it can be sewn


def main(arguments: list[str] | None = None) -> None:
    """Measures each font and prints its row."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("fonts", nargs="*", type=Path, metavar="FONT")
    parser.add_argument("--moves", type=int, default=10, help="of each letter")
    given = parser.parse_args(arguments)
    table = Table(box=None, header_style="bold")
    for name in ("font", "answers", "median ms", "95 % ms", "median CPU", "95 % CPU", "slowest", "sewable"):
        table.add_column(name)
    for font in given.fonts or sorted(SAMPLES.glob("*/*.wof*")):
        table.add_row(font.stem, *_row(list(answers(font, given.moves))))
    Console(width=140).print(table)


def answers(file: Path, moves: int, letters: str = string.ascii_uppercase) -> Iterator[Answer]:
    """Each figure's answer, after one that loads what is compiled."""
    font = load_font(file)
    chosen = choose_glyphs(font, text=letters).glyphs
    done = convert(font, chosen, judge_licence(font, file.parent), Settings(effort="draft"))
    pattern = from_json(to_json(done.pattern))
    kept = parse_record(record_json({m.glyph.key: Kept("", m.size, m.guide) for m in done.made}))
    glyphs = [glyph for glyph in pattern.glyphs if glyph.pieces]
    cut_figure([(FIGURE, glyphs[0].figure)], Ground.of(pattern, glyphs[0].key, kept[glyphs[0].key]))
    for glyph in glyphs:
        ground = Ground.of(pattern, glyph.key, kept[glyph.key])
        for figure in moved(glyph, moves):
            clock, work = time.perf_counter(), time.process_time()
            after = cut_figure([(FIGURE, figure)], ground)
            yield (
                glyph.name,
                1000 * (time.perf_counter() - clock),
                1000 * (time.process_time() - work),
                bool(after.pieces),
            )


def moved(glyph: Glyph, moves: int, seed: int = 0) -> Iterator[Polygons]:
    """The glyph's figure with one corner moved, so many times."""
    dice = random.Random(f"{glyph.key} {seed}")
    for _ in range(moves):
        rings = [list(ring) for polygon in glyph.figure for ring in polygon]
        ring = dice.choice(rings)
        k = dice.randrange(len(ring))
        ring[k] = (
            ring[k][0] + dice.uniform(-FARTHEST, FARTHEST),
            ring[k][1] + dice.uniform(-FARTHEST, FARTHEST),
        )
        left = iter(map(tuple, rings))
        yield tuple(tuple(next(left) for _ in polygon) for polygon in glyph.figure)


def _row(found: list[Answer]) -> list[str]:
    clock, work = np.array([a[1] for a in found]), np.array([a[2] for a in found])
    name = max(found, key=lambda a: a[2])[0]
    return [
        str(len(found)),
        *(f"{np.percentile(row, share):.0f}" for row in (clock, work) for share in (50, 95)),
        f"{name} {work.max():.0f}",
        f"{np.mean([a[3] for a in found]):.0%}",
    ]


if __name__ == "__main__":
    main()
