"""One font converted, with what the run took."""

import multiprocessing
import os
import resource
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from string import ascii_uppercase
from typing import Any

from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import Font, load_font
from converter.model import Glyph, Metrics
from converter.pipeline import Conversion, Made, convert
from converter.settings import resolve_settings
from tests.benchmarks.like_parts import LikeParts, like_parts
from tests.benchmarks.partitions import convex_pieces, figure_and_ground, longest_first, sewable, triangles
from tests.benchmarks.reading import Reading, read_letters


@dataclass(frozen=True)
class Run:
    """A conversion, of A to Z where nothing else was asked for.

    ``seconds`` passed on the clock; ``cpu_seconds`` of work, which does not grow when the machine is busy with other
    things; ``megabytes``: the most that one of its processes held in memory.
    """

    name: str
    font: Font
    done: Conversion
    seconds: float
    cpu_seconds: float
    megabytes: float

    @cached_property
    def planned(self) -> Sequence[Glyph]:
        """The letters that have pieces."""
        return [glyph for glyph in self.done.pattern.glyphs if glyph.pieces]

    @cached_property
    def metrics(self) -> Sequence[Metrics]:
        """The figures of the planned letters."""
        return [glyph.metrics for glyph in self.planned]

    @cached_property
    def inked(self) -> Sequence[Made]:
        """The planned letters with the outlines that they stand for."""
        return [made for made in self.done.made if made.glyph.pieces]

    @cached_property
    def like_parts(self) -> LikeParts:
        """The like parts of the planned letters, which are numbered as in :attr:`inked`."""
        return like_parts([(made.guide, made.glyph.pieces) for made in self.inked])

    @cached_property
    def others(self) -> Sequence["Others"]:
        """What general methods make of the planned letters' figures."""
        return [_others(glyph) for glyph in self.planned]

    @cached_property
    def reading(self) -> Reading:
        """What Tesseract reads."""
        return read_letters(self.font, self.done.pattern.glyphs)

    @property
    def cap_height(self) -> float:
        """Baseline to cap height in mm: the first and the last of a run's heights, for a run of capitals."""
        return self.done.hand.heights[-1] - self.done.hand.heights[0]


@dataclass(frozen=True, slots=True)
class Others:
    """Counts of pieces for one figure and its ground."""

    delaunay: int
    convex: int
    convex_sewable: bool
    longest_first: int


def run(path: Path, text: str = ascii_uppercase, **settings: Any) -> Run:
    """Converts A to Z of a font, or the characters of a text, on two processes."""
    font = load_font(path)
    licence = judge_licence(font, path.parent)
    chosen = choose_glyphs(font, text=text)
    start, work = time.perf_counter(), _work()
    with ProcessPoolExecutor(2) as executor:
        done = convert(font, chosen.glyphs, licence, resolve_settings(None, settings), executor)
        seconds = time.perf_counter() - start
        workers = [process.pid for process in multiprocessing.active_children()]
        megabytes = max(_peak(process) for process in (os.getpid(), *workers))
    return Run(path.stem, font, done, seconds, _work() - work, megabytes)


def _work() -> float:
    """Seconds of work of this process and of those that it has ended."""
    return sum(resource.getrusage(who).ru_utime for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))


def _peak(process: int | None) -> float:
    """The most memory (MB) that a running process has held; NaN where there is no Linux to tell."""
    status = Path(f"/proc/{process}/status")
    lines = status.read_text().splitlines() if status.exists() else ()
    return next((float(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM:")), float("nan"))


def _others(glyph: Glyph) -> Others:
    areas = figure_and_ground(glyph)
    figure, ground = (convex_pieces(area) for area in areas)
    return Others(
        delaunay=sum(len(triangles(area)) for area in areas),
        convex=len(figure) + len(ground),
        convex_sewable=sewable(glyph, figure, ground),
        longest_first=longest_first(glyph),
    )
