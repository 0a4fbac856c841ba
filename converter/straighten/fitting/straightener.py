"""Straightens a whole letter at one price of truth: chains out of its outline, edges along them, rings again."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from converter.compiled import Floats
from converter.geometry import Line, meet, without_flat_corners
from converter.model import Point
from converter.straighten.fitting.edges import (
    Edges,
    Path,
    Reach,
    Stretches,
    both,
    find_edges,
    find_stretches,
    path_of,
)
from converter.straighten.fitting.fit import FitPrices, FittedEdge, Fitter
from converter.straighten.fitting.sharing import shared_lines
from converter.straighten.outline.chain import Chain, End, make_chain, sharpest_corner
from converter.straighten.outline.lines import symmetry_maps
from converter.straighten.outline.symmetry import Symmetry, fundamental_part, unfolded

IMAGE_REACH = 0.04  # of size: so near is what is fitted to the image of another that it is that image
NO_LINES, NO_PRICES = np.empty((0, 3)), np.empty((0, 4))
FLAT = 1e-7  # mm: corners nearer than this to the line of their neighbours are rounding, not shape


@dataclass(frozen=True, slots=True)
class _Link:
    """One chain of a ring, or (without chain) a corner that lies on mirror axes and stays."""

    chain: Chain | None
    corner: Point = (0.0, 0.0)


class Straightener:
    """A letter's outline (mm, in its block), ready to be straightened at several prices."""

    def __init__(
        self,
        outline: MultiPolygon,
        symmetry: Symmetry,
        size: float,
        widest: float,
        heights: Sequence[float] = (),
    ) -> None:
        """``widest`` is the farthest reach of curves that will be asked for; ``heights`` (mm, y) are the alphabet's."""
        self.symmetry, self._size, self._heights = symmetry, size, np.array(heights, dtype=float)
        part = fundamental_part(outline, symmetry)
        self._rings: list[list[list[_Link]]] = [
            [self._links(ring) for ring in (polygon.exterior, *polygon.interiors)]
            for polygon in _polygons(part, size)
        ]
        self._chains = [
            link.chain for rings in self._rings for ring in rings for link in ring if link.chain is not None
        ]
        self._maps = symmetry_maps(symmetry)
        self._paths = [path_of(chain) for chain in self._chains]
        self._stretches = [find_stretches(path, size, widest) for path in self._paths]
        self._own = [self._edges(*near, NO_LINES) for near in zip(self._paths, self._stretches, strict=True)]
        self._fitters: dict[tuple[Line, ...], list[Fitter]] = {}

    def straighten(self, prices: FitPrices, reach: Reach) -> MultiPolygon | None:
        """The figure at these prices of truth; None where no valid figure comes of it."""
        rows = [fitter.fit(prices, reach, NO_PRICES) for fitter in self._fitters_for(())]
        if any(math.isinf(cost) for cost, _ in rows):
            return None
        shared = shared_lines(
            [
                (edge.line, self._ends(chain, edge))
                for chain, (_, row) in zip(self._chains, rows, strict=True)
                for edge in row
            ],
            self.symmetry,
            reach.shared * self._size,
        )
        if not shared:
            return self._rebuilt([row for _, row in rows])
        table = np.array([(*line, price) for line, price in shared])
        fitters = self._fitters_for(tuple(line for line, _ in shared))
        again = [fitter.fit(prices, reach, table) for fitter in fitters]
        return self._rebuilt(
            [
                row if math.isinf(cost) else better
                for (_, row), (cost, better) in zip(rows, again, strict=True)
            ]
        )

    def _edges(self, path: Path, stretches: Stretches, pool: Floats) -> Edges:
        return find_edges(path, stretches, self._size, self._heights, self._maps, pool)

    def _fitters_for(self, shared: tuple[Line, ...]) -> list[Fitter]:
        """A fitter for each chain, whose edges may also take the shared lines; kept, for most prices share alike."""
        if shared not in self._fitters:
            pool = np.array(shared)
            self._fitters[shared] = [
                Fitter(
                    chain, path, both(own, self._edges(path, stretches, pool)) if shared else own, self._size,
                    self.symmetry.centre,
                )
                for chain, path, stretches, own in zip(
                    self._chains, self._paths, self._stretches, self._own, strict=True
                )
            ]  # fmt: skip
        return self._fitters[shared]

    def _ends(self, chain: Chain, edge: FittedEdge) -> tuple[Point, Point]:
        """Where the edge's stretch begins and ends, moved square onto the edge's line."""
        ends = []
        for k in (edge.start, edge.end):
            x, y = (float(v) for v in chain.points[chain.breaks[k]])
            off = edge.line.side((x, y))
            ends.append((x - off * edge.line.nx, y - off * edge.line.ny))
        return ends[0], ends[1]

    def _links(self, ring: shapely.LinearRing) -> list[_Link]:
        points = [(float(x), float(y)) for x, y in ring.coords[:-1]]
        if self.symmetry.centre is not None:
            half = self._half(points)
            return [_Link(make_chain(half or points, self._size, closed=half is None))]
        on_axis = [self._axes_at(p) for p in points]
        count = len(points)
        folds = [bool(on_axis[k] & on_axis[(k + 1) % count]) for k in range(count)]  # edge k → k + 1
        if not any(folds):
            return [_Link(make_chain(points, self._size, closed=True))]
        start = next(k for k in range(count) if folds[k - 1] and not folds[k])
        links: list[_Link] = []
        row: list[Point] = []
        for n in range(count):
            k = (start + n) % count
            if not folds[k]:
                row.append(points[k])
                if folds[(k + 1) % count]:
                    row.append(points[(k + 1) % count])
                    ends = (
                        _axis(on_axis[(start + n - len(row) + 2) % count]),
                        _axis(on_axis[(k + 1) % count]),
                    )
                    links.append(_Link(make_chain(row, self._size, closed=False, ends=ends)))
                    row = []
            elif len(on_axis[k]) == 2:
                links.append(_Link(None, (self.symmetry.x or 0.0, self.symmetry.y or 0.0)))
        return links

    def _half(self, points: Sequence[Point]) -> list[Point] | None:
        """The ring from its sharpest corner to that corner's image under the half turn; None where the ring is not
        its own image."""
        turn = self.symmetry.point_maps()[0]
        start = sharpest_corner(points)
        row = [*points[start:], *points[:start]]
        image = turn(row[0])
        end = min(range(1, len(row)), key=lambda k: (math.dist(row[k], image), k))
        if math.dist(row[end], image) > IMAGE_REACH * self._size:
            return None
        return [*row[:end], image]

    def _axes_at(self, p: Point) -> frozenset[End]:
        axes: set[End] = set()
        if self.symmetry.x is not None and abs(p[0] - self.symmetry.x) < 1e-9:
            axes.add("x")
        if self.symmetry.y is not None and abs(p[1] - self.symmetry.y) < 1e-9:
            axes.add("y")
        return frozenset(axes)

    def _rebuilt(self, rows: Sequence[Sequence[FittedEdge]]) -> MultiPolygon | None:
        queue = list(rows)
        polygons = []
        for rings in self._rings:
            built = []
            for ring in rings:
                points: list[Point] = []
                for link in ring:
                    points += self._corners(link.chain, queue.pop(0)) if link.chain else [link.corner]
                if self.symmetry.centre is not None and not (ring[0].chain and ring[0].chain.closed):
                    points += [turn(p) for turn in self.symmetry.point_maps() for p in points]
                if len(points) < 3:
                    return None
                built.append(points)
            polygons.append(Polygon(built[0], built[1:]))
        part = MultiPolygon(polygons)
        if not part.is_valid:
            return None
        return tidy_figure(unfolded(part, self.symmetry))

    def _corners(self, chain: Chain, row: Sequence[FittedEdge]) -> list[Point]:
        corners = [meet(a.line, b.line) for a, b in pairwise(row)]
        if chain.closed:
            corners.append(meet(row[-1].line, row[0].line))
        elif chain.ends == (None, None):
            corners.append(meet(row[-1].line, self.symmetry.turned(row[0].line)))
        else:
            corners.insert(0, self._on_axis(row[0].line, chain, 0))
            corners.append(self._on_axis(row[-1].line, chain, -1))
        return [p for p in corners if p is not None]

    def _on_axis(self, line: Line, chain: Chain, which: int) -> Point | None:
        # The axis itself, not the chain's end: clipping may have left that a rounding error beside it.
        x, y = self.symmetry.x or 0.0, self.symmetry.y or 0.0
        if chain.ends[which] == "x":
            p = meet(line, Line(1.0, 0.0, x))
            return None if p is None else (x, p[1])
        p = meet(line, Line(0.0, 1.0, y))
        return None if p is None else (p[0], y)


def tidy_figure(shape: BaseGeometry) -> MultiPolygon | None:
    """A valid figure of polygons without flat corners, in a settled order; None for anything else."""
    if shape.is_empty or not shape.is_valid:
        return None
    shape = shapely.set_precision(shape, 0)
    polygons = []
    for polygon in shape.geoms if isinstance(shape, MultiPolygon) else [shape]:
        if not isinstance(polygon, Polygon):
            return None
        rings = [
            without_flat_corners([(x, y) for x, y in ring.coords[:-1]], FLAT)
            for ring in (polygon.exterior, *polygon.interiors)
        ]
        polygons.append(Polygon(rings[0], rings[1:]))
    figure = MultiPolygon(polygons)
    normal = figure.normalize()
    return normal if figure.is_valid and isinstance(normal, MultiPolygon) else None


def _polygons(part: BaseGeometry, size: float) -> list[Polygon]:
    geoms = part.geoms if hasattr(part, "geoms") else [part]
    return [g for g in geoms if isinstance(g, Polygon) and g.area > (1e-4 * size) ** 2]


def _axis(axes: frozenset[End]) -> End | None:
    return min(axes, default=None)
