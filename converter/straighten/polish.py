"""Moves the lines of a finished figure by hairs to where it is truest, measured by area and not by samples.

Coordinate search with shrinking steps (Hooke and Jeeves 1961, from memory): one line after the other, with its images,
is moved or turned as long as the figure gets truer. What is level and straight in the font stays where it is.
"""

import math
from dataclasses import dataclass

from shapely.geometry import MultiPolygon

from converter.fidelity import iou
from converter.geometry import Line
from converter.sewing.problem import Figure
from converter.straighten.chain import Floats
from converter.straighten.drawing import LineDrawing, edge_ends, keeps_sense, line_drawing, shape_of
from converter.straighten.gradient import gradient
from converter.straighten.judging import (
    Judge,
    Verdict,
    judged,
    price_of_a_change,
    price_of_distance,
    price_of_untruth,
)
from converter.straighten.measured import Measured, measured

STEPS = (0.006, 0.0015)  # of size
ROUNDS = 3  # at most, for each step
LEAST_GAIN = 1e-3  # pieces
# Pieces: what gains less to the first order is not tried. That says too much, as it does where a step is long: so more
# than the least gain.
PROMISE = 2e-3


def polished(verdict: Verdict, judge: Judge) -> Verdict:
    """The figure as true as its lines can be, or as it was where it would cost more: judged in full after each step."""
    drawing = line_drawing(verdict.figure, judge.symmetry)
    fit = measured(drawing, judge.samples) if drawing else None
    if drawing is None or fit is None:
        return verdict
    stay = {k for k in fit.straight_lines(judge.size) if drawing.lines[k].is_level}
    for step in STEPS:
        truer = _truer(drawing, judge, stay, step * judge.size)
        figure = truer.figure()
        after = judged(figure, judge, verdict.cost) if figure and truer is not drawing else None
        if after is not None:
            drawing, verdict = truer, after
    return verdict


@dataclass(frozen=True, slots=True)
class _Weighed:
    """A drawing that is a valid figure, beside the outline; ``price``: what its untruth costs (pieces)."""

    fit: Measured
    shape: MultiPolygon
    truth: float
    price: float


def _truer(drawing: LineDrawing, judge: Judge, stay: set[int], step: float) -> LineDrawing:
    """The drawing with all lines but those that ``stay`` moved by ``step`` (mm) at a time, as long as that helps."""
    start = drawing.figure()
    best = _weighed(drawing, start, judge, math.inf) if start else None
    if start is None or best is None:
        return drawing
    slopes = _slopes(best, judge)
    free = [k for k in range(len(drawing.lines)) if k not in stay and drawing.orbit(k)[0] == k]
    ways = [(k, *by) for k in free for by in ((step, 0), (-step, 0), (0, step), (0, -step))]
    vain = 0
    for k, shift, turn in ways * ROUNDS:
        if vain == len(ways):  # each in vain since the last that helped
            break
        vain += 1
        while slopes is None or slopes[0][k] * shift + slopes[1][k] * turn > PROMISE:
            pushed = _pushed(best.fit.drawing, k, shift, turn)
            there = _weighed(pushed, start, judge, best.price - LEAST_GAIN) if pushed else None
            if there is None:
                break
            best, slopes, vain = there, _slopes(there, judge), 1
    return best.fit.drawing


def _weighed(drawing: LineDrawing, start: Figure, judge: Judge, limit: float) -> _Weighed | None:
    """The drawing, if its price is below the limit and it is a figure like the one at the start."""
    figure = drawing.figure()
    shape = shape_of(figure) if figure and keeps_sense(start, figure) else None
    if shape is None:
        return None
    truth = iou(shape, judge.outline)
    price = price_of_untruth(truth, judge)
    fit = measured(drawing, judge.samples) if price < limit else None
    if fit is None:
        return None
    price += price_of_distance(fit.farthest, judge)
    return _Weighed(fit, shape, truth, price) if price < limit else None


def _slopes(there: _Weighed, judge: Judge) -> tuple[Floats, Floats] | None:
    """About what is gained (pieces for a mm) as each line is shifted, and turned, shape (lines,) each.

    None where the figure is too far from the outline: there more counts than the overlap.
    """
    if there.fit.farthest > judge.most_hausdorff:
        return None
    overlap = gradient(there.fit, there.shape, judge.outline, there.truth)
    price = price_of_a_change(there.truth, judge)
    return price * overlap.shifted, price * overlap.turned


def _pushed(drawing: LineDrawing, k: int, shift: float, turn: float) -> LineDrawing | None:
    """The drawing with a line and its images moved by ``shift`` and turned so that its ends move by ``turn`` (mm)."""
    line = drawing.lines[k]
    if not turn:
        return drawing.moved(k, Line(line.nx, line.ny, line.d + shift))
    ends = edge_ends(drawing)[k]
    if line.is_level or not ends:
        return None
    along = [p[1] * line.nx - p[0] * line.ny for p in ends]
    middle, half = (max(along) + min(along)) / 2, (max(along) - min(along)) / 2
    x, y = line.nx * line.d - line.ny * middle, line.ny * line.d + line.nx * middle
    angle = math.atan2(turn, half)
    nx = line.nx * math.cos(angle) - line.ny * math.sin(angle)
    ny = line.nx * math.sin(angle) + line.ny * math.cos(angle)
    return drawing.moved(k, Line(nx, ny, nx * x + ny * y))
