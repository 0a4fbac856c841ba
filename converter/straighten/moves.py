"""Moves that change a drawing a little: each is made on all symmetric images at once.

Drop an edge; carry one line over to another; make a slanted line level; move a line on to a crossing that it just
misses; drop a corner, or bevel it. After all but the move on to a crossing the lines are fitted to the outline anew.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from converter.geometry import Line, line_through, meet, without_flat_corners
from converter.model import Point
from converter.straighten.drawing import FLAT, LineDrawing, edge_ends, line_drawing
from converter.straighten.edges import line_along
from converter.straighten.measured import Measured, Samples, measured
from converter.straighten.refit import WHOLE_RUN, eased, refitted

MERGE_REACH = 0.1  # of size: a line may be carried over to one this near at all ends of its edges
MERGE_DEGREES = 30.0
LEVEL_TURN = 55.0  # a line is made level if it turns by no more than this: either way, where it is near a diagonal
SNAP_REACH = 0.05  # of size: a line may be moved on to a crossing this near
BEVEL_LEAST = 0.012  # of size: a corner nearer to the outline than this is left
BEVEL_LEVEL = math.sin(math.radians(25))  # a bevel less steep than this is made level
HOPELESS = 0.2  # of size: with a corner farther from the outline than this no move is worth fitting
TOO_FAR = (2.5, 2.0, 1.8)  # of the limit: farther from the outline than this after each fit a move is given up
# Of the area between figure and outline: so much at least is taken to be left by the fits that follow, before the first
# and after each. Found on four bold faces: with 0.7, 0.9, 0.9 and 0.9 no move that was made in the end was given up.
LEFT = (0.7, 0.8, 0.9, 0.95)


@dataclass(frozen=True, slots=True)
class Aim:
    """What moves are made for. Lengths in mm."""

    samples: Samples  # of the outline
    size: float
    farthest: float  # as near as this to the samples a figure may be brought back
    pays: Callable[[Measured, float], bool]  # whether with so much of the area between them left it may be worth it


Moves = Callable[[LineDrawing, Aim], Iterator[Measured | None]]


def moves(drawing: LineDrawing, aim: Aim) -> Iterator[Measured | None]:
    """All drawings that one move leads to; None where it leads to none. Figures may come twice."""
    start = measured(drawing, aim.samples)
    if start is None:
        return
    yield refitted(start, aim.size)
    yield eased(start, aim.size, aim.farthest)
    yield eased(start, aim.size, aim.farthest, WHOLE_RUN)
    for moved in (*_drops(drawing), *_merges(drawing, aim.size), *_levels(drawing, aim.size), *_chords(drawing)):
        yield from _settled(moved, aim, start.farthest)


def snaps(drawing: LineDrawing, aim: Aim) -> Iterator[Measured | None]:
    """The same with a line moved on to a crossing of two others."""
    for moved in _snaps(drawing, aim.size):
        yield measured(moved, aim.samples)


def bevels(drawing: LineDrawing, aim: Aim) -> Iterator[Measured | None]:
    """The same with one corner more: cut off where it stands off the outline."""
    start = measured(drawing, aim.samples)
    if start is None:
        return
    for moved in _bevels(drawing, aim.samples, aim.size):
        yield from _settled(moved, aim, start.farthest)


def _settled(drawing: LineDrawing, aim: Aim, before: float) -> Iterator[Measured]:
    """The drawing fitted anew, and brought back to the outline; ``before`` the move it was as far (mm) from that."""
    fit = measured(drawing, aim.samples)
    far = max(aim.farthest, before)
    if fit is None or fit.corner_off.max() > HOPELESS * aim.size + before or not aim.pays(fit, LEFT[0]):
        return
    for too_far, left in zip(TOO_FAR, LEFT[1:], strict=True):
        fit = refitted(fit, aim.size) or fit
        if fit.farthest > too_far * far or not aim.pays(fit, left):
            return
    yield fit
    if fit.farthest > aim.farthest:
        closer = eased(fit, aim.size, aim.farthest)
        if closer is not None and closer.farthest <= far:
            yield closer


def _drops(drawing: LineDrawing) -> Iterator[LineDrawing]:
    done = set()
    for line in range(len(drawing.lines)):
        orbit = drawing.orbit(line)
        if orbit in done:
            continue
        done.add(orbit)
        dropped = drawing.without_lines(orbit)
        if dropped is not None:
            yield dropped


def _chords(drawing: LineDrawing) -> Iterator[LineDrawing]:
    """A corner dropped, with its images: one edge from the corner before to the corner after in place of two."""
    figure = drawing.figure()
    if figure is None:
        return
    done: list[Point] = []
    for corner in (corner for polygon in figure for ring in polygon for corner in ring):
        if _is_among(corner, done):
            continue
        images = [corner]
        for move in drawing.symmetry.point_maps():
            images += [move(p) for p in images]
        done += images
        left = tuple(
            tuple(without_flat_corners([p for p in ring if not _is_among(p, images)], FLAT) for ring in polygon)
            for polygon in figure
        )
        if all(len(ring) >= 3 for polygon in left for ring in polygon):
            dropped = line_drawing(left, drawing.symmetry)
            if dropped is not None:
                yield dropped


def _is_among(point: Point, points: Sequence[Point]) -> bool:
    return any(math.dist(point, p) < 1e-6 for p in points)


def _merges(drawing: LineDrawing, size: float) -> Iterator[LineDrawing]:
    ends = edge_ends(drawing)
    reach = MERGE_REACH * size
    turns = [
        math.sin(math.radians(LEVEL_TURN if line.is_level else MERGE_DEGREES)) for line in drawing.lines
    ]
    for a, line in enumerate(drawing.lines):
        for b, other in enumerate(drawing.lines):
            if a == b or not ends[a] or not ends[b] or abs(line.nx * other.ny - line.ny * other.nx) > turns[b]:
                continue
            if line.is_level and not other.is_level:
                continue
            if any(abs(other.side(p)) > reach for p in ends[a]):
                continue
            into = {a: b}
            for image in drawing.images:
                for k, v in list(into.items()):
                    into.setdefault(image[k], image[v])
            if not any(k in into.values() for k in into):
                yield drawing.with_merged(into)


def _levels(drawing: LineDrawing, size: float) -> Iterator[LineDrawing]:
    """Slanted lines made level, about the middle of their edges: one, or two that come to lie on one line."""
    ends = edge_ends(drawing)
    least = math.cos(math.radians(LEVEL_TURN))
    for axis in (0, 1):
        middles = {
            k: sum(p[axis] for p in ends[k]) / len(ends[k])
            for k, line in enumerate(drawing.lines)
            if ends[k] and not line.is_level and abs(line[axis]) >= least and drawing.orbit(k)[0] == k
        }
        for k, middle in middles.items():
            level = drawing.moved(k, _level(drawing.lines[k], axis, middle))
            if level is None:
                continue
            yield level
            for m, other in middles.items():
                alone = drawing.orbit(k) == (k,) and drawing.orbit(m) == (m,)
                if m > k and alone and abs(other - middle) <= MERGE_REACH * size:
                    both = drawing.moved(k, _level(drawing.lines[k], axis, (middle + other) / 2))
                    if both is not None:
                        yield both.with_merged({m: k})


def _level(line: Line, axis: int, at: float) -> Line:
    """The upright (axis 0) or horizontal line there, with its normal as near as can be to the line's."""
    sign = math.copysign(1.0, line[axis])
    return Line(sign, 0.0, sign * at) if axis == 0 else Line(0.0, sign, sign * at)


