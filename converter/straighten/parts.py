"""The parts that a block is cut into, as a tree; the leaves are its pieces.

Each part knows what share of the raster the figure has, were the part the whole block: so a change costs no more than
putting together anew the parts that hold it.
"""

from collections.abc import Iterable, Sequence
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


class Place(NamedTuple):
    """Where in a block a part is that is cut, from which samples, and on the positive side of which cut, if of any."""

    part: Halved
    here: int
    above: "Place | None"
    side: bool


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


def places_in(block: Halved, samples: int) -> Sequence[Place]:
    """All places where a block is cut that has these ``samples``."""
    places: list[Place] = []
    waiting = [Place(block, samples, None, False)]
    while waiting:
        place = waiting.pop()
        places.append(place)
        part, here, _, _ = place
        inside = here & part.half
        if isinstance(part.plus, Halved):
            waiting.append(Place(part.plus, inside, place, True))
        if isinstance(part.minus, Halved):
            waiting.append(Place(part.minus, here ^ inside, place, False))
    return places


def decided(seam: Seam, places: Iterable[Place]) -> int:
    """The samples that a seam decides about: one that it is moved across changes to the figure, or out of it."""
    samples = 0
    for part, here, _, _ in places:
        if part.seam == seam:  # there its sides differ in these, were each the whole block
            samples |= here & (part.plus.figure ^ part.minus.figure)
    return samples


def seams_of(block: Halved) -> Sequence[Seam]:
    """The seams along which the block is cut, in order."""
    found: set[Seam] = set()
    waiting: list[Part] = [block]
    while waiting:
        part = waiting.pop()
        if isinstance(part, Halved):
            found.add(part.seam)
            waiting += part[2:4]
    return sorted(found)


def with_part(place: Place, new: Part) -> Part:
    """The block with another part in a place."""
    return with_side(place.above, place.side, new)


def with_side(place: Place | None, plus: bool, new: Part) -> Part:
    """The block with another part on one side of the cut in a place, the positive or the other."""
    while place is not None:
        seam, half, above, below = place.part[:4]
        new = halved(seam, half, new, below) if plus else halved(seam, half, above, new)
        plus, place = place.side, place.above
    return new


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
