"""Figures as rings of corners made drawings of lines, and back."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from converter.compiled import Floats
from converter.geometry import signed_area, without_flat_corners
from converter.model import Point, Polygons
from converter.polygons import polygons_of
from converter.sewing.problem import distinct_lines
from converter.straighten.cost.drawing import (
    Drawing,
    corners_of,
    keeps_sense,
    previous,
    with_images,
)
from converter.straighten.outline.lines import image_of

MOST_TURN = 0.1  # sine of the angle between a line and the image that it ought to be
FLAT = 1e-6  # mm; a corner that is nearer to the line of its neighbours is none

Holes = tuple[int, ...]  # for each polygon of a figure how many rings it has


def drawing_of(figure: Polygons, maps: Floats) -> Drawing | None:
    """The lines of a figure; None where an image of a line is missing, so that the symmetry does not hold."""
    edges: list[tuple[Point, Point]] = []
    rings: list[range] = []
    for polygon in figure:
        for ring in polygon:
            rings.append(range(len(edges), len(edges) + len(ring)))
            edges += [(ring[k - 1], ring[k]) for k in range(len(ring))]
    lines, owner = distinct_lines(edges)
    rows = [_without_repeats([owner[e] for e in ring]) for ring in rings]
    if not rows or min(map(len, rows)) < 3:
        return None
    table = np.array(lines, dtype=float)
    images, fine = with_images(table, maps)
    if not fine:
        return None
    return Drawing(
        table,
        np.array([line for row in rows for line in row], dtype=np.int64),
        np.cumsum([0, *map(len, rows)]),
        np.sign([signed_area(ring) for polygon in figure for ring in polygon]),
        images,
    )


def symmetrised(figure: Polygons, maps: Floats, reach: float) -> Polygons | None:
    """The figure made exactly symmetric under a symmetry of order 2: each line and its image's meet half way.

    None where a line has no image within ``reach`` (mm) and a few degrees.
    """
    drawing = drawing_of(figure, maps[:0])
    if drawing is None or len(maps) != 1:
        return None
    lines = drawing.lines.copy()
    waiting = list(range(len(lines)))
    while waiting:
        k = waiting.pop(0)
        nx, ny, d = image_of(lines[k], maps, 0)
        turn = np.abs(nx * lines[:, 1] - ny * lines[:, 0])
        near = [m for m in (k, *waiting) if turn[m] < MOST_TURN and abs(lines[m, 2] - d) < reach]
        if not near:
            return None
        m = min(near, key=lambda n: (abs(lines[n, 2] - d), n))
        half = (lines[m] + (nx, ny, d)) / 2
        half /= np.hypot(half[0], half[1])
        lines[m] = half
        if m != k:
            lines[k] = image_of(half, maps, 0)
            waiting.remove(m)
    return figure_of(drawing._replace(lines=lines), holes_of(figure))


def figure_of(drawing: Drawing, holes: Holes) -> Polygons | None:
    """The figure of a drawing; None where its lines do not close to rings, or turn the other way round."""
    corners, fine = corners_of(drawing)
    if not fine or not keeps_sense(drawing, corners):
        return None
    points = [(x, y) for x, y in corners.tolist()]
    rings = [
        without_flat_corners(points[first:last], FLAT)
        for first, last in zip(drawing.rings.tolist(), drawing.rings[1:].tolist(), strict=False)
    ]
    figure, start = [], 0
    for count in holes:
        figure.append(tuple(rings[start : start + count]))
        start += count
    return tuple(figure)


def edge_ends(drawing: Drawing) -> list[list[Point]]:
    """For each line the ends of its edges, two an edge."""
    points = [(x, y) for x, y in corners_of(drawing)[0].tolist()]
    ends: list[list[Point]] = [[] for _ in drawing.lines]
    for k, (line, before) in enumerate(zip(drawing.edges.tolist(), previous(drawing).tolist(), strict=True)):
        ends[line] += [points[before], points[k]]
    return ends


def holes_of(figure: Polygons) -> Holes:
    """How many rings each polygon of a figure has."""
    return tuple(len(polygon) for polygon in figure)


def shape_of(figure: Polygons) -> MultiPolygon | None:
    """The figure as a shape; None where its rings cross."""
    shape = polygons_of(figure)
    return shape if shapely.is_valid(shape) else None


def _without_repeats(row: Sequence[int]) -> list[int]:
    """Neighbouring edges on one line are one edge."""
    return [line for k, line in enumerate(row) if line != row[k - 1] or len(row) == 1]
