"""Moves the lines of a drawing to where the outline wants them: each sample of the outline goes to its nearest edge,
each line to the middle of its samples (Lloyd's iteration, with lines in place of centres). Least is to be the area
between outline and figure, which is a sum of distances and not of their squares: samples count less the farther off
they are (iteratively reweighted least squares, Weiszfeld 1937, from memory).

Level lines stay level, lines that carry a straight run of the font stay put, images follow.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import MultiPolygon

from converter.geometry import Line, line_through
from converter.model import Point
from converter.straighten.chain import Floats, hard_corners
from converter.straighten.drawing import LineDrawing
from converter.straighten.edges import LEVEL_DEGREES

CORNER_WEIGHT = 1e-6  # of a step: corners count for what is far, not for where lines go
ON_RUN = 0.003  # of size: samples this near to a line lie on it
RUN_SHARE = 0.6  # a line with this share of its samples on it stays put
WHOLE_RUN = 0.9  # and with this share even where the figure is too far from the outline
SQUARED_WITHIN = 0.01  # of size: a sample much farther off than this counts by its distance, a nearer one by its square
MOST_TURN = math.sin(math.radians(20))
MOST_SHIFT = 0.06  # of size
AT_CORNER = (
    1e-4  # of size: nearer to a corner than to its edges by no more than this is nearest to the corner
)
LEAST_SLANT = math.sin(math.radians(LEVEL_DEGREES))
EASINGS = 10
EASE, EASE_STRAIGHT = 1.15, 0.15  # of what is too far: so far a line moves at a time

Integers = npt.NDArray[np.int64]


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
    return Samples(np.concatenate(points), np.concatenate(weights))


def refitted(drawing: LineDrawing, samples: Samples, size: float) -> LineDrawing | None:
    """The drawing with its lines moved once; None where it has no corners to begin with."""
    edges = _edges(drawing)
    if edges is None:
        return None
    nearest, _ = _nearest(edges, samples)
    fits = _fits(drawing.lines, nearest, samples, size)
    moved: dict[int, Line] = {}
    for k, line in enumerate(fits):
        if line is not None and k not in moved:
            moved |= drawing.images_of(k, line) or {}
    return drawing.with_line(moved)


def straight_lines(drawing: LineDrawing, samples: Samples, size: float) -> frozenset[int]:
    """The lines that carry straight runs of the font, and those that carry nothing."""
    edges = _edges(drawing)
    if edges is None:
        return frozenset(range(len(drawing.lines)))
    nearest, _ = _nearest(edges, samples)
    runs = _carry_runs(drawing.lines, nearest, samples, size)
    return frozenset(k for k in range(len(drawing.lines)) if runs[k] or not (nearest == k).any())


def farthest(drawing: LineDrawing, samples: Samples) -> float:
    """About the Hausdorff distance (mm): from the samples to the figure, and from its corners to the samples."""
    edges = _edges(drawing)
    if edges is None:
        return math.inf
    _, off = _nearest(edges, samples)
    return max(float(off.max()), float(_corner_offsets(edges, samples)[1].max()))


def eased(
    drawing: LineDrawing, samples: Samples, size: float, limit: float, run_share: float = RUN_SHARE
) -> LineDrawing | None:
    """The drawing with the lines that are farther from the outline than ``limit`` (mm) moved back to it.

    A slanted line that carries a straight run of the font moves only where no other can: the tip of a narrow
    notch wanders far for a small shift of its sides. With less than ``run_share`` of its samples on it, a line does
    not carry a run, but a curve that begins straight. None where the drawing is not far at all, or nothing that may
    move would help.
    """
    moved = None
    for _ in range(EASINGS):
        edges = _edges(drawing)
        if edges is None:
            return None
        nearest, off = _nearest(edges, samples)
        corner_at, corner_off = _corner_offsets(edges, samples)
        k, c = int(off.argmax()), int(corner_off.argmax())
        excess = max(float(off[k]), float(corner_off[c])) - limit
        if excess <= 0:
            return moved
        if off[k] >= corner_off[c]:
            toward = samples.points[k]
            apart = np.hypot(*(edges.ends - toward).T)
            tip = int(apart.argmin())
            at_tip = apart[tip] <= off[k] + AT_CORNER * size
            lines = _lines_at(edges, tip) if at_tip else [int(nearest[k])]
        else:
            lines, toward = _lines_at(edges, c), samples.points[corner_at[c]]
        runs = _carry_runs(drawing.lines, nearest, samples, size, run_share)
        free = [i for i in lines if not runs[i]]
        target = (float(toward[0]), float(toward[1]))
        if not free:  # the tip can go no nearer than along a level line that stays
            for level in (drawing.lines[i] for i in lines if drawing.lines[i].is_level):
                off_level = level.side(target)
                target = (target[0] - off_level * level.nx, target[1] - off_level * level.ny)
        changed = False
        for index in free or [i for i in lines if not drawing.lines[i].is_level]:
            line = drawing.lines[index]
            side = line.side(target)
            if free:
                step = math.copysign(min(abs(side), EASE * excess), side)
                new = Line(line.nx, line.ny, line.d + step)
            else:
                step = math.copysign(min(abs(side), EASE_STRAIGHT * excess), side)
                new = _turned(line, _far_end(edges, index, target), target, step)
            there = drawing.moved(index, new)
            if there is not None:
                drawing, changed = there, True
        if not changed:
            return moved
        moved = drawing
    return moved


@dataclass(frozen=True, slots=True)
class _Edges:
    """All edges of a drawing: ends (n, 2), line of each (n,), ring of each (n,). Corner k ends edge k."""

    starts: Floats
    ends: Floats
    owners: Integers
    rings: Integers


def _edges(drawing: LineDrawing) -> _Edges | None:
    starts, ends, owners, rings = [], [], [], []
    for ring, row in enumerate(drawing.rings):
        corners = drawing.corners(ring)
        if corners is None or len(corners) < 3:
            return None
        for k, line in enumerate(row):
            starts.append(corners[k - 1])
            ends.append(corners[k])
            owners.append(line)
            rings.append(ring)
    return _Edges(np.array(starts), np.array(ends), np.array(owners), np.array(rings))


def _far_end(edges: _Edges, line: int, point: Point) -> Point:
    """Of the ends of all edges on a line the one that is farthest from the point."""
    mine = edges.owners == line
    ends = [(float(x), float(y)) for x, y in (*edges.starts[mine], *edges.ends[mine])]
    return max(ends, key=lambda end: (math.dist(end, point), end))


def _turned(line: Line, pivot: Point, point: Point, step: float) -> Line:
    """The line turned about the pivot, so that beside the point it moves by ``step`` (mm)."""
    off = line.side(point) - step
    new = line_through(pivot, (point[0] - off * line.nx, point[1] - off * line.ny))
    return new if new.nx * line.nx + new.ny * line.ny > 0 else Line(-new.nx, -new.ny, -new.d)


def _lines_at(edges: _Edges, k: int) -> list[int]:
    """The lines that meet in corner k, at the end of edge k."""
    ring = np.nonzero(edges.rings == edges.rings[k])[0]
    after = int(ring[0]) if k == ring[-1] else k + 1
    return [int(edges.owners[k]), int(edges.owners[after])]


def _nearest(edges: _Edges, samples: Samples) -> tuple[Integers, Floats]:
    """For each sample the line of the nearest edge, and the distance (mm)."""
    (sx, sy), (dx, dy), (px, py) = edges.starts.T, (edges.ends - edges.starts).T, samples.points.T
    x, y = px[:, None] - sx, py[:, None] - sy  # shape (samples, edges)
    t = (x * dx + y * dy) / np.maximum(dx * dx + dy * dy, 1e-12)
    np.clip(t, 0.0, 1.0, out=t)
    off = (x - t * dx) ** 2 + (y - t * dy) ** 2
    pick = off.argmin(axis=1)
    return np.asarray(edges.owners[pick]), np.asarray(np.sqrt(off[np.arange(len(pick)), pick]))


def _corner_offsets(edges: _Edges, samples: Samples) -> tuple[Integers, Floats]:
    """For each corner the nearest sample, and the distance (mm)."""
    (ex, ey), (px, py) = edges.ends.T, samples.points.T
    off = (ex[:, None] - px) ** 2 + (ey[:, None] - py) ** 2
    return np.asarray(off.argmin(axis=1)), np.asarray(np.sqrt(off.min(axis=1)))


def _offsets(lines: Sequence[Line], nearest: Integers, samples: Samples) -> Floats:
    """How far (mm) each sample is from its line, and on which side."""
    (nx, ny, d), (x, y) = np.array(lines)[nearest].T, samples.points.T
    # Not as a matrix product: those are rounded differently from machine to machine.
    return np.asarray(x * nx + y * ny - d)


def _carry_runs(
    lines: Sequence[Line], nearest: Integers, samples: Samples, size: float, share: float = RUN_SHARE
) -> npt.NDArray[np.bool_]:
    """Whether each line carries a straight run of the font, on which a ``share`` of its samples lie."""
    on_run = np.abs(_offsets(lines, nearest, samples)) <= ON_RUN * size
    weight = np.bincount(nearest, samples.weights, len(lines))
    return np.asarray((weight > 0) & (np.bincount(nearest, samples.weights * on_run, len(lines)) >= share * weight))


def _fits(lines: Sequence[Line], nearest: Integers, samples: Samples, size: float) -> list[Line | None]:
    """Where each line should be, in the middle of the samples that are nearest to it; None where it should stay."""
    off, (x, y) = _offsets(lines, nearest, samples), samples.points.T
    weights = samples.weights / (np.abs(off) + SQUARED_WITHIN * size)

    def total(values: Floats) -> Floats:  # for each line
        return np.asarray(np.bincount(nearest, values, len(lines)), dtype=float)

    weight = total(weights)
    there = np.maximum(weight, 1e-12)
    shift = total(weights * off) / there
    middle_x, middle_y = total(weights * x) / there, total(weights * y) / there
    x, y = x - middle_x[nearest], y - middle_y[nearest]
    angle = 0.5 * np.arctan2(2 * total(weights * x * y), total(weights * x * x) - total(weights * y * y))
    free = ~_carry_runs(lines, nearest, samples, size) & (weight > 0) & (np.abs(shift) <= MOST_SHIFT * size)
    return [
        _turned_to(line, *row) if is_free else None
        for line, is_free, *row in zip(
            lines, free.tolist(), shift.tolist(), angle.tolist(), middle_x.tolist(), middle_y.tolist(), strict=True
        )
    ]


def _turned_to(line: Line, shift: float, angle: float, x: float, y: float) -> Line:
    """The line through (x, y) at an angle; moved by the shift alone where it must not turn so far."""
    nx, ny = -math.sin(angle), math.cos(angle)
    if nx * line.nx + ny * line.ny < 0:
        nx, ny = -nx, -ny
    if line.is_level or abs(nx * line.ny - ny * line.nx) > MOST_TURN or min(abs(nx), abs(ny)) < LEAST_SLANT:
        return Line(line.nx, line.ny, line.d + shift)
    return Line(nx, ny, nx * x + ny * y)
