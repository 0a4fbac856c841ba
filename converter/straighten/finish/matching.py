"""Gives a straightened letter the alphabet's hand: strokes of the shared widths, corners of the shared slopes.

Only lines that stand for curves move; each that does may cost a little truth, but no piece and no section.
"""

import math

from converter.geometry import Line, normal_form
from converter.model import Point, Polygons
from converter.sewing.problem import edges_of
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import Drawing, copy_lines, put_line
from converter.straighten.cost.figures import drawing_of, edge_ends, figure_of, holes_of
from converter.straighten.cost.nearest import RUN_SHARE, beside, carry_runs
from converter.straighten.finish.verdict import Target, Verdict, judged
from converter.straighten.outline.hand import Hand
from converter.straighten.outline.strokes import strokes

WIDTH_REACH = 0.03  # of size: a stroke whose width is this near to a shared one takes it
SLOPE_REACH = 8.0  # degrees: the same for slopes
WORTH = 0.15  # pieces: what one line more in the hand may cost


def in_hand(verdict: Verdict, hand: Hand, target: Target, aim: Aim) -> Verdict:
    """The figure with as many of its lines in the hand as their price allows."""
    drawing, holes = drawing_of(verdict.figure, aim.maps), holes_of(verdict.figure)
    if drawing is None:
        return verdict
    fit = beside(drawing, aim)
    runs = carry_runs(drawing, fit, aim, RUN_SHARE)
    near = set(drawing.edges[fit.nearest].tolist())
    # The short ones first: they are inside, and the outside stays.
    for k in reversed(range(len(drawing.lines))):
        if runs[k] or k not in near or any(image[k] > k for image in drawing.images):
            continue
        line = Line(*drawing.lines[k].tolist())
        if line.is_level:
            wish = _of_width(line, verdict.figure, hand, target.size)
        else:
            wish = _of_slope(line, edge_ends(drawing)[k], hand)
        moved = _moved(drawing, k, wish, aim) if wish else None
        figure = figure_of(moved, holes) if moved else None
        after = judged(figure, target, aim) if figure else None
        if moved is None or after is None or after.plan.cost > verdict.plan.cost:
            continue
        if after.rank[:2] < (verdict.rank[0], verdict.price + WORTH):
            drawing, verdict = moved, after
    return verdict


def _moved(drawing: Drawing, k: int, line: Line, aim: Aim) -> Drawing | None:
    """The drawing with a line and its images put elsewhere; None where one would be in two places."""
    lines = copy_lines(drawing.lines, 0)
    return drawing._replace(lines=lines) if put_line(lines, drawing, aim.maps, k, *line) else None


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
