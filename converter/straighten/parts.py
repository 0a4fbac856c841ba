"""The parts that a block is cut into, as a tree; the leaves are its pieces.

Each part knows what share of the raster the figure has, were the part the whole block: so a change costs no more than
putting together anew the parts that hold it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from operator import or_
from typing import NamedTuple

import shapely
from shapely.geometry import Polygon

from converter.geometry import split_convex, without_flat_corners
from converter.model import Ring
from converter.sewing.problem import ON_LINE, Figure, cut_problem
from converter.sewing.search import Cut, Prices, Search
from converter.straighten.figure import rings_of, tidy_figure
from converter.straighten.raster import Raster, Seam

STATES = 200  # of the search for the cuts of a figure
GRID = 1e-5  # mm: pieces meet to that

Path = tuple[bool, ...]  # from the whole block to a part of it; each step: to the positive side?


class Uncut(NamedTuple):
    """A part that is one piece: of the ``figure`` are no samples, or all."""

    figure: int
    pieces: int = 1
    sections: int = 1
    one_section: bool = True


class Halved(NamedTuple):
    """A part that is cut in two along a seam, on whose positive side ``half`` of the samples lie."""

    seam: Seam
    half: int
    plus: "Part"
    minus: "Part"
    figure: int
    pieces: int
    sections: int
    one_section: bool


Part = Uncut | Halved


@dataclass(frozen=True, slots=True)
class Survey:
    """The ways to all parts of a block that are cut, its seams, and what each part is cut from."""

    paths: Sequence[Path]
    seams: Sequence[Seam]
    cuts: Sequence[tuple[Seam, int, int]]  # along a seam, from these samples; where the sides differ, were each whole

    def decided(self, seam: Seam) -> int:
        """The samples that a seam decides about: one that it is moved across changes to the figure, or out of it."""
        return reduce(or_, (here & unlike for along, here, unlike in self.cuts if along == seam))


def halved(seam: Seam, half: int, plus: Part, minus: Part) -> Halved:
    """The part that two parts on the sides of a seam make; ``half``: the samples on the seam's positive side."""
    figure = minus.figure ^ (half & (plus.figure ^ minus.figure))
    one = (plus.pieces == 1 or minus.pieces == 1) and plus.one_section and minus.one_section
    sections = 1 if one else plus.sections + minus.sections
    return Halved(seam, half, plus, minus, figure, plus.pieces + minus.pieces, sections, one)


def parts_of(figure: Figure, raster: Raster, prices: Prices) -> Part:
    """The block, cut as a short search finds it for the figure; a piece is of the fabric of most of its samples."""
    problem = cut_problem(figure)
    seams = [raster.seam(line.line) for line in problem.lines]

    def part(cut: Cut | None, here: int) -> Part:
        if cut is None:
            inked = 2 * (here & raster.outline).bit_count() > here.bit_count()
            return Uncut(raster.all if inked else 0)
        seam = seams[cut.line]
        half = raster.half(seam)
        return halved(seam, half, part(cut.plus, here & half), part(cut.minus, here & ~half))

    return part(Search(problem, prices, STATES).run().tree, raster.all)


def survey(block: Halved) -> Survey:
    """What there is to change in a block."""
    paths: list[Path] = []
    cuts: list[tuple[Seam, int, int]] = []
    waiting: list[tuple[Path, Halved, int]] = [((), block, -1)]  # -1: all samples
    while waiting:
        path, part, here = waiting.pop()
        seam, half, plus, minus = part[:4]
        paths.append(path)
        cuts.append((seam, here, plus.figure ^ minus.figure))
        if isinstance(plus, Halved):
            waiting.append(((*path, True), plus, here & half))
        if isinstance(minus, Halved):
            waiting.append(((*path, False), minus, here & ~half))
    return Survey(paths, sorted({seam for seam, _, _ in cuts}), cuts)


def seams_of(block: Part) -> set[Seam]:
    """The seams along which the block is cut."""
    found: set[Seam] = set()
    waiting = [block]
    while waiting:
        part = waiting.pop()
        if isinstance(part, Halved):
            found.add(part.seam)
            waiting += part[2:4]
    return found


def part_at(block: Halved, path: Path) -> Halved:
    """The part at the end of a path that leads to a part that is cut."""
    for plus in path:
        part = block.plus if plus else block.minus
        assert isinstance(part, Halved)
        block = part
    return block


def with_part(block: Part, path: Path, new: Part, step: int = 0) -> Part:
    """The block with another part at the end of the path."""
    if step == len(path) or isinstance(block, Uncut):
        return new
    seam, half, plus, minus = block[:4]
    if path[step]:
        return halved(seam, half, with_part(plus, path, new, step + 1), minus)
    return halved(seam, half, plus, with_part(minus, path, new, step + 1))


def with_seam(part: Halved, old: Seam, new: Seam, half: int) -> Halved:
    """The part with all cuts along one seam moved to another, on whose positive side ``half`` of the samples lie."""
    plus = with_seam(part.plus, old, new, half) if isinstance(part.plus, Halved) else part.plus
    minus = with_seam(part.minus, old, new, half) if isinstance(part.minus, Halved) else part.minus
    if part.seam == old:
        return halved(new, half, plus, minus)
    if plus is part.plus and minus is part.minus:
        return part
    return halved(part.seam, part.half, plus, minus)


def figure_of(block: Part, raster: Raster, ring: Ring) -> Figure | None:
    """The figure of a block with that edge (mm); None where it is no valid one."""
    cloth: list[Polygon] = []
    waiting: list[tuple[Part, Ring]] = [(block, ring)]
    while waiting:
        part, ring = waiting.pop()
        if isinstance(part, Halved):
            plus, minus = split_convex(ring, raster.line(part.seam), ON_LINE)
            waiting += [(half, there) for half, there in ((part.plus, plus), (part.minus, minus)) if there]
        elif part.figure:
            cloth.append(Polygon(ring))
    shape = tidy_figure(shapely.union_all(cloth, grid_size=GRID))
    if shape is None:
        return None
    return tuple(tuple(without_flat_corners(r, ON_LINE) for r in polygon) for polygon in rings_of(shape))
