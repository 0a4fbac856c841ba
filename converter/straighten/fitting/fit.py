"""The cheapest row of edges along a chain: exact dynamic programming over pairs of neighbouring edges.

Cost: one for each edge (less where its line is used anyway), the area between outline and edges, and how far
two neighbouring edges meet from the outline. (Optimal segmentation by dynamic programming: Bellman 1961; with
edges that need not pass through the outline's own points, so that neighbours must be weighed in pairs.)
"""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from converter.compiled import Floats, Integers, compiled, inner, int64
from converter.geometry import Line
from converter.model import Point
from converter.straighten.fitting.edges import SAME_DISTANCE, Edges, Path, Reach
from converter.straighten.outline.chain import SAMPLE_STEP, Chain
from converter.straighten.outline.lines import SAME_NORMAL

CORNER_REACH = 0.048  # of size: two edges must meet this near to the outline, within `CORNER_WINDOW`
CORNER_WINDOW = 0.12  # of size: as far along the outline as this on either side of the break
WINDOW = round(CORNER_WINDOW / SAMPLE_STEP)  # the same in samples
AT_HEIGHT = 0.25  # pieces: what it is worth that an edge keeps a height of the alphabet
STRAIGHT_THROUGH = math.cos(math.radians(7))  # edges that turn by less than this are one edge
SHARPEST_BOWL = math.cos(math.radians(62))  # two slanted edges on a curve turn by no more than this
BLUNT_TIP = 0.025  # of size, from the axis: a narrower end of a stroke may become a point
LEVEL_TANGENT = math.sin(math.radians(10))  # where a smooth outline is this level, a corner would be a beak
SQUARE_END = math.tan(math.radians(12))  # no farther off a right angle at an axis, an outline is smooth there
OFF_PRICE = 0.25  # of the square of how far a corner is off the outline: about the area that it costs
PARALLEL = 1e-6  # sine of the angle between edges that do not meet


@dataclass(frozen=True, slots=True)
class FitPrices:
    """What a fit is charged, in pieces."""

    per_area: float  # a mm² between outline and figure
    short_edge: float  # an edge shorter than ``short``
    short: float  # mm


class FittedEdge(NamedTuple):
    """One edge of a fit, from break to break."""

    start: int
    end: int
    line: Line


class Joints(NamedTuple):
    """Which edges may come before each, and the area (mm²) that the corner between them stands off the outline.

    Of edge k they are ``before[at[k]:at[k + 1]]``.
    """

    at: Integers
    before: Integers
    off: Floats


class Fitter:
    """Fits one chain at several prices; the edges and how they meet are worked out once."""

    def __init__(self, chain: Chain, path: Path, edges: Edges, size: float, centre: Point | None) -> None:
        """``centre``: of the half turn under which the chain's end is the image of its beginning."""
        self._edges, self._closing = edges, chain.closed or chain.ends == (None, None)
        self._order = float(edges.orbit.max(initial=1))
        self._joints = find_joints(path, edges, size)
        last = len(path.breaks) - 1
        self._starts, self._finals = np.nonzero(edges.start == 0)[0], np.nonzero(edges.end == last)[0]
        if self._closing:
            turned = Line(*centre, 1.0) if centre and not chain.closed else Line(0.0, 0.0, 0.0)
            self._ends = find_closings(path, edges, self._starts, self._finals, size, *turned)
        else:
            self._begin = _end_off(chain, edges, self._starts, 0, size)
            self._ends = _end_off(chain, edges, self._finals, -1, size)[:, None]

    def fit(self, prices: FitPrices, reach: Reach, shared: Floats) -> tuple[float, list[FittedEdge]]:
        """The cheapest edges within reach; infinite cost and no edges where none fit.

        ``shared``, shape (lines, 4): lines that several edges may lie on, and the price (in pieces) of an edge there.
        """
        edges, per_area = self._edges, prices.per_area * self._order
        cost = price_lines(edges.line, shared) - AT_HEIGHT * edges.at_height
        cost = (cost + prices.short_edge * (edges.chord < prices.short)) * edges.orbit + per_area * edges.area
        within = (edges.curve <= reach.curve) & (edges.shared <= reach.shared)
        starts, finals = within[self._starts], within[self._finals]
        if not starts.any() or not finals.any():
            return math.inf, []
        first = self._starts[starts]
        if self._closing:  # a way for each edge that may be first
            begin = np.full((len(first), len(first)), np.inf)
            np.fill_diagonal(begin, 0.0)
            ends = self._ends[finals][:, starts]
        else:
            begin, ends = self._begin[starts][:, None], self._ends[finals]
        total, row = cheapest(
            edges.start, cost, within.astype(np.int64), self._joints, per_area, first, begin,
            self._finals[finals], np.ascontiguousarray(ends),
        )  # fmt: skip
        return total, [
            FittedEdge(int(edges.start[k]), int(edges.end[k]), Line(*edges.line[k].tolist()))
            for k in row.tolist()
        ]


