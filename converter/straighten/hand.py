"""One alphabet, one hand: what the letters of a run share, found from the font.

Heights are y in the block (mm), the same for all letters of a run, since these stand on one baseline at one scale.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from converter.placement import Placed
from converter.straighten.chain import make_chain

SAME = 0.012  # of size: heights nearer than this are one
LONG_ENOUGH = 0.08  # of size: shorter level edges (the end of a serif) do not set a height


@dataclass(frozen=True, slots=True)
class Hand:
    """The heights that level edges of the letters take, from top to bottom."""

    heights: tuple[float, ...] = ()


def find_hand(placed: Iterable[Placed]) -> Hand:
    """The heights that two letters or more of the run share, with baseline and cap height; empty without letters."""
    letters = list(placed)
    if not letters:
        return Hand()
    size, baseline = letters[0].size, letters[0].baseline
    runs: list[tuple[float, float, int]] = []  # y, length, letter
    for n, letter in enumerate(letters):
        for polygon in letter.outline.geoms:
            for ring in (polygon.exterior, *polygon.interiors):
                chain = make_chain([(float(x), float(y)) for x, y in ring.coords[:-1]], size, closed=True)
                runs += [
                    (s.point[1], s.length, n)
                    for s in chain.straights
                    if s.direction[1] == 0.0 and s.length >= LONG_ENOUGH * size
                ]
    shared = [y for y, members in _clusters(runs, SAME * size) if len(members) > 1]
    anchors = [baseline, baseline - size]
    heights = anchors + [y for y in shared if all(abs(y - a) > SAME * size for a in anchors)]
    return Hand(tuple(sorted(heights)))


def _clusters(runs: Sequence[tuple[float, float, int]], reach: float) -> list[tuple[float, set[int]]]:
    """Heights grouped round the one that carries most edge, again and again."""
    waiting = sorted(runs)
    found = []
    while waiting:
        weight = [sum(r[1] for r in waiting if abs(r[0] - run[0]) <= reach) for run in waiting]
        seed = waiting[max(range(len(waiting)), key=lambda k: (weight[k], -k))]
        members = [r for r in waiting if abs(r[0] - seed[0]) <= reach]
        total = sum(r[1] for r in members)
        found.append((sum(r[0] * r[1] for r in members) / total, {r[2] for r in members}))
        waiting = [r for r in waiting if abs(r[0] - seed[0]) > reach]
    return found
