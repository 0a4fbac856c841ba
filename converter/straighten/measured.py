"""A drawing measured against an outline: which edge each sample of the outline is nearest to, and how far off it is."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from converter.model import Point
from converter.sewing.problem import normals_of
from converter.straighten.chain import Flags, Floats, Integers, hard_corners
from converter.straighten.drawing import LineDrawing

CORNER_WEIGHT = 1e-6  # of a step: corners count for what is far, not for where lines go
ON_RUN = 0.003  # of size: samples this near to a line lie on it
RUN_SHARE = 0.6  # a line with this share of its samples on it stays put


@dataclass(frozen=True, slots=True)
class Samples:
    """Points along an outline, shape (n, 2), and the length that each stands for, shape (n,). In mm."""

    points: Floats
    weights: Floats


def sample_outline(outline: MultiPolygon, step: float) -> Samples:
    """Points in the middle of pieces of the outline no longer than ``step``, and its corners, which hardly weigh."""
    points, weights = [], []
    for polygon in outline.geoms:
        for ring in (polygon.exterior, *polygon.interiors):
            along = shapely.get_coordinates(shapely.segmentize(ring, step))
            points.append((along[1:] + along[:-1]) / 2)
            weights.append(np.hypot(*(along[1:] - along[:-1]).T))
            corners = shapely.get_coordinates(ring)[:-1]
            hard = hard_corners(corners)
            points.append(corners[hard])
            weights.append(np.full(int(hard.sum()), CORNER_WEIGHT * step))
    # Each coordinate in a row of its own in memory: what is done to all samples is faster so.
    return Samples(np.asfortranarray(np.concatenate(points)), np.concatenate(weights))


@dataclass(frozen=True)
class Measured:
    """A drawing beside the samples of an outline; worked out when first asked for, and kept."""

    drawing: LineDrawing
    samples: Samples
    starts: Floats  # of all edges, shape (edges, 2), mm
    ends: Floats  # corner k ends edge k
    owners: Integers  # the line of each edge, shape (edges,)

    @cached_property
    def _nearest(self) -> tuple[Integers, Floats]:
        (sx, sy), (dx, dy) = self.starts.T[..., None], (self.ends - self.starts).T[..., None]
        px, py = self.samples.points.T
        # In place, an edge in a row: this takes more time than anything else in straightening.
        x, y = px - sx, py - sy  # shape (edges, samples)
        t, part = x * dx, y * dy
        t += part
        t /= np.maximum(dx * dx + dy * dy, 1e-12)
        np.maximum(t, 0.0, out=t)
        np.minimum(t, 1.0, out=t)
        x -= np.multiply(t, dx, out=part)
        y -= np.multiply(t, dy, out=part)
        x *= x
        y *= y
        x += y
        pick = x.argmin(axis=0)
        return self.owners[pick], np.sqrt(x[pick, np.arange(len(pick))])

    @property
    def nearest(self) -> Integers:
        """For each sample the line of the nearest edge, shape (samples,)."""
        return self._nearest[0]

    @property
    def off(self) -> Floats:
        """For each sample the distance (mm) to the nearest edge, shape (samples,)."""
        return self._nearest[1]

    @cached_property
    def _corners(self) -> tuple[Integers, Floats]:
        (ex, ey), (px, py) = self.ends.T[..., None], self.samples.points.T
        x, y = px - ex, py - ey  # shape (edges, samples)
        x *= x
        y *= y
        x += y
        pick = x.argmin(axis=1)
        return np.asarray(pick), np.asarray(np.sqrt(x[np.arange(len(pick)), pick]))

    @property
    def at_corner(self) -> Integers:
        """For each corner the nearest sample, shape (edges,)."""
        return self._corners[0]

    @property
    def corner_off(self) -> Floats:
        """For each corner the distance (mm) to the nearest sample, shape (edges,)."""
        return self._corners[1]

    @cached_property
    def farthest(self) -> float:
        """About the Hausdorff distance (mm): from the samples to the figure, and from its corners to the samples."""
        return max(float(self.off.max()), float(self.corner_off.max()))

    @cached_property
    def area_off(self) -> float:
        """About the area (mm²) between figure and outline."""
        return float((self.off * self.samples.weights).sum())

    @cached_property
    def offsets(self) -> Floats:
        """How far (mm) each sample is from its line, and on which side."""
        nx, ny, d = normals_of(self.drawing.lines)[:, self.nearest]
        x, y = self.samples.points.T
        # Not as a matrix product: those are rounded differently from machine to machine.
        return np.asarray(x * nx + y * ny - d)

    def carry_runs(self, size: float, share: float = RUN_SHARE) -> Flags:
        """Whether each line carries a straight run of the font, on which a ``share`` of its samples lie."""
        on_run, weights, count = np.abs(self.offsets) <= ON_RUN * size, self.samples.weights, len(self.drawing.lines)
        weight = np.bincount(self.nearest, weights, count)
        return np.asarray((weight > 0) & (np.bincount(self.nearest, weights * on_run, count) >= share * weight))

    def straight_lines(self, size: float) -> frozenset[int]:
        """The lines that carry straight runs of the font, and those that carry nothing."""
        runs = self.carry_runs(size)
        return frozenset(k for k in range(len(runs)) if runs[k] or not (self.nearest == k).any())

    def lines_at(self, corner: int) -> tuple[int, int]:
        """The lines that meet in a corner."""
        ring_start = 0
        for row in self.drawing.rings:
            if corner < ring_start + len(row):
                return row[corner - ring_start], row[(corner - ring_start + 1) % len(row)]
            ring_start += len(row)
        raise IndexError(corner)

    def far_end(self, line: int, point: Point) -> Point:
        """Of the ends of all edges on a line the one that is farthest from the point."""
        mine = self.owners == line
        ends = [(float(x), float(y)) for x, y in (*self.starts[mine], *self.ends[mine])]
        return max(ends, key=lambda end: (math.dist(end, point), end))


def measured(drawing: LineDrawing, samples: Samples) -> Measured | None:
    """The drawing beside the samples; None where its lines do not close to rings."""
    corners: list[Point] = []
    starts: list[int] = []  # the corner where each edge begins
    for ring in range(len(drawing.rings)):
        there = drawing.corners(ring)
        if there is None or len(there) < 3:
            return None
        first, last = len(corners), len(corners) + len(there) - 1
        starts += [last, *range(first, last)]
        corners += there
    ends = np.array(corners)
    owners = [line for row in drawing.rings for line in row]
    return Measured(drawing, samples, ends[starts], ends, np.array(owners))
