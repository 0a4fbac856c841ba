"""How the overlap of a drawing and an outline changes, to the first order, as a line of the drawing is moved.

Where an edge moves out, the strip that it sweeps over within the outline makes the figure truer, the rest of the strip
less true. So where edges run within the outline tells what a move would do, without making it.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from converter.geometry import signed_area
from converter.sewing.problem import normals_of
from converter.straighten.chain import Floats
from converter.straighten.drawing import LineDrawing
from converter.straighten.measured import Measured

NO_LENGTH = 1e-9  # mm
ALONG = 48  # places of an edge at which it is asked whether they are within the outline


@dataclass(frozen=True, slots=True)
class Gradient:
    """How much of the overlap (IoU) is won for a mm that a line is moved, with its images; shape (lines,) each."""

    shifted: Floats  # along its normal
    turned: Floats  # about the middle of its edges; what its ends are moved


def gradient(fit: Measured, figure: MultiPolygon, outline: MultiPolygon, truth: float) -> Gradient:
    """The gradient of a drawing with a valid ``figure``, whose overlap with the outline is ``truth``."""
    drawing, count = fit.drawing, len(fit.drawing.lines)
    either = (figure.area + outline.area) / (1 + truth)
    nx, ny, _ = normals_of(drawing.lines)[:, fit.owners, None]
    start, way = fit.starts[:, None], (fit.ends - fit.starts)[:, None]  # shape (edges, 1, 2)
    at = (np.arange(ALONG) + 0.5)[:, None] / ALONG
    x, y = np.moveaxis(start + at * way, 2, 0)  # shape (edges, ALONG) each
    shapely.prepare(outline)
    inside = shapely.contains_xy(outline, x, y)
    # A strip of area a adds a to both, where it is within the outline, else to either: d (both / either).
    sweeps = (nx * way[..., 1] - ny * way[..., 0]) * _ink_sides(drawing)[:, None] / ALONG
    won = sweeps * np.where(inside, 1.0, -truth) / either
    along = y * nx - x * ny
    images = np.array([len(drawing.orbit(k)) for k in range(count)])
    return Gradient(
        np.asarray(np.bincount(fit.owners, won.sum(axis=1), count) * images),
        np.asarray(np.bincount(fit.owners, (won * _levers(fit, along)).sum(axis=1), count) * images),
    )


def _levers(fit: Measured, along: Floats) -> Floats:
    """How far each place moves out as its line is turned by 1 at the ends of its edges; all shapes (edges, ALONG)."""
    first, last = along[:, 0], along[:, -1]
    over = (last - first) / (ALONG - 1) / 2  # from the outermost places to the ends
    ends = np.stack([first - over, last + over])
    least, most = np.full((2, len(fit.drawing.lines)), np.inf) * [[1], [-1]]
    np.minimum.at(least, fit.owners, ends.min(axis=0))
    np.maximum.at(most, fit.owners, ends.max(axis=0))
    middle, half = ((most + least) / 2)[fit.owners], ((most - least) / 2)[fit.owners]
    return np.asarray((middle[:, None] - along) / np.maximum(half, NO_LENGTH)[:, None])


def _ink_sides(drawing: LineDrawing) -> Floats:
    """For each edge 1 where a normal with the edge on its left points out of the ink, else -1."""
    sides = np.zeros(len(drawing.rings))
    for polygon in drawing.polygons:
        for number, ring in enumerate(polygon):
            sides[ring] = np.sign(signed_area(drawing.corners(ring) or ())) * (-1 if number else 1)
    return np.repeat(sides, [len(row) for row in drawing.rings])
