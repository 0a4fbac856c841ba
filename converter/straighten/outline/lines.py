"""Lines and their images under a symmetry, on numbers."""

import math

import numpy as np

from converter.compiled import Floats, compiled, inner
from converter.straighten.outline.symmetry import Symmetry

ROUNDING = 1e-9  # of a unit normal: less is nothing
SAME_NORMAL = 1e-6  # normals of lines that are one but for rounding
# Sines: a curve's edge less steep than the first looks like a level one drawn badly; one less steep than the second may
# be made level, if true enough.
LEAST_SLANT, NEARLY_LEVEL = math.sin(math.radians(2)), math.sin(math.radians(26))


def symmetry_maps(symmetry: Symmetry) -> Floats:
    """The symmetries as maps of points, shape (symmetries, 4); see :func:`image_of`."""
    rows = []
    if symmetry.x is not None:
        rows.append((-1.0, 1.0, 2 * symmetry.x, 0.0))
    if symmetry.y is not None:
        rows.append((1.0, -1.0, 0.0, 2 * symmetry.y))
    if symmetry.x is not None and symmetry.y is not None:
        rows.append((-1.0, -1.0, 2 * symmetry.x, 2 * symmetry.y))
    if symmetry.centre is not None:
        rows.append((-1.0, -1.0, 2 * symmetry.centre[0], 2 * symmetry.centre[1]))
    return np.array(rows, dtype=float).reshape(-1, 4)


@inner
def normal_form(nx: float, ny: float, d: float) -> tuple[float, float, float]:
    """The line with the normal that points down, or to the right; as :func:`converter.geometry.normal_form`."""
    if abs(nx) < ROUNDING:
        nx, ny = 0.0, (1.0 if ny > 0 else -1.0)
    elif abs(ny) < ROUNDING:
        nx, ny = (1.0 if nx > 0 else -1.0), 0.0
    if ny < 0 or (ny == 0 and nx < 0):
        nx, ny, d = -nx, -ny, -d
    return nx, ny, d


@compiled
def image_of(line: Floats, maps: Floats, g: int) -> tuple[float, float, float]:
    """The line's image under symmetry ``g``; ``maps`` (symmetries, 4): (x, y) goes to (sx·x + tx, sy·y + ty)."""
    nx, ny = maps[g, 0] * line[0], maps[g, 1] * line[1]
    return normal_form(nx, ny, line[2] + nx * maps[g, 2] + ny * maps[g, 3])
