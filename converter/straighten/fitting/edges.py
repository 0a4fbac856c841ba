"""Every straight edge that could stand for a stretch of a chain, and what it would cost in truth.

An edge that stands for a curve crosses it: its offset is the mean of the curve's, so that what the letter
loses on one side it gains on the other. Straight runs of the outline keep their direction, and mostly their
place: stems stay upright and keep their width.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from converter.geometry import Line, normal_form
from converter.sewing.problem import normals_of
from converter.straighten.outline.chain import Chain, Flags, Floats, Integers

RULING_SHARE = 0.45  # a straight run this much of a stretch decides its edge
MEANT_STRAIGHT = 0.16  # of size: a straight run this long is never hidden under another edge
LEAST_SLANT = math.sin(
    math.radians(2)
)  # a curve's edge less steep than this looks like a level one drawn badly
NEARLY_LEVEL = math.sin(
    math.radians(26)
)  # a curve's edge less steep than this may be made level, if true enough
HEIGHT_REACH = 0.028  # of size: a level edge this near to a height of the alphabet takes it
STRAIGHT_REACH = 0.012  # of size: the same for what is straight in the font
SHARED_TURN = math.sin(
    math.radians(6)
)  # an edge may take a line of the figure that turns it by no more than this


@dataclass(frozen=True, slots=True)
class Reach:
    """How far edges may be from the outline, as shares of size."""

    curve: (
        float  # a curve's sample from its edge's line; in the mean square, a stretch that has a straight run
    )
    shared: float  # a straight run from a line that it shares with other edges

    def holds(self, needed: "Reach") -> bool:
        """Whether what needs so much reach is within this one."""
        return needed.curve <= self.curve and needed.shared <= self.shared


LineKey = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Stretch:
    """The chain from break ``start`` to break ``end``, which one edge may stand for."""

    start: int
    end: int
    chord: tuple[float, float]
    middle: tuple[float, float]
    line: Line  # of the straight run that decides the edge; without one, the nearest in the mean square
    ruled: bool  # by a straight run
    turns_back: tuple[
        bool, bool
    ]  # in x, in y: has a highest or lowest point between its ends; there a bowl is level
    rms: float  # of size: how far it is, in the mean square, from the line that is nearest to it so


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
    needs: Reach

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


def find_stretches(chain: Chain, size: float, reach: Reach) -> list[Stretch]:
    """All stretches that are near enough to a straight line, and hide no straight run that is meant."""
    return [
        stretch
        for start in range(len(chain.breaks) - 1)
        for stretch in _stretches_from(start, chain, size, reach)
    ]


def own_edges(
    chain: Chain, stretches: Sequence[Stretch], size: float, heights: Sequence[float]
) -> list[Edge]:
    """The edges that each stretch may have for itself. ``heights`` (mm, y) are the alphabet's."""
    tried = []
    for stretch in stretches:
        lines = {line_key(line): line for line in _lines_for(stretch, size, heights)}
        tried += [(stretch, line) for line in lines.values()]
    return _edges(chain, tried, size, heights)


def shared_edges(
    chain: Chain, stretches: Sequence[Stretch], size: float, heights: Sequence[float], pool: Sequence[Line]
) -> list[Edge]:
    """The edges that each stretch may have on lines which other edges of the figure lie on."""
    tried = [(stretch, line) for stretch in stretches for line in pool if alike(line, stretch.line)]
    return _edges(chain, tried, size, heights)


def _stretches_from(start: int, chain: Chain, size: float, reach: Reach) -> Iterator[Stretch]:
    first, last = chain.breaks[start], np.array(chain.breaks[start + 1 :])
    sums = chain.moments[last] - chain.moments[first]
    length, mx, my = sums[:, 0], sums[:, 1] / sums[:, 0], sums[:, 2] / sums[:, 0]
    cxx, cxy, cyy = (sums[:, 3:] / sums[:, :1] - np.stack([mx * mx, mx * my, my * my], axis=1)).T
    spread = np.sqrt(((cxx - cyy) / 2) ** 2 + cxy**2)
    rms = np.sqrt(np.maximum((cxx + cyy) / 2 - spread, 0.0)) / size
    angle = 0.5 * np.arctan2(2 * cxy, cxx - cyy)
    chords = chain.points[last] - chain.points[first]
    near = np.nonzero((rms <= reach.curve) & (np.hypot(*chords.T) >= 1e-6 * size))[0]
    turns_back = _turn_back(chain.middles[first:], last - first)
    columns = (near, length[near], rms[near], angle[near], mx[near], my[near], chords[near], turns_back[near])
    runs = [run for run in chain.straights if run.first >= start]
    for n, whole, off, turn, x, y, (dx, dy), (back_x, back_y) in zip(
        *(c.tolist() for c in columns), strict=True
    ):
        end = start + 1 + n
        run = max((run for run in runs if run.last <= end), key=lambda r: (r.length, -r.first), default=None)
        ruled = run is not None and run.length >= RULING_SHARE * whole
        if run is not None and ruled:
            line = line_along(run.direction, run.point)
        elif run is not None and run.length >= MEANT_STRAIGHT * size:
            continue
        else:
            line = line_along((math.cos(turn), math.sin(turn)), (x, y))
        yield Stretch(start, end, (dx, dy), (x, y), line, ruled, (back_x, back_y), off)


