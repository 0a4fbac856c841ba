"""One alphabet, one hand: what the letters of a run share, found from the font.

Heights are y in the block (mm), the same for all letters of a run, since these stand on one baseline at one scale.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from converter.placement import Placed
from converter.polygons import rings_of
from converter.straighten.outline.chain import Chain, make_chain
from converter.straighten.outline.crests import crest_places
from converter.straighten.outline.strokes import strokes

SAME = 0.012  # of size: measures nearer than this are one
SAME_SLOPE = 5.0  # degrees
LONG_ENOUGH = 0.08  # of size: shorter level edges (the end of a serif) do not set a measure
CORNER = 0.04  # of size: a smaller rounding is no bowl's corner
MOST_SLOPES = 4

Measure = tuple[float, float, int]  # value, weight, number of the letter


@dataclass(frozen=True, slots=True)
class Hand:
    """What letters of a run share; each in rising order, none that only one letter has."""

    heights: tuple[float, ...] = ()  # y of level edges (mm)
    stems: tuple[float, ...] = ()  # widths of upright strokes (mm)
    bars: tuple[float, ...] = ()  # widths of level strokes (mm)
    slopes: tuple[
        float, ...
    ] = ()  # of the edges that stand for a bowl's corners: degrees from the level, 0 to 90

    def measures(self) -> dict[str, list[float]]:
        """All of them by name, as the pattern's settings tell them."""
        return {
            "heights": list(self.heights),
            "stems": list(self.stems),
            "bars": list(self.bars),
            "slopes": list(self.slopes),
        }


def find_hand(placed: Iterable[Placed]) -> Hand:
    """The measures that two letters or more of the run share, with baseline and cap height; empty without letters."""
    letters = list(placed)
    if not letters:
        return Hand()
    size, baseline = letters[0].size, letters[0].baseline
    heights: list[Measure] = []
    widths: tuple[list[Measure], list[Measure]] = ([], [])
    slopes: list[Measure] = []
    for n, letter in enumerate(letters):
        chains = list(_chains(letter, size))
        runs = [
            (c.points[c.breaks[s.first]], c.points[c.breaks[s.last]])
            for c in chains
            for s in c.straights
            if 0.0 in s.direction and s.length >= LONG_ENOUGH * size
        ]
        edges = [((float(p[0]), float(p[1])), (float(q[0]), float(q[1]))) for p, q in runs]
        edges = [(p, (p[0], q[1]) if abs(p[0] - q[0]) < abs(p[1] - q[1]) else (q[0], p[1])) for p, q in edges]
        heights += [(p[1], math.dist(p, q), n) for p, q in edges if p[1] == q[1]]
        for stroke in strokes(edges, rings_of(letter.outline), size):
            widths[stroke.axis].append((stroke.width, stroke.length, n))
        slopes += [(slope, length, n) for c in chains for slope, length in _corner_slopes(c, size)]
    anchors = [baseline, baseline - size]
    shared = [y for y in _shared(heights, SAME * size) if all(abs(y - a) > SAME * size for a in anchors)]
    stems, bars = (tuple(sorted(_shared(row, SAME * size))) for row in widths)
    return Hand(
        tuple(sorted(anchors + shared)), stems, bars, tuple(sorted(_shared(slopes, SAME_SLOPE)[:MOST_SLOPES]))
    )


def _chains(letter: Placed, size: float) -> Iterator[Chain]:
    for polygon in letter.outline.geoms:
        for ring in (polygon.exterior, *polygon.interiors):
            yield make_chain([(float(x), float(y)) for x, y in ring.coords[:-1]], size, closed=True)


def _corner_slopes(chain: Chain, size: float) -> Iterator[tuple[float, float]]:
    """Slope (degrees) and length (mm) of the chord of each smooth quarter turn, from where it is level to where it is
    upright: near its middle a quarter of an ellipse is parallel to its chord."""
    places = list(crest_places(chain, size))
    for run in chain.straights:
        if 0.0 in run.direction:
            places += [(chain.breaks[k], run.direction[1] == 0.0) for k in (run.first, run.last)]
    places.sort()
    corners = [chain.breaks[k] for k, is_hard in enumerate(chain.hard) if is_hard]
    for (a, a_along), (b, b_along) in pairwise(places):
        dx, dy = (abs(float(v)) for v in chain.points[b] - chain.points[a])
        if a_along != b_along and min(dx, dy) >= CORNER * size and not any(a < k < b for k in corners):
            yield math.degrees(math.atan2(dy, dx)), math.hypot(dx, dy)


def _shared(measures: Sequence[Measure], reach: float) -> list[float]:
    """The values that two letters or more have, grouped round the one that carries most weight, again and again."""
    waiting = sorted(measures)
    found = []
    while waiting:
        weight = [sum(m[1] for m in waiting if abs(m[0] - seed[0]) <= reach) for seed in waiting]
        seed = waiting[max(range(len(waiting)), key=lambda k: (weight[k], -k))]
        members = [m for m in waiting if abs(m[0] - seed[0]) <= reach]
        if len({m[2] for m in members}) > 1:
            found.append(sum(m[0] * m[1] for m in members) / sum(m[1] for m in members))
        waiting = [m for m in waiting if abs(m[0] - seed[0]) > reach]
    return found
