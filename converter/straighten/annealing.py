"""Looks for figures among the ways of cutting the block: simulated annealing.

A block that is sewn is a tree of cuts, and its figure is what the pieces of one fabric cover. So here the cuts are
changed, not the figure: seams are moved and turned, left out, added, or sewn in another order. Pieces and sections are
read off the tree, without a search, and how true the figure is off a raster. (Kirkpatrick, Gelatt and Vecchi,
"Optimization by simulated annealing", Science 220, 1983; from memory.)
"""

import math
from collections.abc import Callable, Sequence
from random import Random
from typing import NamedTuple, TypeVar

from converter.sewing.plan import block_ring
from converter.sewing.problem import Figure
from converter.sewing.search import PIECE
from converter.straighten.judging import Judge
from converter.straighten.parts import (
    Halved,
    Part,
    Place,
    Uncut,
    decided,
    figure_of,
    halved,
    parts_of,
    places_in,
    seams_of,
    with_part,
    with_seam,
    with_side,
)
from converter.straighten.raster import DIRECTIONS, FAR_POINT, LEVEL, UPRIGHT, Raster, Seam

STEPS = 8_000  # changes that are drawn in one run
# A change that costs so much (pieces) more is made once in e times, at the beginning and in the end.
HOT, COLD = 0.8, 0.05
GAIN = 0.05  # pieces: what gains less is not worth being judged in full
# Of all changes: seams moved, left out, in another order, pieces of the other fabric; the rest adds a seam.
MOVED, LEFT_OUT, REORDERED, RECOLOURED = 0.72, 0.09, 0.1, 0.02
LEVEL_STAYS = 0.6  # of the times that a level seam is to be moved: its place is mostly the font's
LEVEL_MOVE = 3.0  # places that it is moved, about
TURNS = (1.5, 3.0, 6.0, 15.0)  # directions that other seams are turned, about; they are moved by half as many places
AGAIN = 0.4  # of the seams that are added continue one that is there
NEW_LEVEL = 0.5  # of the new ones are level or upright
SPREAD = 0.3  # of size: so far from the middle, about, lie the points that seams are turned about or laid through

Item = TypeVar("Item")


class _State(NamedTuple):
    """A block with what it costs (pieces), and what the next change asks for."""

    block: Halved
    places: Sequence[Place]
    seams: Sequence[Seam]
    sewing: float
    missed: int  # places of the outline
    beaks: float
    cost: float


def annealed(figure: Figure, raster: Raster, judge: Judge, seed: int) -> Figure | None:
    """The cheapest figure that was met on a way from the ``figure``, the same for the same ``seed``.

    The ``figure`` is one that keeps the limits. None where none was cheaper, by the raster, or it is no valid figure.
    """
    # The one method of a Random that gives the same with every Python.
    changes = _Changes(raster, judge.size, random := Random(seed).random)
    section = judge.prices.section / PIECE
    start = parts_of(figure, raster, judge.prices)
    if isinstance(start, Uncut):
        return None
    now = best = first = _first_state(start, raster, section)
    for step in range(STEPS):
        chance = random()
        block, places, seams, sewing, missed, beaks, _ = now
        recut = None
        if random() < MOVED:
            old = changes.one_of(seams)
            new = changes.moved(old)
            across = (raster.half(old) ^ raster.half(new)) & decided(old, places) if new != old else 0
            if not across:
                continue
        else:
            recut = changes.recut(places, seams)
            if recut is None:
                continue
            across = block.figure ^ recut.figure
            sewing = recut.pieces + section * recut.sections
        # What is cheap to know comes first: most changes are too dear.
        there = block.figure ^ across
        cost = sewing + raster.untruth(there)
        limit = now.cost - HOT * (COLD / HOT) ** (step / STEPS) * math.log(1 - chance)
        if cost >= limit:
            continue
        missed = raster.missed(there, across, missed)
        cost += FAR_POINT * missed.bit_count()
        if cost >= limit:
            continue
        seams = seams_of(recut) if recut else sorted({new if seam == old else seam for seam in seams})
        level = _level(seams)
        if across & raster.about_crests or level != _level(now.seams):
            beaks = raster.beaks(there, level)
        cost += beaks
        if cost < limit:
            block = recut or with_seam(block, old, new, raster.half(new))
            now = _State(block, places_in(block, raster.all), seams, sewing, missed, beaks, cost)
            best = min(best, now, key=_cost)
    # What it costs that the first figure breaks a limit does not count: it does so on the raster only.
    if best.cost > first.sewing + first.beaks + judge.truth * (1 - raster.overlap(first.block.figure)) - GAIN:
        return None
    return figure_of(best.block, raster, block_ring(judge.width, judge.height))


