"""Gives a straightened letter the alphabet's hand: strokes of the shared widths, corners of the shared slopes.

Only lines that stand for curves move; each that does may cost a little truth, but no piece and no section.
"""

import math

from converter.geometry import Line, normal_form
from converter.model import Point, Polygons
from converter.sewing.problem import edges_of
from converter.straighten.drawing import LineDrawing, edge_ends, keeps_sense, line_drawing
from converter.straighten.finish.verdict import Judge, Verdict, judged
from converter.straighten.measured import measured
from converter.straighten.outline.hand import Hand
from converter.straighten.outline.strokes import strokes

WIDTH_REACH = 0.03  # of size: a stroke whose width is this near to a shared one takes it
SLOPE_REACH = 8.0  # degrees: the same for slopes
WORTH = 0.15  # pieces: what one line more in the hand may cost


def in_hand(verdict: Verdict, hand: Hand, judge: Judge) -> Verdict:
    """The figure with as many of its lines in the hand as their price allows."""
    drawing = line_drawing(verdict.figure, judge.symmetry)
    fit = measured(drawing, judge.samples) if drawing else None
    if drawing is None or fit is None:
        return verdict
    fixed = fit.straight_lines(judge.size)
    for k in reversed(
        range(len(drawing.lines))
    ):  # the short ones first: they are inside, and the outside stays
        if k in fixed or drawing.orbit(k)[-1] != k:
            continue
        line = drawing.lines[k]
        wish = _of_width(line, verdict.figure, hand, judge.size) if line.is_level else None
        if not line.is_level:
            wish = _of_slope(line, edge_ends(drawing)[k], hand)
        moved = drawing.moved(k, wish) if wish else None
        better = _accepted(moved, verdict, judge) if moved else None
        if moved and better:
            drawing, verdict = moved, better
    return verdict


def _accepted(moved: LineDrawing, verdict: Verdict, judge: Judge) -> Verdict | None:
    figure = moved.figure()
    if figure is None or not keeps_sense(verdict.figure, figure):
        return None
    after = judged(figure, judge, verdict.cost + WORTH)
    return after if after is not None and after.plan.cost <= verdict.plan.cost else None


def _of_width(line: Line, figure: Polygons, hand: Hand, size: float) -> Line | None:
    """The level line moved so that a stroke along it takes a shared width."""
    axis, at = (0, line.d) if line.ny == 0.0 else (1, line.d)
    if axis == 1 and at in hand.heights:
        return None
    widths = hand.bars if axis else hand.stems
    options = []
    for stroke in strokes(edges_of(figure), figure, size):
        if stroke.axis == axis and at in (stroke.low, stroke.high):
            for width in widths:
                there = stroke.high - width if at == stroke.low else stroke.low + width
                options.append((abs(there - at), there))
    if not options:
        return None
    off, there = min(options)
    return Line(line.nx, line.ny, there) if 0 < off <= WIDTH_REACH * size else None


def _of_slope(line: Line, ends: list[Point], hand: Hand) -> Line | None:
    """The slanted line turned about the middle of its edges to a shared slope."""
    slope = math.degrees(math.atan2(abs(line.nx), abs(line.ny)))
    if not hand.slopes or not ends:
        return None
    nearest = min(hand.slopes, key=lambda s: (abs(s - slope), s))
    if not 1e-9 < abs(nearest - slope) <= SLOPE_REACH:
        return None
    nx = math.copysign(math.sin(math.radians(nearest)), line.nx)
    ny = math.copysign(math.cos(math.radians(nearest)), line.ny)
    x, y = (sum(p[axis] for p in ends) / len(ends) for axis in (0, 1))
    return normal_form(nx, ny, nx * x + ny * y)