def _turn_back(values: Floats, lengths: Integers) -> Flags:
    """Whether the first so many values have one between their ends that is beyond both, shape (lengths, columns)."""
    inner = np.maximum(lengths - 2, 0)  # the last value between the ends; the first value where there is none
    above = np.maximum.accumulate(values)[inner] > np.maximum(values[0], values[lengths - 1])
    below = np.minimum.accumulate(values)[inner] < np.minimum(values[0], values[lengths - 1])
    return np.asarray(above | below)


def _lines_for(stretch: Stretch, size: float, heights: Sequence[float]) -> Iterator[Line]:
    """The lines that a stretch's edge may lie on by itself."""
    own, (x, y), (turns_back_x, turns_back_y) = stretch.line, stretch.middle, stretch.turns_back
    if stretch.ruled:
        yield own
        yield from _snapped(own, heights, STRAIGHT_REACH * size)
        return
    nearly_flat, nearly_upright = abs(own.nx) < NEARLY_LEVEL, abs(own.ny) < NEARLY_LEVEL
    if nearly_flat:
        flat = Line(0.0, 1.0, y)
        yield flat
        yield from _snapped(flat, heights, HEIGHT_REACH * size)
    if nearly_upright:
        yield Line(1.0, 0.0, x)
    turns_back = (nearly_flat and turns_back_y) or (nearly_upright and turns_back_x)
    if not turns_back and min(abs(own.nx), abs(own.ny)) > LEAST_SLANT:
        yield own


def _edges(
    chain: Chain, tried: Sequence[tuple[Stretch, Line]], size: float, heights: Sequence[float]
) -> list[Edge]:
    """For each stretch an edge on each line that is tried for it."""
    if not tried:
        return []
    stretches = [stretch for stretch, _ in tried]
    far, areas = _off(chain, stretches, [line for _, line in tried])
    own, _ = _off(chain, stretches, [stretch.line for stretch in stretches])
    shared = np.where(far <= own + 1e-9, 0.0, far) / size  # of no run is more asked than it gives
    edges = []
    for (stretch, line), area, curve, run in zip(
        tried, np.round(areas, 6).tolist(), (far / size).tolist(), shared.tolist(), strict=True
    ):
        along = (line.ny, -line.nx)
        if along[0] * stretch.chord[0] + along[1] * stretch.chord[1] < 0:
            along = (-along[0], -along[1])
        at_height = line.nx == 0.0 and line.d in heights
        needs = Reach(stretch.rms, run) if stretch.ruled else Reach(curve, 0.0)
        edges.append(Edge(stretch.start, stretch.end, line, along, area, line.is_level, at_height, needs))
    return edges


def _off(chain: Chain, stretches: Sequence[Stretch], lines: Sequence[Line]) -> tuple[Floats, Floats]:
    """How far (mm) each stretch is from its line at most, and the area (mm²) between them."""
    breaks = np.array(chain.breaks)
    first, last = breaks[[s.start for s in stretches]], breaks[[s.end for s in stretches]]
    count = last - first
    begin = np.cumsum(count) - count
    row = np.repeat(np.arange(len(lines)), count)
    k = np.arange(len(row)) - (begin - first)[row]
    nx, ny, d = normals_of(lines)
    off = np.abs(chain.middles[k, 0] * nx[row] + chain.middles[k, 1] * ny[row] - d[row])
    return np.maximum.reduceat(off, begin), np.add.reduceat(off * chain.steps[k], begin)


def alike(a: Line, b: Line) -> bool:
    """Nearly one direction; what is level stays level."""
    if abs(a.nx * b.ny - a.ny * b.nx) > SHARED_TURN:
        return False
    return (a.nx == 0.0) == (b.nx == 0.0) and (a.ny == 0.0) == (b.ny == 0.0)


def _snapped(line: Line, heights: Sequence[float], reach: float) -> list[Line]:
    """The line at the alphabet's nearest height, if it is level and there is one near."""
    if line.nx == 0.0 and heights:
        nearest = min(heights, key=lambda y: (abs(y - line.d), y))
        if abs(nearest - line.d) <= reach:
            return [Line(0.0, 1.0, nearest)]
    return []
