"""Every straight edge that could stand for a stretch of a chain, and what it would cost in truth.

An edge that stands for a curve crosses it: its offset is the mean of the curve's, so that what the letter
loses on one side it gains on the other. Straight runs of the outline keep their direction, and mostly their
place: stems stay upright and keep their width.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from converter.geometry import Line, normal_form
from converter.straighten.chain import Chain, Floats, Straight

RULING_SHARE = 0.45  # a straight run this much of a stretch decides its edge
MEANT_STRAIGHT = 0.16  # of size: a straight run this long is never hidden under another edge
LEVEL_DEGREES = 2.0  # a curve's edge less steep than this looks like a level one drawn badly
NEARLY_LEVEL_DEGREES = 26.0  # a curve's edge less steep than this may be made level, if it stays true enough
HEIGHT_REACH = 0.028  # of size: a level edge this near to a height of the alphabet takes it
STRAIGHT_REACH = 0.012  # of size: the same for what is straight in the font
SHARED_DEGREES = 6.0  # an edge may take a line of the figure that turns it by no more than this


@dataclass(frozen=True, slots=True)
class Reach:
    """How far edges may be from the outline, as shares of size."""

    curve: float  # a curve's sample from its edge's line
    shared: float  # a straight run from a line that it shares with other edges


LineKey = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge for the chain from break ``start`` to break ``end``."""

    start: int
    end: int
    line: Line
    along: tuple[float, float]  # unit vector in the sense of the chain
    area: float  # mm² between the chain and the line
    level: bool  # exactly horizontal or vertical
    at_height: bool  # on a height of the alphabet

    @property
    def key(self) -> LineKey:
        """Equal for edges on one line."""
        return line_key(self.line)


def line_key(line: Line) -> LineKey:
    """A line as a dictionary key: the same for lines that are the same but for rounding."""
    return (round(line.nx, 6) + 0.0, round(line.ny, 6) + 0.0, round(line.d, 4) + 0.0)


def line_along(direction: tuple[float, float], point: tuple[float, float]) -> Line:
    """The line through a point in a direction, in the same form as :func:`converter.geometry.line_through`."""
    nx, ny, _ = normal_form(-direction[1], direction[0])
    return Line(nx, ny, nx * point[0] + ny * point[1])


def candidate_edges(
    chain: Chain, size: float, reach: Reach, heights: Sequence[float] = (), pool: Sequence[Line] = ()
) -> list[Edge]:
    """All edges that stay within reach of their stretch.

    ``heights`` (mm, y) are the alphabet's; ``pool`` holds lines that other edges of the figure lie on.
    """
    middles, steps = chain.middles, chain.steps
    moments = _moments(chain)
    breaks = np.array(chain.breaks)
    limit = reach.curve * size
    found: list[Edge] = []
    count = len(breaks)
    for i in range(count - 1):
        sums = moments[breaks[i + 1 :]] - moments[breaks[i]]
        weight = sums[:, 0]
        mx, my = sums[:, 1] / weight, sums[:, 2] / weight
        cxx = sums[:, 3] / weight - mx * mx
        cxy = sums[:, 4] / weight - mx * my
        cyy = sums[:, 5] / weight - my * my
        spread = np.sqrt(((cxx - cyy) / 2) ** 2 + cxy**2)
        rms = np.sqrt(np.maximum((cxx + cyy) / 2 - spread, 0.0))
        angle = 0.5 * np.arctan2(2 * cxy, cxx - cyy)
        for n in np.nonzero(rms <= limit)[0]:
            j = i + 1 + int(n)
            window = slice(int(breaks[i]), int(breaks[j]))
            chord = chain.points[breaks[j]] - chain.points[breaks[i]]
            found += _edges_for(
                chain, i, j, middles[window], steps[window], float(weight[n]),
                (float(mx[n]), float(my[n])), float(angle[n]), (float(chord[0]), float(chord[1])),
                size, reach, heights, pool,
            )  # fmt: skip
    return found


