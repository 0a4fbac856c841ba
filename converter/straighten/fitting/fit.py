"""The cheapest row of edges along a chain: exact dynamic programming over pairs of neighbouring edges.

Cost: one for each edge (less where its line is used anyway), the area between outline and edges, and how far
two neighbouring edges meet from the outline. (Optimal segmentation by dynamic programming: Bellman 1961; with
edges that need not pass through the outline's own points, so that neighbours must be weighed in pairs.)
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from converter.geometry import Line, meet
from converter.straighten.fitting.edges import Edge, LineKey, Reach
from converter.straighten.outline.chain import SAMPLE_STEP, Chain, End, Flags, Floats, Integers

CORNER_REACH = 0.048  # of size: two edges must meet this near to the outline, within `CORNER_WINDOW`
CORNER_WINDOW = 0.12  # of size: as far along the outline as this on either side of the break
AT_HEIGHT = 0.25  # pieces: what it is worth that an edge keeps a height of the alphabet
STRAIGHT_THROUGH = math.cos(math.radians(7))  # edges that turn by less than this are one edge
SHARPEST_BOWL = math.cos(math.radians(62))  # two slanted edges on a curve turn by no more than this
BLUNT_TIP = 0.025  # of size, from the axis: a narrower end of a stroke may become a point
LEVEL_TANGENT = math.sin(math.radians(10))  # where a smooth outline is this level, a corner would be a beak


@dataclass(frozen=True, slots=True)
class FitPrices:
    """What a fit is charged, in pieces."""

    per_area: float  # a mm² between outline and figure
    short_edge: float  # an edge shorter than ``short``
    short: float  # mm


class Fitter:
    """Fits one chain at several prices; the edges and how they meet are worked out once."""

    def __init__(
        self,
        chain: Chain,
        edges: Sequence[Edge],
        size: float,
        orbit: Callable[[Line], int],
        closing: Callable[[Line], Line] | None,
    ) -> None:
        """``orbit`` tells how many lines of the figure an edge's line stands for (its mirror images);
        ``closing`` maps the first edge's line to the one that the last edge meets, where the ends join."""
        self._chain, self._edges, self._size, self._closing = chain, edges, size, closing
        self._orbits = np.array([orbit(edge.line) for edge in edges], dtype=float)
        self._keys = [edge.key for edge in edges]
        self._areas = np.array([edge.area for edge in edges])
        self._at_height = np.array([edge.at_height for edge in edges], dtype=float)
        ends = chain.points[list(chain.breaks)]
        self._chords = np.array([math.dist(ends[e.start], ends[e.end]) for e in edges])
        last = len(chain.breaks) - 1
        self._last = last
        starts, stops = (
            np.array([e.start for e in edges], dtype=int),
            np.array([e.end for e in edges], dtype=int),
        )
        self._from: list[Integers] = [np.nonzero(starts == j)[0] for j in range(last + 1)]
        self._to: list[Integers] = [np.nonzero(stops == j)[0] for j in range(last + 1)]
        self._table = _table(edges)
        self._joints = {
            j: self._joint(self._table[self._to[j]], self._table[self._from[j]], j) for j in range(1, last)
        }
        self._within: dict[Reach, Flags] = {}

    def fit(
        self, prices: FitPrices, reach: Reach, shared: Mapping[LineKey, float]
    ) -> tuple[float, list[Edge]]:
        """The cheapest edges within reach; infinite cost and no edges where none fit.

        ``shared`` has the price of an edge (in pieces) on each line that several edges may lie on.
        """
        edges = self._edges
        lines = np.array([shared.get(key, 1.0) for key in self._keys])
        lines = lines - AT_HEIGHT * self._at_height
        cost = (lines + prices.short_edge * (self._chords < prices.short)) * self._orbits
        symmetric = self._symmetry_order()
        cost = cost + prices.per_area * symmetric * self._areas
        joint_price = prices.per_area * symmetric
        if reach not in self._within:
            self._within[reach] = np.array([reach.holds(edge.needs) for edge in edges], dtype=bool)
        within = self._within[reach]
        starts: list[int] = [n for n in self._from[0].tolist() if within[n]]
        final: list[int] = [n for n in self._to[self._last].tolist() if within[n]]
        if not starts or not final:
            return math.inf, []
        ways = len(starts) if self._closing else 1
        best = np.full((ways, len(edges)), np.inf)
        back = np.full((ways, len(edges)), -1, dtype=int)
        if self._closing:
            for way, n in enumerate(starts):
                best[way, n] = cost[n]
        else:
            best[0, starts] = cost[starts] + self._end_cost(starts, 0) * joint_price
        for j in range(1, self._last):
            into, out = self._to[j], self._from[j]
            here, on = within[into], within[out]
            into, out = into[here], out[on]
            if not len(into) or not len(out):
                continue
            total = best[:, into, None] + self._joints[j][np.ix_(here, on)][None] * joint_price
            best[:, out] = total.min(axis=1) + cost[out]
            back[:, out] = into[total.argmin(axis=1)]
        if self._closing:
            moved = _table([self._moved(edges[b]) for b in starts])
            closing = self._joint(self._table[final], moved, self._last)
            ends = best[:, final] + closing.T * joint_price
        else:
            ends = best[:, final] + self._end_cost(final, 1)[None] * joint_price
        way, n = divmod(int(ends.argmin()), ends.shape[1])
        total_cost = float(ends[way, n])
        if not math.isfinite(total_cost):
            return math.inf, []
        chosen = []
        k = final[n]
        while k >= 0:
            chosen.append(edges[k])
            k = int(back[way, k])
        return total_cost, chosen[::-1]

    def _symmetry_order(self) -> float:
        return float(max(self._orbits, default=1.0))

    def _moved(self, edge: Edge) -> Edge:
        assert self._closing is not None
        line = self._closing(edge.line)
        along = edge.along if line == edge.line else (-edge.along[0], -edge.along[1])
        return replace(edge, line=line, along=along)

    def _joint(self, into: Floats, out: Floats, j: int) -> Floats:
        """Area (mm²) that the corner of each pair stands off the outline; infinite where they do not meet.

        ``into`` and ``out``: the edges' rows of the table.
        """
        table = np.full((len(into), len(out)), np.inf)
        a, b = into[:, None], out[None]
        det = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
        bends = (a[..., 3] * b[..., 3] + a[..., 4] * b[..., 4]) < STRAIGHT_THROUGH
        with np.errstate(divide="ignore", invalid="ignore"):
            x = (a[..., 2] * b[..., 1] - b[..., 2] * a[..., 1]) / det
            y = (a[..., 0] * b[..., 2] - b[..., 0] * a[..., 2]) / det
        fine = bends & (np.abs(det) > 1e-6)
        if not self._chain.hard[j]:
            blunt = (a[..., 3] * b[..., 3] + a[..., 4] * b[..., 4]) > SHARPEST_BOWL
            fine &= ((a[..., 5] + b[..., 5]) > 0) | (blunt & (not self._is_level_curve(j)))
        corners = np.stack([x[fine], y[fine]], axis=-1)
        off = np.full(table.shape, np.inf)
        off[fine] = self._off_outline(corners, j)
        fine &= off <= CORNER_REACH * self._size
        table[fine] = np.round(0.25 * off[fine] ** 2, 6)
        return table

    def _off_outline(self, corners: Floats, j: int) -> Floats:
        """Distance of corners, shape (n, 2), to the nearest sample of the outline round break j."""
        index = self._chain.breaks[j]
        reach = round(CORNER_WINDOW / SAMPLE_STEP)
        samples = self._chain.points
        if self._chain.closed:
            window = samples[:-1].take(range(index - reach, index + reach + 1), axis=0, mode="wrap")
        else:
            window = samples[max(0, index - reach) : index + reach + 1]
        (x, y), (wx, wy) = corners.T[:, :, None], window.T
        return np.asarray(np.sqrt(((x - wx) ** 2 + (y - wy) ** 2).min(axis=1, initial=np.inf)))

    def _is_level_curve(self, j: int) -> bool:
        """Whether the outline is horizontal or vertical at break j."""
        index = self._chain.breaks[j]
        points = self._chain.points
        before, after = points[max(index - 1, 0)], points[min(index + 1, len(points) - 1)]
        dx, dy = (float(v) for v in after - before)
        return min(abs(dx), abs(dy)) <= LEVEL_TANGENT * math.hypot(dx, dy)

    def _end_cost(self, edges: Sequence[int], which: int) -> Floats:
        """At a mirror axis the edge runs straight across, unless the outline has a corner there."""
        end: End | None = self._chain.ends[which]
        break_index = 0 if which == 0 else self._last
        px, py = self._chain.points[self._chain.breaks[break_index]]
        costs = []
        for n in edges:
            edge = self._edges[n]
            across = edge.along[0] if end == "x" else edge.along[1]
            if abs(across) == 1.0:
                costs.append(0.0)
                continue
            axis = Line(1.0, 0.0, float(px)) if end == "x" else Line(0.0, 1.0, float(py))
            corner = meet(edge.line, axis)
            off = math.inf if corner is None else math.dist(corner, (px, py))
            if self._smooth_end(which) or off > CORNER_REACH * self._size:
                costs.append(math.inf)
            else:
                costs.append(0.25 * off * off)
        return np.array(costs)

    def _smooth_end(self, which: int) -> bool:
        """Whether the outline crosses the axis at a right angle, as the top of an O does.

        A tip that is cut off by less than `BLUNT_TIP` is a tip for all that.
        """
        points = self._chain.points if which == 0 else self._chain.points[::-1]
        off = np.abs(points - points[0]).max(axis=1)
        dx, dy = (abs(float(v)) for v in points[int((off > BLUNT_TIP * self._size).argmax())] - points[0])
        across, beside = (dx, dy) if self._chain.ends[which] == "x" else (dy, dx)
        return beside <= across * math.tan(math.radians(12))


def _table(edges: Sequence[Edge]) -> Floats:
    """What decides how edges meet: normal, distance, direction, whether level; shape (edges, 6)."""
    return np.array([(*e.line, *e.along, e.level) for e in edges], dtype=float).reshape(-1, 6)