@compiled
def price_lines(lines: Floats, shared: Floats) -> Floats:
    """The price of an edge on each line: 1, or that of the shared line that it is."""
    prices = np.empty(len(lines))
    for k in range(len(lines)):
        prices[k] = 1.0
        for n in range(len(shared)):
            if (
                abs(shared[n, 2] - lines[k, 2]) < SAME_DISTANCE
                and abs(shared[n, 0] - lines[k, 0]) < SAME_NORMAL
                and abs(shared[n, 1] - lines[k, 1]) < SAME_NORMAL
            ):
                prices[k] = shared[n, 3]
    return prices


@inner
def _is_level_curve(path: Path, j: int) -> bool:
    """Whether the outline is horizontal or vertical at break j."""
    index = path.breaks[j]
    a, b = max(index - 1, 0), min(index + 1, len(path.points) - 1)
    dx, dy = abs(path.points[b, 0] - path.points[a, 0]), abs(path.points[b, 1] - path.points[a, 1])
    return bool(min(dx, dy) <= LEVEL_TANGENT * np.sqrt(dx * dx + dy * dy))


@inner
def _corner_off(
    path: Path, j: int, level_curve: bool, a: Floats, along: Floats, b: Floats, then: Floats, size: float
) -> float:
    """The area (mm²) that the corner of two lines stands off the outline at break j; infinite where none may be.

    ``along`` and ``then`` are the directions of the edges.
    """
    det = a[0] * b[1] - a[1] * b[0]
    cosine = along[0] * then[0] + along[1] * then[1]
    if cosine >= STRAIGHT_THROUGH or abs(det) <= PARALLEL:
        return np.inf
    level = a[0] == 0.0 or a[1] == 0.0 or b[0] == 0.0 or b[1] == 0.0
    if not path.hard[j] and not level and (level_curve or cosine <= SHARPEST_BOWL):
        return np.inf
    x, y = (a[2] * b[1] - b[2] * a[1]) / det, (a[0] * b[2] - b[0] * a[2]) / det
    around, index = len(path.points) - 1, path.breaks[j]
    dx, dy = path.points[index, 0] - x, path.points[index, 1] - y
    if np.sqrt(dx * dx + dy * dy) > 1.01 * (CORNER_REACH + CORNER_WINDOW) * size:  # too far from all samples
        return np.inf
    off = np.inf
    for k in range(index - WINDOW, index + WINDOW + 1):
        if path.closed:
            k %= around
        elif k < 0 or k > around:
            continue
        dx, dy = path.points[k, 0] - x, path.points[k, 1] - y
        off = min(off, dx * dx + dy * dy)
    if off > (CORNER_REACH * size) ** 2:
        return np.inf
    return float(np.floor(OFF_PRICE * off * 1e6 + 0.5) / 1e6)


@compiled
def find_joints(path: Path, edges: Edges, size: float) -> Joints:
    """How each edge may meet those that end where it begins."""
    count, last = len(edges.start), len(path.breaks) - 1
    # The edges that end at each break, one row after the other.
    rows, ending = np.zeros(last + 2, np.int64), np.empty(count, np.int64)
    for k in range(count):
        rows[edges.end[k] + 1] += 1
    for j in range(last + 1):
        rows[j + 1] += rows[j]
    filled = np.zeros(last + 1, np.int64)
    for k in range(count):
        j = edges.end[k]
        ending[rows[j] + filled[j]] = k
        filled[j] += 1
    room = 0
    for k in range(count):
        room += rows[edges.start[k] + 1] - rows[edges.start[k]]
    at, before, off = np.zeros(count + 1, np.int64), np.empty(room, np.int64), np.empty(room)
    found, here, level_curve = 0, int64(-1), False
    for k in range(count):
        j = edges.start[k]
        if j != here:
            here, level_curve = j, _is_level_curve(path, j)
        for n in range(rows[j], rows[j + 1]):
            b = ending[n]
            area = _corner_off(
                path, j, level_curve, edges.line[b], edges.along[b], edges.line[k], edges.along[k], size
            )
            if area < np.inf:
                before[found], off[found] = b, area
                found += 1
        at[k + 1] = found
    return Joints(at, before[:found], off[:found])