def _snaps(drawing: LineDrawing, size: float) -> Iterator[LineDrawing]:
    """Lines moved on to crossings of two others that they just miss: in parallel, or turned about a far end."""
    reach = SNAP_REACH * size
    ends = edge_ends(drawing)
    xs = [p[0] for row in ends for p in row]
    ys = [p[1] for row in ends for p in row]
    used = [k for k in range(len(drawing.lines)) if ends[k]]
    crossings = [
        (a, b, p)
        for i, a in enumerate(used)
        for b in used[i + 1 :]
        if (p := meet(drawing.lines[a], drawing.lines[b])) is not None
        and min(xs) - reach <= p[0] <= max(xs) + reach
        and min(ys) - reach <= p[1] <= max(ys) + reach
    ]
    done = set()
    for k in used:
        orbit = drawing.orbit(k)
        if orbit in done:
            continue
        done.add(orbit)
        line = drawing.lines[k]
        for a, b, p in crossings:
            off = line.side(p)
            if k in (a, b) or not 1e-2 < abs(off) <= reach:
                continue
            snapped = [drawing.moved(k, Line(line.nx, line.ny, line.d + off))]
            if not line.is_level:
                far = max(ends[k], key=lambda e: math.dist(e, p))
                if math.dist(far, p) > 0.2 * size:
                    snapped.append(drawing.moved(k, line_through(far, p)))
            yield from (moved for moved in snapped if moved is not None)


