"""Where a letter is level: at the highest, lowest, leftmost and rightmost places of its bowls, and on its long
level and upright straights.

A figure that has a corner or a slanted edge there instead of a level one has a beak or a tilt, which the eye
sees at once.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from shapely.geometry import MultiPolygon

from converter.model import Point
from converter.straighten.outline.chain import Chain, Straight, make_chain

TILT = 3.0  # pieces: what it costs that a long straight is not level
BEAK = 0.7  # the same of a corner where a bowl ought to be level: with the truth that it costs, about what it saves
FOOT = (
    1.1  # the same at the top or the foot of the letter, on which the line of text stands: it is seen at once
)
SMOOTH = 2  # a closed outline with no more corners than this is round
BOWL_LENGTH = 0.22  # of size: a smooth stretch shorter than this is a rounded corner, not a bowl
LONG = 0.12  # of size: a level straight as long as this is seen to slant
OVERSHOOT = 0.032  # of size: a round letter stands out of the line of letters by no more
AT_END = 0.03  # of size: a bowl as near as this to the letter's highest or lowest place ends there
BEND, BEND_DEGREES = (
    3,
    40.0,
)  # samples beside a short straight: it ends a bowl where the outline turns by less there
NEAR = 0.06  # of size: the level edge must pass this near
ON_LINE = (
    0.015  # of size: so near, where a long straight stands on the line of text or is as high as other letters
)


@dataclass(frozen=True, slots=True)
class Crest:
    """A level place of an outline; ``along_x`` where it is horizontal there, ``price`` (pieces) of a beak there.

    ``reach`` (of size): as near as this a level edge must pass.
    """

    point: Point
    along_x: bool
    price: float
    reach: float = NEAR


def find_crests(outline: MultiPolygon, size: float, heights: Sequence[float] = ()) -> tuple[Crest, ...]:
    """The crests of all bowls and the middles of all long level straights of an outline (mm).

    ``heights`` (mm, y) are the alphabet's.
    """
    crests: list[Crest] = []
    _, top, _, foot = outline.bounds

    def at_end(point: Point, along_x: bool, reach: float = AT_END) -> bool:
        return along_x and min(point[1] - top, foot - point[1]) < reach * size

    for polygon in outline.geoms:
        for ring in (polygon.exterior, *polygon.interiors):
            chain = make_chain([(float(x), float(y)) for x, y in ring.coords[:-1]], size, closed=True)
            places = [(_point(chain, k), along_x) for k, along_x in crest_places(chain, size)]
            for run in chain.straights:
                if 0.0 not in run.direction:
                    continue
                place = _middle(chain, run), run.direction[1] == 0.0
                if run.length >= LONG * size:
                    crests.append(Crest(*place, TILT, ON_LINE if at_end(*place, ON_LINE) else NEAR))
                elif _ends_bowl(chain, run):
                    places.append(place)
            for (x, y), along_x in places:
                # Round letters stand in line with the flat ones, in the figure as in the font.
                in_line = along_x and any(abs(y - height) <= OVERSHOOT * size for height in heights)
                price = FOOT if at_end((x, y), along_x) else BEAK
                crests.append(Crest((x, y), along_x, price, OVERSHOOT if in_line else NEAR))
    return tuple(crests)


def crest_places(chain: Chain, size: float) -> Iterator[tuple[int, bool]]:
    """The samples at which the bowls of a closed chain are level, and whether they are horizontal there."""
    hard = [chain.breaks[k] for k, is_hard in enumerate(chain.hard) if is_hard]
    straight = {(chain.breaks[s.first], chain.breaks[s.last]) for s in chain.straights}
    if len(hard) <= SMOOTH and not straight:
        stretches = [(0, len(chain.points) - 1, True)]
    else:
        stretches = [(a, b, False) for a, b in pairwise(hard) if (a, b) not in straight]
    steps = chain.steps
    for first, last, whole in stretches:
        if float(steps[first:last].sum()) < BOWL_LENGTH * size:
            continue
        for axis, along_x in ((1, True), (0, False)):
            values = chain.points[first : last + 1, axis]
            for k in (int(values.argmax()), int(values.argmin())):
                if whole or 0 < k < len(values) - 1:
                    yield first + k, along_x


def _point(chain: Chain, k: int) -> Point:
    x, y = chain.points[k]
    return float(x), float(y)


def _middle(chain: Chain, run: Straight) -> Point:
    (px, py), (qx, qy) = _point(chain, chain.breaks[run.first]), _point(chain, chain.breaks[run.last])
    return (px + qx) / 2, (py + qy) / 2


def _ends_bowl(chain: Chain, run: Straight) -> bool:
    """Whether a closed outline bends smoothly, and the same way, into a straight and out of it."""
    around = len(chain.points) - 1
    first, last = chain.breaks[run.first], chain.breaks[run.last]
    (bx, by), (ax, ay) = (
        chain.points[first] - chain.points[(first - BEND) % around],
        chain.points[(last + BEND) % around] - chain.points[last % around],
    )
    dx, dy = run.direction
    into, out = (
        math.atan2(bx * dy - by * dx, bx * dx + by * dy),
        math.atan2(dx * ay - dy * ax, dx * ax + dy * ay),
    )
    return into * out > 0 and max(abs(into), abs(out)) < math.radians(BEND_DEGREES)
