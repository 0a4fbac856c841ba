"""How true a straight-edged figure is to the outline that it stands for. Lengths in mm."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

HAUSDORFF_STEP = 0.4  # mm between the points at which distances are taken; see `hausdorff`


def iou(a: BaseGeometry, b: BaseGeometry) -> float:
    """Area in both ÷ area in either (intersection over union): 1 for the same shape, 0 for apart or empty."""
    both = shapely.intersection(a, b).area
    either = a.area + b.area - both
    return float(both / either) if either > 0 else 0.0


def hausdorff(a: BaseGeometry, b: BaseGeometry, step: float = HAUSDORFF_STEP) -> float:
    """The farthest that a point of either boundary is from the other boundary.

    Taken at the corners and at points no more than ``step`` apart along both boundaries, from each point to
    the other boundary itself, so that the result is short of the truth by less than ``step / 2``.
    """
    return max(_farthest(a, b, step), _farthest(b, a, step))


def _farthest(a: BaseGeometry, b: BaseGeometry, step: float) -> float:
    points = shapely.points(shapely.get_coordinates(shapely.segmentize(a.boundary, step)))
    target = b.boundary
    shapely.prepare(target)
    return float(np.max(shapely.distance(points, target), initial=0.0))
