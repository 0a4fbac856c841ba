"""Whether like parts of an alphabet are drawn alike: the bowls of b d p q, the arches of n m h, the rounds of C G O Q.

A *stretch* is a smooth, bent piece of an outline. Two stretches are *like* where one is the other, moved and mirrored;
they are drawn *alike* where the figure stands off the outline in the same way all along. Lengths are shares of the
height of the tallest letter.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from converter.fidelity import cloth
from converter.model import Piece, Polygons
from tests.benchmarks.crests import height_of

Floats = npt.NDArray[np.float64]

POINTS = 17  # of a stretch
LENGTH = 0.40
STEP = 0.04  # from one stretch to the next
SHARPEST_DEGREES = 32.0  # turn between two points; a corner turns by more
LEAST_BEND, MOST_BEND = 50.0, 200.0  # degrees, in all
SAME_SHAPE = 0.012  # like stretches are nowhere farther apart, nor in the mean square over their points
SAME_DISTANCE = 0.02  # alike are those off which the figure stands nowhere more differently
LETTERS_ALIKE = 0.8  # two letters are drawn alike where more of their like stretches are
MIRRORS = ((1, 1), (1, -1), (-1, 1), (-1, -1))


@dataclass(frozen=True, slots=True)
class Stretch:
    """Points round the middle one, and how far outside (-) or inside (+) of the figure each lies."""

    letter: int
    in_counter: bool
    points: Floats
    off: Floats


@dataclass(frozen=True, slots=True)
class LikeParts:
    """How many pairs of stretches are like, and how many of them are drawn alike; the same by pairs of letters."""

    like: int
    alike: int
    letters: Mapping[tuple[int, int], tuple[int, int]]

    @property
    def share(self) -> float:
        """Of like stretches that are drawn alike; 1 where none are like."""
        return self.alike / self.like if self.like else 1.0

    @property
    def share_of_letters(self) -> float:
        """Of pairs of letters with like stretches (a letter with itself, too) that are drawn alike; 1 without any."""
        return 1 - len(self.unlike_letters) / len(self.letters) if self.letters else 1.0

    @property
    def unlike_letters(self) -> Sequence[tuple[int, int]]:
        """Pairs of letters with like stretches that are not drawn alike, the least alike first."""
        shares = {pair: alike / like for pair, (like, alike) in self.letters.items()}
        return sorted(
            (pair for pair in shares if shares[pair] <= LETTERS_ALIKE), key=lambda pair: (shares[pair], pair)
        )


def like_parts(letters: Sequence[tuple[Polygons, Sequence[Piece]]]) -> LikeParts:
    """The like parts of letters, each given by its outline and its pieces, in mm."""
    height = max(height_of(outline) for outline, _ in letters)
    stretches = [
        stretch
        for number, (outline, pieces) in enumerate(letters)
        for stretch in _stretches(number, outline, cloth(pieces), height)
    ]
    like: Counter[tuple[int, int]] = Counter()
    alike: Counter[tuple[int, int]] = Counter()
    for first, second, is_alike in _like_pairs(stretches):
        like[first, second] += 1
        alike[first, second] += is_alike
    return LikeParts(like.total(), alike.total(), {pair: (like[pair], alike[pair]) for pair in like})


def _stretches(letter: int, outline: Polygons, figure: BaseGeometry, height: float) -> Iterator[Stretch]:
    for polygon in outline:
        turned = orient(Polygon(polygon[0], polygon[1:]))
        for in_counter, ring in [(False, turned.exterior), *((True, hole) for hole in turned.interiors)]:
            if ring.length < 1.2 * LENGTH * height:
                continue
            count = max(1, int(ring.length / (STEP * height)))
            for number in range(count):
                points = _points(np.asarray(ring.coords), number / count, height)
                if _is_bowl(points):
                    yield Stretch(
                        letter,
                        in_counter,
                        (points - points[POINTS // 2]) / height,
                        _off(points, figure) / height,
                    )


def _points(ring: Floats, share: float, height: float) -> Floats:
    """The points of a stretch whose middle lies at a share of the closed ring's length."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))])
    places = (share * along[-1] + np.linspace(-LENGTH / 2, LENGTH / 2, POINTS) * height) % along[-1]
    return np.stack([np.interp(places, along, ring[:, axis]) for axis in (0, 1)], axis=1)


def _is_bowl(points: Floats) -> bool:
    steps = np.diff(points, axis=0)
    turns = (np.diff(np.degrees(np.arctan2(steps[:, 1], steps[:, 0]))) + 180) % 360 - 180
    return bool(np.abs(turns).max() <= SHARPEST_DEGREES and LEAST_BEND <= abs(turns.sum()) <= MOST_BEND)


def _off(points: Floats, figure: BaseGeometry) -> Floats:
    places = shapely.points(points)
    distances = shapely.distance(places, figure.boundary)
    return np.where(shapely.contains(figure, places), distances, -distances)


def _like_pairs(stretches: Sequence[Stretch]) -> Iterator[tuple[int, int, bool]]:
    """For each pair of like stretches the numbers of their letters, and whether they are drawn alike."""
    if not stretches:
        return
    points, off = (np.array([getattr(s, name) for s in stretches]) for name in ("points", "off"))
    letters, counters = (np.array([getattr(s, name) for s in stretches]) for name in ("letter", "in_counter"))
    for mirror in MIRRORS:
        # A mirrored stretch runs the other way.
        back = slice(None, None, -1 if mirror[0] * mirror[1] < 0 else 1)
        for number, stretch in enumerate(stretches):
            later = slice(number + 1, None)
            apart = points[later] - stretch.points[back] * mirror
            like = (counters[later] == stretch.in_counter) & (np.abs(apart).max(axis=(1, 2)) <= SAME_SHAPE)
            like &= (apart**2).sum(axis=(1, 2)) <= POINTS * SAME_SHAPE**2
            if mirror == (1, 1):  # a letter's stretch is like the one beside it
                like &= letters[later] != stretch.letter
            for other in number + 1 + np.flatnonzero(like):
                is_alike = np.abs(off[other] - stretch.off[back]).max() < SAME_DISTANCE
                yield stretch.letter, int(letters[other]), bool(is_alike)