@compiled
def find_closings(
    path: Path, edges: Edges, starts: Integers, finals: Integers, size: float, cx: float, cy: float,
    turned: float,
) -> Floats:  # fmt: skip
    """How each last edge meets each first one, shape (finals, starts); or, where ``turned`` is not 0, the image of the
    first after half a turn about (cx, cy)."""
    last = len(path.breaks) - 1
    off = np.empty((len(finals), len(starts)))
    line, along = np.empty(3), np.empty(2)
    level_curve = _is_level_curve(path, last)
    for n in range(len(starts)):
        k = starts[n]
        line[0], line[1], line[2] = edges.line[k, 0], edges.line[k, 1], edges.line[k, 2]
        along[0], along[1] = edges.along[k, 0], edges.along[k, 1]
        if turned:
            line[2] = 2 * (line[0] * cx + line[1] * cy) - line[2]
            along[0], along[1] = -along[0], -along[1]
        for m in range(len(finals)):
            f = finals[m]
            off[m, n] = _corner_off(path, last, level_curve, edges.line[f], edges.along[f], line, along, size)
    return off


@compiled
def cheapest(
    start: Integers, cost: Floats, within: Integers, joints: Joints, per_area: float, starts: Integers, begin: Floats,
    finals: Integers, ends: Floats,
) -> tuple[float, Integers]:  # fmt: skip
    """The cheapest row of edges and its cost; infinite, and no edges, where there is none.

    ``begin`` (starts, ways) and ``ends`` (finals, ways): the area (mm²) that it takes to begin and to end with an edge;
    a row begins and ends in the same way.
    """
    count, ways = len(cost), begin.shape[1]
    best, back = np.empty((count, ways)), np.empty((count, ways), np.int64)
    for k in range(count):
        for w in range(ways):
            best[k, w], back[k, w] = np.inf, -1
    for n in range(len(starts)):
        for w in range(ways):
            best[starts[n], w] = cost[starts[n]] + begin[n, w] * per_area
    for k in range(count):
        if not within[k] or start[k] == 0:
            continue
        for n in range(joints.at[k], joints.at[k + 1]):
            b = joints.before[n]
            if not within[b]:
                continue
            joint = joints.off[n] * per_area
            for w in range(ways):
                total = best[b, w] + joint
                if total < best[k, w]:
                    best[k, w], back[k, w] = total, b
        for w in range(ways):
            best[k, w] += cost[k]
    least, way, at = np.inf, -1, -1
    for w in range(ways):
        for n in range(len(finals)):
            total = best[finals[n], w] + ends[n, w] * per_area
            if total < least:
                least, way, at = total, w, finals[n]
    length, k = 0, at
    while k >= 0:
        length += 1
        k = back[k, way]
    row = np.empty(length, np.int64)
    k = at
    while k >= 0:
        length -= 1
        row[length] = k
        k = back[k, way]
    return least, row


def _end_off(chain: Chain, edges: Edges, which: Integers, end: int, size: float) -> Floats:
    """At a mirror axis an edge runs straight across, unless the outline has a corner there: the area (mm²) that it is
    off then. ``end``: 0 for the chain's beginning, -1 for its end."""
    across, beside = (0, 1) if chain.ends[end] == "x" else (1, 0)
    at = chain.points[chain.breaks[end]]
    line, along = edges.line[which], edges.along[which]
    slanted = np.abs(along[:, across]) != 1.0
    normal = np.where(line[:, beside] == 0.0, np.inf, line[:, beside])
    off = np.abs((line[:, 2] - line[:, across] * at[across]) / normal - at[beside])
    far = (off > CORNER_REACH * size) | (line[:, beside] == 0.0) | _is_smooth_end(chain, end, size)
    return np.where(slanted, np.where(far, np.inf, OFF_PRICE * off * off), 0.0)


def _is_smooth_end(chain: Chain, end: int, size: float) -> bool:
    """Whether the outline crosses the axis at a right angle, as the top of an O does.

    A tip that is cut off by less than `BLUNT_TIP` is a tip for all that.
    """
    points = chain.points if end == 0 else chain.points[::-1]
    off = np.abs(points - points[0]).max(axis=1)
    dx, dy = np.abs(points[int((off > BLUNT_TIP * size).argmax())] - points[0]).tolist()
    across, beside = (dx, dy) if chain.ends[end] == "x" else (dy, dx)
    return bool(beside <= across * SQUARE_END)
