"""An outline as bits, one for each sample of a grid: a figure is compared with it by a few operations on integers.

Fast and coarse: who finds a figure here has it judged in full afterwards.
Lengths in mm, from the middle of the outline; prices in pieces.
"""

import math
from collections.abc import Collection
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import Point
from shapely.geometry.base import BaseGeometry

from converter.geometry import Line, normal_form
from converter.straighten.crests import Crest
from converter.straighten.judging import Judge, price_of_untruth

SAMPLES = 70  # along the outline's size
AROUND = 0.06  # of size: so far beyond the outline lie samples, too
DIRECTIONS = 240  # of lines, in half a turn; an even number, so that level and upright are among them
UPRIGHT, LEVEL = 0, DIRECTIONS // 2
STEP = 0.003  # of size: between two places of a line
# What a grid does not see: a figure found on it keeps the limits by this much more.
TRUTH_MARGIN = 0.0015
FAR_MARGIN = 0.99
FAR_AREA = 1000.0  # pieces for an area of size² that is farther from the outline than it may be
FAR_POINT = 1.0  # pieces for a place of the outline to which the figure's edge comes not near enough
PLACES = 0.05  # of size: between two such places
CREST_REACH = 0.03  # of size: so far along the outline at least a crest is looked at
LIKE = 0.7  # of the samples about a crest: so many have to lie as a level edge there parts them

Seam = tuple[int, float]  # a line: its normal's direction in parts of half a turn, and its distance from the middle
Floats = npt.NDArray[np.float64]


class _Crest(NamedTuple):
    """A crest on the raster: where a level edge may lie, the samples about it and how many, the price of a beak."""

    direction: int
    lowest: float
    highest: float
    about: int
    samples: int
    price: float


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
        far = judge.most_hausdorff * FAR_MARGIN
        self._outside = self.all & ~self._inside(outline.buffer(far))
        self._within = self._inside(outline.buffer(-far))
        self._far_sample = FAR_AREA * pitch * pitch * math.sqrt(3) / 2 / size**2
        places = shapely.get_coordinates(shapely.segmentize(shapely.boundary(outline), PLACES * size))
        self._about = [self._inside(Point(*place).buffer(far)) for place in places.tolist()]
        self._crests = [self._crest(crest) for crest in judge.crests]

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
        angle = direction * math.pi / DIRECTIONS
        nx, ny, _ = normal_form(math.cos(angle), math.sin(angle))
        return nx, ny

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

    def untruth(self, figure: int, limit: float) -> float:
        """About what it costs that the figure is untrue and far from the outline; the ``limit`` or more if as dear."""
        off = (figure ^ self.outline).bit_count()
        both = (self._count + figure.bit_count() - off) / 2
        cost = price_of_untruth(both / (both + off) - TRUTH_MARGIN, self._judge)
        if cost >= limit:
            return cost
        cost += self._far_sample * ((figure & self._outside) | (self._within & ~figure)).bit_count()
        if cost >= limit:
            return cost
        for number, about in enumerate(self._about):
            here = figure & about
            if not here or here == about:
                cost += FAR_POINT
                if cost >= limit:
                    # The next figure is likely to be too far from the same place.
                    self._about.insert(0, self._about.pop(number))
                    break
        return cost

    def beaks(self, figure: int, seams: Collection[Seam]) -> float:
        """About what the figure's beaks cost; ``seams`` are the lines that its edges lie on."""
        cost = 0.0
        for crest in self._crests:
            for seam in seams:
                if seam[0] == crest.direction and crest.lowest <= seam[1] <= crest.highest:
                    unlike = (crest.about & (self.half(seam) ^ figure)).bit_count()
                    if min(unlike, crest.samples - unlike) < (1 - LIKE) * crest.samples:
                        break
            else:
                cost += crest.price
        return cost

    def _crest(self, crest: Crest) -> _Crest:
        judge = self._judge
        at = crest.point[1] - self.middle[1] if crest.along_x else crest.point[0] - self.middle[0]
        reach = crest.reach * judge.size
        about = self._inside(Point(crest.point).buffer(1.2 * max(reach, CREST_REACH * judge.size)))
        direction = LEVEL if crest.along_x else UPRIGHT
        return _Crest(direction, at - reach, at + reach, about, about.bit_count(), judge.level * crest.price)

    def _inside(self, shape: BaseGeometry) -> int:
        shapely.prepare(shape)
        return _bits(shapely.contains_xy(shape, self._x + self.middle[0], self._y + self.middle[1]))


def _bits(mask: npt.NDArray[np.bool_]) -> int:
    return int.from_bytes(np.packbits(mask, bitorder="little").tobytes(), "little")
