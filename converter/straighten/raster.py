"""An outline as bits, one for each sample of a grid: a figure is compared with it by a few operations on integers.

Fast and coarse: who finds a figure here has it judged in full afterwards.
Lengths in mm, from the middle of the outline; prices in pieces.
"""

import math
from collections.abc import Collection, Sequence
from functools import cache, reduce
from operator import or_
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from converter.geometry import Line, normal_form
from converter.straighten.chain import Flags, Floats
from converter.straighten.crests import Crest
from converter.straighten.judging import Judge, price_of_untruth

SAMPLES = 70  # along the outline's size
AROUND = 0.06  # of size: so far beyond the outline lie samples, too
DIRECTIONS = 240  # of lines, in half a turn; an even number, so that level and upright are among them
UPRIGHT, LEVEL = 0, DIRECTIONS // 2
STEP = 0.003  # of size: between two places of a line
LEEWAY = 0.003  # a figure so much less true than it may be is no loss: polishing makes it truer
FAR_AREA = 1000.0  # pieces for an area of size² that is farther from the outline than it may be
FAR_POINT = 1.0  # pieces for a place of the outline to which the figure's edge comes not near enough
PLACES = 0.05  # of size: between two such places
NEAR_MORE = 0.004  # of size: an edge passes so much nearer, about, than the samples beyond it tell
NEIGHBOURS = 8  # places that are looked at together
CREST_REACH = 0.03  # of size: so far along the outline at least a crest is looked at
LIKE = 0.7  # of the samples about a crest: so many have to lie as a level edge there parts them

Seam = tuple[int, float]  # a line: its normal's direction in parts of half a turn, and its distance from the middle


class _Crest(NamedTuple):
    """A crest on the raster: where a level edge may lie, the samples about it and how many, the price of a beak."""

    direction: int
    lowest: float
    highest: float
    about: int
    samples: int
    price: float


class _Places(NamedTuple):
    """Neighbouring places of the outline: the samples about any of them, their flags, and each with those about it."""

    about_any: int
    flags: int
    each: Sequence[tuple[int, int]]

    @classmethod
    def of(cls, each: Sequence[tuple[int, int]]) -> "_Places":
        """The places, each a flag and the samples about it."""
        return cls(reduce(or_, (about for _, about in each)), reduce(or_, (flag for flag, _ in each)), each)


