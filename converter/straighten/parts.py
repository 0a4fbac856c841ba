"""The parts that a block is cut into, as a tree; the leaves are its pieces.

Each part knows what share of the raster the figure has, were the part the whole block: so a change costs no more than
putting together anew the parts that hold it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
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
    """A part that is cut in two along a seam."""

    seam: Seam
    plus: "Part"
    minus: "Part"
    figure: int
    pieces: int
    sections: int
    one_section: bool


Part = Uncut | Halved


@dataclass(frozen=True, slots=True)
class Survey:
    """The ways to all parts of a block that are cut, and for each seam the samples that it decides about.

    Where a seam is moved across such a sample, the sample changes sides: to the figure or out of it.
    """

    paths: Sequence[Path]
    seams: Sequence[Seam]
    decided: dict[Seam, int]


def halved(raster: Raster, seam: Seam, plus: Part, minus: Part) -> Halved:
    """The part that two parts on the sides of a seam make."""
    figure = minus.figure ^ (raster.half(seam) & (plus.figure ^ minus.figure))
    one = (plus.pieces == 1 or minus.pieces == 1) and plus.one_section and minus.one_section
    sections = 1 if one else plus.sections + minus.sections
    return Halved(seam, plus, minus, figure, plus.pieces + minus.pieces, sections, one)


def parts_of(figure: Figure, raster: Raster, prices: Prices) -> Part:
    """The block, cut as a short search finds it for the figure; a piece is of the fabric of most of its samples."""
    problem = cut_problem(figure)
    seams = [raster.seam(line.line) for line in problem.lines]

    def part(cut: Cut | None, here: int) -> Part:
        if cut is None:
            inked = 2 * (here & raster.outline).bit_count() > here.bit_count()
            return Uncut(raster.all if inked else 0)
        seam = seams[cut.line]
        plus = raster.half(seam)
        return halved(raster, seam, part(cut.plus, here & plus), part(cut.minus, here & ~plus))

    return part(Search(problem, prices, STATES).run().tree, raster.all)


def survey(block: Halved, raster: Raster) -> Survey:
    """What there is to change in a block."""
    paths: list[Path] = []
    decided: dict[Seam, int] = {}
    waiting: list[tuple[Path, Part, int]] = [((), block, raster.all)]
    while waiting:
        path, part, here = waiting.pop()
        if isinstance(part, Uncut):
            continue
        paths.append(path)
        _, plus, minus = part[:3]
        decided[part.seam] = decided.get(part.seam, 0) | (here & (plus.figure ^ minus.figure))
        half = raster.half(part.seam)
        waiting += [((*path, True), plus, here & half), ((*path, False), minus, here & ~half)]
    return Survey(paths, sorted(decided), decided)


def seams_of(block: Part) -> set[Seam]:
    """The seams along which the block is cut."""
    found: set[Seam] = set()
    waiting = [block]
    while waiting:
        part = waiting.pop()
        if isinstance(part, Halved):
            found.add(part.seam)
            waiting += part[1:3]
    return found


def part_at(block: Halved, path: Path) -> Halved:
    """The part at the end of a path that leads to a part that is cut."""
    for plus in path:
        part = block.plus if plus else block.minus
        assert isinstance(part, Halved)
        block = part
    return block


def with_part(raster: Raster, block: Part, path: Path, new: Part, step: int = 0) -> Part:
    """The block with another part at the end of the path."""
    if step == len(path) or isinstance(block, Uncut):
        return new
    if path[step]:
        return halved(raster, block.seam, with_part(raster, block.plus, path, new, step + 1), block.minus)
    return halved(raster, block.seam, block.plus, with_part(raster, block.minus, path, new, step + 1))


def with_seam(raster: Raster, part: Part, old: Seam, new: Seam) -> Part:
    """The part with all cuts along one seam moved to another."""
    if isinstance(part, Uncut):
        return part
    plus, minus = with_seam(raster, part.plus, old, new), with_seam(raster, part.minus, old, new)
    if part.seam == old:
        return halved(raster, new, plus, minus)
    if plus is part.plus and minus is part.minus:
        return part
    return halved(raster, part.seam, plus, minus)


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