def _moments(chain: Chain) -> Floats:
    """Length and moments of the chain up to each sample, exact for its straight steps, shape (n + 1, 6)."""
    x, y = chain.middles.T
    dx, dy = np.diff(chain.points, axis=0).T
    xx, xy, yy = x * x + dx * dx / 12, x * y + dx * dy / 12, y * y + dy * dy / 12
    table = np.stack([np.ones_like(x), x, y, xx, xy, yy], axis=1) * chain.steps[:, None]
    return np.concatenate([np.zeros((1, 6)), np.cumsum(table, axis=0)])


def _edges_for(
    chain: Chain, i: int, j: int, middles: Floats, steps: Floats, length: float, mean: tuple[float, float],
    angle: float, chord: tuple[float, float], size: float, reach: Reach, heights: Sequence[float],
    pool: Sequence[Line],
) -> list[Edge]:  # fmt: skip
    """The edges that may stand for one stretch."""
    if math.hypot(*chord) < 1e-6 * size:
        return []
    ruling = _ruling(chain.straights, i, j)
    farthest = reach.curve * size
    lines: list[Line]
    if ruling and ruling.length >= RULING_SHARE * length:
        own = line_along(ruling.direction, ruling.point)
        lines = [
            own,
            *_snapped(own, heights, STRAIGHT_REACH * size),
            *(line for line in pool if alike(line, own)),
        ]
        farthest = max(reach.shared * size, _off(own, middles).max() + 1e-9)
    elif ruling and ruling.length >= MEANT_STRAIGHT * size:
        return []
    else:
        free = line_along((math.cos(angle), math.sin(angle)), mean)
        lines = [line for line in pool if alike(line, free)]
        nearly = math.sin(math.radians(NEARLY_LEVEL_DEGREES))
        if abs(free.nx) < nearly:
            flat = Line(0.0, 1.0, mean[1])
            lines += [flat, *_snapped(flat, heights, HEIGHT_REACH * size)]
        if abs(free.ny) < nearly:
            lines.append(Line(1.0, 0.0, mean[0]))
        turns_back = (abs(free.nx) < nearly and _turns_back(middles[:, 1])) or (
            abs(free.ny) < nearly and _turns_back(middles[:, 0])
        )
        if not turns_back and min(abs(free.nx), abs(free.ny)) > math.sin(math.radians(LEVEL_DEGREES)):
            lines.append(free)
    edges = []
    seen = set()
    for line in lines:
        key = line_key(line)
        if key in seen:
            continue
        seen.add(key)
        off = _off(line, middles)
        if off.max() > farthest:
            continue
        along = (line.ny, -line.nx)
        if along[0] * chord[0] + along[1] * chord[1] < 0:
            along = (-along[0], -along[1])
        at_height = line.nx == 0.0 and line.d in heights
        edges.append(Edge(i, j, line, along, round(float((off * steps).sum()), 6), line.is_level, at_height))
    return edges


def _off(line: Line, middles: Floats) -> Floats:
    return np.asarray(np.abs(middles[:, 0] * line.nx + middles[:, 1] * line.ny - line.d))


def alike(a: Line, b: Line) -> bool:
    """Nearly one direction; what is level stays level."""
    if abs(a.nx * b.ny - a.ny * b.nx) > math.sin(math.radians(SHARED_DEGREES)):
        return False
    return (a.nx == 0.0) == (b.nx == 0.0) and (a.ny == 0.0) == (b.ny == 0.0)


def _turns_back(values: Floats) -> bool:
    """Whether the stretch has a highest or lowest point between its ends: there a bowl is level."""
    return bool(max(values[1:-1], default=values[0]) > max(values[0], values[-1])) or bool(
        min(values[1:-1], default=values[0]) < min(values[0], values[-1])
    )


def _ruling(straights: Sequence[Straight], i: int, j: int) -> Straight | None:
    inside = [s for s in straights if s.first >= i and s.last <= j]
    return max(inside, key=lambda s: (s.length, -s.first), default=None)


def _snapped(line: Line, heights: Sequence[float], reach: float) -> list[Line]:
    """The line at the alphabet's nearest height, if it is level and there is one near."""
    if line.nx == 0.0 and heights:
        nearest = min(heights, key=lambda y: (abs(y - line.d), y))
        if abs(nearest - line.d) <= reach:
            return [Line(0.0, 1.0, nearest)]
    return []