class Raster:
    """The samples of one outline, and what it is measured by."""

    def __init__(self, judge: Judge) -> None:
        outline, size = judge.outline, judge.size
        self._judge, self.step = judge, size * STEP  # step: mm between two places of a line
        left, top, right, bottom = outline.bounds
        self.middle = (left + right) / 2, (top + bottom) / 2
        pitch, beyond = size / SAMPLES, size * AROUND
        # Every other row is moved by half a sample: else an upright edge would pass by a whole column at once.
        x, y = np.meshgrid(
            np.arange(left - beyond + pitch / 2, right + beyond, pitch),
            np.arange(top - beyond + pitch / 2, bottom + beyond, pitch * math.sqrt(3) / 2),
        )
        x[1::2] += pitch / 2
        self._x, self._y = x.ravel() - self.middle[0], y.ravel() - self.middle[1]
        self._away: dict[int, Floats] = {}  # along each direction: how far the samples are from the middle
        self._half: dict[Seam, int] = {}
        self.all = (1 << len(self._x)) - 1
        self.outline = self._inside(outline)
        self._count = self.outline.bit_count()
        far = judge.most_hausdorff
        self._within = self._inside(outline.buffer(-far))
        # What is farther inside the outline, or outside, than a figure may be from it: there all is ink, or none.
        self._fixed = self._within | (self.all & ~self._inside(outline.buffer(far)))
        self._far_sample = FAR_AREA * pitch * pitch * math.sqrt(3) / 2 / size**2
        places = shapely.get_coordinates(shapely.segmentize(shapely.boundary(outline), PLACES * size))
        about = [self._near(x, y, far + NEAR_MORE * size) for x, y in places.tolist()]
        flagged = [(1 << place, near) for place, near in enumerate(about)]
        self._places = [_Places.of(flagged[k : k + NEIGHBOURS]) for k in range(0, len(flagged), NEIGHBOURS)]
        self._crests = [self._crest(crest) for crest in judge.crests]
        self.about_crests = reduce(or_, (crest.about for crest in self._crests), 0)

    def half(self, seam: Seam) -> int:
        """The samples on the positive side of a line."""
        bits = self._half.get(seam)
        if bits is None:
            direction, d = seam
            away = self._away.get(direction)
            if away is None:
                nx, ny = self.normal(direction)
                away = self._away[direction] = nx * self._x + ny * self._y
            bits = self._half[seam] = _bits(away > d)
        return bits

    def normal(self, direction: int) -> tuple[float, float]:
        """A line's normal of length 1."""
        return _normal(direction)

    def line(self, seam: Seam) -> Line:
        """The line in the block."""
        nx, ny = self.normal(seam[0])
        return Line(nx, ny, seam[1] + nx * self.middle[0] + ny * self.middle[1])

    def seam(self, line: Line) -> Seam:
        """The seam that lies as the line does: exactly where it is level or upright, else nearly."""
        direction = round(math.atan2(line.ny, line.nx) * DIRECTIONS / math.pi)
        return direction % DIRECTIONS, -line.side(self.middle)

    def place(self, d: float) -> float:
        """The nearest of the places that a line may take."""
        return round(d / self.step) * self.step

    def overlap(self, figure: int) -> float:
        """About what the figure and the outline have in common (IoU)."""
        off = (figure ^ self.outline).bit_count()
        both = (self._count + figure.bit_count() - off) / 2
        return both / (both + off)

    def untruth(self, figure: int) -> float:
        """About what it costs that the figure is untrue, and in parts farther from the outline than it may be."""
        far = ((figure ^ self._within) & self._fixed).bit_count()
        return price_of_untruth(self.overlap(figure) + LEEWAY, self._judge) + self._far_sample * far

    def missed(self, figure: int, across: int = -1, before: int = 0) -> int:
        """A bit for each place of the outline to which the figure's edge comes not near enough.

        With a figure that differs only ``across`` some samples from one of which is known what it missed ``before``,
        only what may have changed is looked at.
        """
        missed = 0
        for about_any, flags, places in self._places:
            if about_any & across:
                for flag, about in places:
                    here = figure & about
                    if not here or here == about:
                        missed |= flag
            else:
                missed |= before & flags
        return missed

    def beaks(self, figure: int, level: Collection[Seam]) -> float:
        """About what the figure's beaks cost; ``level``: the level and upright lines that its edges lie on."""
        return sum(crest.price for crest in self._crests if not self._is_kept(crest, figure, level))

    def _is_kept(self, crest: _Crest, figure: int, level: Collection[Seam]) -> bool:
        for seam in level:
            if seam[0] == crest.direction and crest.lowest <= seam[1] <= crest.highest:
                unlike = (crest.about & (self.half(seam) ^ figure)).bit_count()
                if min(unlike, crest.samples - unlike) < (1 - LIKE) * crest.samples:
                    return True
        return False

    def _crest(self, crest: Crest) -> _Crest:
        judge = self._judge
        at = crest.point[1] - self.middle[1] if crest.along_x else crest.point[0] - self.middle[0]
        reach = crest.reach * judge.size
        about = self._near(*crest.point, 1.2 * max(reach, CREST_REACH * judge.size))
        direction = LEVEL if crest.along_x else UPRIGHT
        return _Crest(direction, at - reach, at + reach, about, about.bit_count(), judge.level * crest.price)

    def _near(self, x: float, y: float, radius: float) -> int:
        dx, dy = self._x + (self.middle[0] - x), self._y + (self.middle[1] - y)
        return _bits(dx * dx + dy * dy <= radius * radius)

    def _inside(self, shape: BaseGeometry) -> int:
        shapely.prepare(shape)
        return _bits(shapely.contains_xy(shape, self._x + self.middle[0], self._y + self.middle[1]))


@cache
def _normal(direction: int) -> tuple[float, float]:
    angle = direction * math.pi / DIRECTIONS
    nx, ny, _ = normal_form(math.cos(angle), math.sin(angle))
    return nx, ny


def _bits(mask: Flags) -> int:
    return int.from_bytes(np.packbits(mask, bitorder="little").tobytes(), "little")