def _first_state(block: Halved, raster: Raster, section: float) -> _State:
    seams, sewing = seams_of(block), block.pieces + section * block.sections
    missed, beaks = raster.missed(block.figure), raster.beaks(block.figure, _level(seams))
    cost = sewing + raster.untruth(block.figure) + FAR_POINT * missed.bit_count() + beaks
    return _State(block, places_in(block, raster.all), seams, sewing, missed, beaks, cost)


def _level(seams: Sequence[Seam]) -> Sequence[Seam]:
    """Those that are level or upright."""
    return [seam for seam in seams if seam[0] in (UPRIGHT, LEVEL)]


def _cost(state: _State) -> float:
    return state.cost


class _Changes:
    """Changes of a block, drawn by chance."""

    def __init__(self, raster: Raster, size: float, random: Callable[[], float]) -> None:
        self._raster, self._random, self._spread = raster, random, SPREAD * size

    def recut(self, places: Sequence[Place], seams: Sequence[Seam]) -> Halved | None:
        """The block with a seam left out or added, in another order, or with a piece of the other fabric.

        None where what was drawn cannot be.
        """
        kind = MOVED + (1 - MOVED) * self._random()
        place = self.one_of(places)
        side = self._random() < 0.5
        part = place.part
        here, other = (part.plus, part.minus) if side else (part.minus, part.plus)
        if kind < MOVED + LEFT_OUT:
            changed = with_part(place, here)
        elif kind < MOVED + LEFT_OUT + REORDERED:
            if isinstance(here, Uncut):
                return None
            changed = with_part(place, self._reordered(part, here, other, side))
        elif kind < MOVED + LEFT_OUT + REORDERED + RECOLOURED:
            if isinstance(here, Halved):
                return None
            changed = with_side(place, side, self._other_fabric(here))
        else:
            seam = self.one_of(seams) if self._random() < AGAIN else self._new()
            new = self._other_fabric(here)
            plus, minus = (here, new) if self._random() < 0.5 else (new, here)
            changed = with_side(place, side, halved(seam, self._raster.half(seam), plus, minus))
        return changed if isinstance(changed, Halved) else None

    def moved(self, seam: Seam) -> Seam:
        """A seam near another: moved where it is level or upright, else turned about a point of its own, and moved."""
        direction, d = seam
        if direction in (UPRIGHT, LEVEL):
            if self._random() < LEVEL_STAYS:
                return seam
            return direction, d + self._raster.place(self._bell(LEVEL_MOVE * self._raster.step))
        turn = self.one_of(TURNS)
        x, y = self._bell(self._spread), self._bell(self._spread)
        nx, ny = self._raster.normal(direction)
        off = nx * x + ny * y - d
        turned = _slanted(direction + round(self._bell(turn)))
        mx, my = self._raster.normal(turned)
        moved = self._bell(turn / 2 * self._raster.step)
        return turned, self._raster.place(mx * (x - off * nx) + my * (y - off * ny) + moved)

    def one_of(self, items: Sequence[Item]) -> Item:
        """One of the items, all as likely."""
        return items[int(self._random() * len(items))]

    def _new(self) -> Seam:
        anywhere = self._random()
        direction = _slanted(int(anywhere * DIRECTIONS))
        if self._random() < NEW_LEVEL:
            direction = UPRIGHT if anywhere < 0.5 else LEVEL
        nx, ny = self._raster.normal(direction)
        return direction, self._raster.place(nx * self._bell(self._spread) + ny * self._bell(self._spread))

    def _reordered(self, part: Halved, inner: Halved, other: Part, side: bool) -> Halved:
        """The part cut first along the seam of its ``inner`` part, which is on that ``side``."""
        beyond = self._random() < 0.5
        stays, leaves = (inner.plus, inner.minus) if beyond else (inner.minus, inner.plus)
        plus, minus = (stays, other) if side else (other, stays)
        cut = halved(part.seam, part.half, plus, minus)
        plus, minus = (cut, leaves) if beyond else (leaves, cut)
        return halved(inner.seam, inner.half, plus, minus)

    def _other_fabric(self, here: Part) -> Uncut:
        """A piece of the fabric that ``here`` is not of; of either where it is of both."""
        inked = here.figure == 0 if isinstance(here, Uncut) else self._random() < 0.5
        return Uncut(self._raster.all if inked else 0)

    def _bell(self, deviation: float) -> float:
        """About normally distributed: a sum of equally distributed numbers is the same on every machine."""
        return deviation * 2 * (self._random() + self._random() + self._random() - 1.5)


def _slanted(direction: int) -> int:
    direction %= DIRECTIONS
    return direction + 1 if direction in (UPRIGHT, LEVEL) else direction