def _bevels(drawing: LineDrawing, samples: Samples, size: float) -> Iterator[LineDrawing]:
    """Corners that stand off the outline cut off, where the outline passes."""
    maps = list(zip(drawing.symmetry.point_maps(), drawing.symmetry.line_maps(), strict=True))
    rings = [drawing.corners(ring) for ring in range(len(drawing.rings))]
    done: list[Point] = []
    for corners in rings:
        if corners is None:
            return
        for k, corner in enumerate(corners):
            if _is_among(corner, done):
                continue
            cut = _bevel(corners, k, samples, size)
            if cut is None:
                continue
            images = [(corner, cut)]
            for move_point, move_line in maps:
                images += [(move_point(p), move_line(line)) for p, line in images]
            done += [p for p, _ in images]
            bevelled = _bevelled(drawing, images)
            if bevelled is not None:
                yield bevelled


def _bevel(corners: Sequence[Point], k: int, samples: Samples, size: float) -> Line | None:
    """The line that cuts off a ring's k-th corner; None where it stands at the outline."""
    before, corner, after = corners[k - 1], corners[k], corners[(k + 1) % len(corners)]
    apart = np.hypot(*(samples.points - corner).T)
    nearest = int(apart.argmin())
    if apart[nearest] < BEVEL_LEAST * size:
        return None
    ux, uy = _unit(before, corner)
    vx, vy = _unit(corner, after)
    dx, dy = ux + vx, uy + vy
    length = math.hypot(dx, dy)
    if length < 1e-6:
        return None
    dx, dy = dx / length, dy / length
    if abs(dy) < BEVEL_LEVEL and uy * vy < 0:
        dx, dy = math.copysign(1.0, dx), 0.0
    elif abs(dx) < BEVEL_LEVEL and ux * vx < 0:
        dx, dy = 0.0, math.copysign(1.0, dy)
    x, y = samples.points[nearest]
    line = line_along((dx, dy), (float(x), float(y)))
    # The cut must run between the neighbours, or it would cut off more than this corner.
    side = line.side(corner)
    return line if line.side(before) * side < 0 and line.side(after) * side < 0 else None


def _unit(p: Point, q: Point) -> Point:
    length = math.dist(p, q)
    return ((q[0] - p[0]) / length, (q[1] - p[1]) / length) if length else (0.0, 0.0)


def _bevelled(drawing: LineDrawing, cuts: list[tuple[Point, Line]]) -> LineDrawing | None:
    """The drawing with each corner of ``cuts`` replaced by an edge on the line beside it."""
    figure = drawing.figure()
    if figure is None:
        return None
    polygons = []
    for polygon in figure:
        rings = []
        for ring in polygon:
            points: list[Point] = []
            for k, p in enumerate(ring):
                cut = next((line for c, line in cuts if math.dist(c, p) < 1e-6), None)
                ends = [p] if cut is None else [
                    meet(line_through(ring[k - 1], p), cut), meet(line_through(p, ring[(k + 1) % len(ring)]), cut),
                ]  # fmt: skip
                points += [end for end in ends if end is not None]
            # A cut may run through the next corner, which is then there twice.
            rings.append(without_flat_corners(points, FLAT))
        polygons.append(tuple(rings))
    return line_drawing(tuple(polygons), drawing.symmetry)
