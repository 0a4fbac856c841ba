"""Figures without a fit: an outline's own corners, fewer and fewer; and, for what no block can hold, its mass alone."""

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from converter.fidelity import intricacy
from converter.limits import MOST_INTRICATE
from converter.model import Polygons
from converter.polygons import rings_of
from converter.straighten.fitting.straightener import tidy_figure
from converter.straighten.outline.symmetry import Symmetry, fundamental_part, unfolded

TOLERANCES = (0.03, 0.015, 0.005)  # of size
MOST_EDGES = 40  # of a coarse figure
COARSER = 1.4


def is_too_intricate(outline: MultiPolygon, size: float) -> bool:
    """Whether an outline has far more edges than any block can have pieces."""
    return intricacy(outline, size) > MOST_INTRICATE


def simplified(outline: MultiPolygon, symmetry: Symmetry, size: float) -> list[Polygons]:
    """The outline's own corners, fewer and fewer: for what no row of edges fits."""
    part = fundamental_part(outline, symmetry)
    shapes = [
        tidy_figure(unfolded(shapely.simplify(part, tolerance * size), symmetry)) for tolerance in TOLERANCES
    ]
    return [rings_of(shape) for shape in shapes if shape is not None] or [rings_of(outline)]


def coarse_figure(outline: MultiPolygon, size: float, least_width: float) -> Polygons:
    """The mass of an outline in a few edges: what is nearer together than pieces are wide runs together, what is
    thinner is left out. If nothing is left, or too much still, the outline's rectangle."""
    hull = shapely.simplify(outline, size * TOLERANCES[-1])
    closed = hull.buffer(least_width, join_style="mitre").buffer(-least_width, join_style="mitre")
    mass = closed.buffer(-least_width / 2, join_style="mitre").buffer(least_width / 2, join_style="mitre")
    shape: BaseGeometry = _largest(mass if not mass.is_empty else closed)
    tolerance = size * TOLERANCES[0]
    while _edges(shape) > MOST_EDGES and tolerance < size:
        shape = _largest(shapely.simplify(shape, tolerance))
        tolerance *= COARSER
    figure = tidy_figure(shape) if not shape.is_empty else None
    if figure is None or _edges(figure) > MOST_EDGES:
        figure = MultiPolygon([shapely.box(*outline.bounds)])
    return rings_of(figure)


def _largest(shape: BaseGeometry) -> BaseGeometry:
    """The largest part, without its holes."""
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    return Polygon(max(parts, key=lambda part: part.area).exterior) if parts else Polygon()


def _edges(shape: BaseGeometry) -> int:
    return len(shapely.get_coordinates(shape))
