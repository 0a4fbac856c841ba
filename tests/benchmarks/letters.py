"""What the straightening and the search achieve, font by font: ``python -m tests.benchmarks.letters FONT…``

Prints a table; beside the program's pieces stands what general methods give on the same figures: a constrained
Delaunay triangulation of figure and ground, and a tree of cuts that always takes the longest edge first.
Without arguments the sample fonts are measured.
"""

import resource
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import shapely
from rich.console import Console
from rich.table import Table
from shapely.geometry import MultiPolygon, Polygon, box

from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.model import Glyph
from converter.pipeline import Conversion, convert
from converter.settings import resolve_settings
from converter.sewing.problem import CutProblem, cut_problem

SAMPLES = Path(__file__).parents[2] / "sample_fonts"


def main(paths: list[str]) -> None:
    """Measures each font and prints one row for it."""
    fonts = [Path(p) for p in paths] or sorted(SAMPLES.glob("*_*/*-*.wof*"))
    table = Table(box=None, pad_edge=False)
    for name in (
        "font", "pieces", "sections", "joins", "match", "IoU", "lowest", "Hd mean %", "worst %", "narrowest mm",
        "sharpest °", "asymmetry %", "proved", "÷ bound", "Delaunay", "longest first", "seconds", "MB",
    ):  # fmt: skip
        table.add_column(name, justify="left" if name == "font" else "right")
    for path in fonts:
        table.add_row(*_row(path))
    Console(width=220).print(table)


def _row(path: Path) -> Iterator[str]:
    font = load_font(path)
    start = time.perf_counter()
    with ProcessPoolExecutor(2) as executor:
        done = convert(
            font, choose_glyphs(font).glyphs, judge_licence(font, path.parent), resolve_settings(None, {}), executor
        )
    seconds = time.perf_counter() - start
    return _cells(path, done, seconds)


def _cells(path: Path, done: Conversion, seconds: float) -> Iterator[str]:
    glyphs = [g for g in done.pattern.glyphs if g.pieces]
    rows = [g.metrics for g in glyphs]
    size = _cap_height(done)

    def mean(values: list[float]) -> float:
        return sum(values) / len(values)

    yield path.stem
    yield f"{mean([m.pieces for m in rows]):.2f}"
    yield f"{mean([m.sections for m in rows]):.2f}"
    yield f"{mean([m.joins for m in rows]):.2f}"
    yield f"{mean([m.match_points for m in rows]):.2f}"
    yield f"{mean([m.iou or 0 for m in rows]):.3f}"
    yield f"{min(m.iou or 0 for m in rows):.3f}"
    yield f"{100 * mean([m.hausdorff or 0 for m in rows]) / size:.1f}"
    yield f"{100 * max(m.hausdorff or 0 for m in rows) / size:.1f}"
    yield f"{min(m.min_piece_width or 0 for m in rows):.2f}"
    yield f"{min(m.min_corner_degrees or 0 for m in rows):.0f}"
    yield f"{100 * max((m.asymmetry or 0 for m in rows), default=0):.2f}"
    yield f"{mean([m.proved_minimal for m in rows]):.0%}"
    yield f"{mean([m.pieces / (m.distinct_lines + 1) for m in rows]):.3f}"
    yield f"{mean([_delaunay(g) for g in glyphs]):.1f}"
    yield f"{mean([_longest_first(g) for g in glyphs]):.1f}"
    yield f"{seconds:.1f}"
    children = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    yield f"{max(children, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss) / 1024:.0f}"


def _cap_height(done: Conversion) -> float:
    """Baseline to cap height in mm: the first and the last of a run's heights, for a run of capitals."""
    return done.hand.heights[-1] - done.hand.heights[0]


def _delaunay(glyph: Glyph) -> int:
    """Triangles of a constrained Delaunay triangulation of figure and ground."""
    figure = MultiPolygon([Polygon(p[0], p[1:]) for p in glyph.figure])
    block = box(0, 0, glyph.metrics.block_width or 0, max(y for p in glyph.pieces for _, y in p.polygon))
    ground = block.difference(figure)
    return len(shapely.constrained_delaunay_triangles(figure).geoms) + len(
        shapely.constrained_delaunay_triangles(ground).geoms
    )


def _longest_first(glyph: Glyph) -> int:
    """Pieces of the tree of cuts that follows the line with the longest edge first, without search."""
    return _cut(cut_problem(glyph.figure), (1 << 4096) - 1)


def _cut(problem: CutProblem, part: int) -> int:
    part &= problem.all_spans
    for line in problem.lines:  # in order of their longest edge
        if part & line.on:
            return _cut(problem, part & line.plus) + _cut(problem, part & line.minus)
    return 1


if __name__ == "__main__":
    main(sys.argv[1:])
