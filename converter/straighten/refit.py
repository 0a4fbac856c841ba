"""Moves the lines of a drawing to where the outline wants them: each sample of the outline goes to its nearest edge,
each line to the middle of its samples (Lloyd's iteration, with lines in place of centres). Least is to be the area
between outline and figure, which is a sum of distances and not of their squares: samples count less the farther off
they are (iteratively reweighted least squares, Weiszfeld 1937, from memory).

Level lines stay level, lines that carry a straight run of the font stay put, images follow.
"""

import math

import numpy as np

from converter.geometry import Line, line_through
from converter.model import Point
from converter.straighten.chain import Floats
from converter.straighten.drawing import LineDrawing
from converter.straighten.edges import LEAST_SLANT
from converter.straighten.measured import RUN_SHARE, Measured, measured

WHOLE_RUN = 0.9  # with this share of its samples on it a line stays put even where the figure is too far off
SQUARED_WITHIN = 0.01  # of size: a sample much farther off than this counts by its distance, a nearer one by its square
MOST_TURN = math.sin(math.radians(20))
MOST_SHIFT = 0.06  # of size
AT_CORNER = (
    1e-4  # of size: nearer to a corner than to its edges by no more than this is nearest to the corner
)
EASINGS = 10
AIM = 0.98  # of the limit: nearer than the limit itself, which would be reached ever more slowly
LESS, IN_VAIN = 0.9, 2  # after so many steps that do not bring what is too far below this share, it is given up
EASE, EASE_STRAIGHT = 1.15, 0.15  # of what is too far: so far a line moves at a time


def refitted(fit: Measured, size: float) -> Measured | None:
    """The drawing with its lines moved once; None where they do not close to rings any more."""
    moved: dict[int, Line] = {}
    for k, line in enumerate(_fits(fit, size)):
        if line is not None and k not in moved:
            moved |= fit.drawing.images_of(k, line) or {}
    return measured(fit.drawing.with_line(moved), fit.samples)


def eased(fit: Measured, size: float, limit: float, run_share: float = RUN_SHARE) -> Measured | None:
    """The drawing with the lines that are farther from the outline than ``limit`` (mm) moved back to it.

    A slanted line that carries a straight run of the font moves only where no other can: the tip of a narrow
    notch wanders far for a small shift of its sides. With less than ``run_share`` of its samples on it, a line does
    not carry a run, but a curve that begins straight. None where the drawing is not far at all, or nothing that may
    move would help.
    """
    moved, least, vain = None, math.inf, 0
    for _ in range(EASINGS):
        vain = 0 if fit.farthest - limit < LESS * (least - limit) else vain + 1
        if fit.farthest <= limit or vain > IN_VAIN:
            return moved
        least = min(least, fit.farthest)
        closer = _closer(fit, size, AIM * limit, run_share)
        if closer is None:
            return moved
        there = measured(closer, fit.samples)
        if there is None:
            return None
        moved = fit = there
    return moved


def _closer(fit: Measured, size: float, limit: float, run_share: float) -> LineDrawing | None:
    """The drawing with the lines at the place that is farthest off moved a little; None where none may move."""
    drawing, points = fit.drawing, fit.samples.points
    k, c = int(fit.off.argmax()), int(fit.corner_off.argmax())
    excess = fit.farthest - limit
    lines: tuple[int, ...]
    if fit.off[k] >= fit.corner_off[c]:
        toward = points[k]
        apart = np.hypot(*(fit.ends - toward).T)
        tip = int(apart.argmin())
        at_tip = apart[tip] <= fit.off[k] + AT_CORNER * size
        lines = fit.lines_at(tip) if at_tip else (int(fit.nearest[k]),)
    else:
        lines, toward = fit.lines_at(c), points[fit.at_corner[c]]
    runs = fit.carry_runs(size, run_share)
    free = [i for i in lines if not runs[i]]
    target = (float(toward[0]), float(toward[1]))
    if not free:  # the tip can go no nearer than along a level line that stays
        for level in (drawing.lines[i] for i in lines if drawing.lines[i].is_level):
            off_level = level.side(target)
            target = (target[0] - off_level * level.nx, target[1] - off_level * level.ny)
    closer = None
    for index in free or [i for i in lines if not drawing.lines[i].is_level]:
        line = drawing.lines[index]
        side = line.side(target)
        if free:
            step = math.copysign(min(abs(side), EASE * excess), side)
            new = Line(line.nx, line.ny, line.d + step)
        else:
            step = math.copysign(min(abs(side), EASE_STRAIGHT * excess), side)
            new = _turned(line, fit.far_end(index, target), target, step)
        there = drawing.moved(index, new)
        if there is not None:
            drawing = closer = there
    return closer


def _turned(line: Line, pivot: Point, point: Point, step: float) -> Line:
    """The line turned about the pivot, so that beside the point it moves by ``step`` (mm)."""
    off = line.side(point) - step
    new = line_through(pivot, (point[0] - off * line.nx, point[1] - off * line.ny))
    return new if new.nx * line.nx + new.ny * line.ny > 0 else Line(-new.nx, -new.ny, -new.d)


def _fits(fit: Measured, size: float) -> list[Line | None]:
    """Where each line should be, in the middle of the samples that are nearest to it; None where it should stay."""
    lines, nearest, off, (x, y) = fit.drawing.lines, fit.nearest, fit.offsets, fit.samples.points.T
    weights = fit.samples.weights / (np.abs(off) + SQUARED_WITHIN * size)

    def total(values: Floats) -> Floats:  # for each line
        return np.asarray(np.bincount(nearest, values, len(lines)), dtype=float)

    weight = total(weights)
    there = np.maximum(weight, 1e-12)
    shift = total(weights * off) / there
    middle_x, middle_y = total(weights * x) / there, total(weights * y) / there
    x, y = x - middle_x[nearest], y - middle_y[nearest]
    angle = 0.5 * np.arctan2(2 * total(weights * x * y), total(weights * x * x) - total(weights * y * y))
    free = ~fit.carry_runs(size) & (weight > 0) & (np.abs(shift) <= MOST_SHIFT * size)
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
