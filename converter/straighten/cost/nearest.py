"""A drawing beside the samples of the outline, and its lines moved to where these want them.

Each sample goes to its nearest edge, each line to the middle of its samples (Lloyd's iteration, with lines in place of
centres). Least is to be the area between outline and figure, which is a sum of distances and not of their squares:
samples count less the farther off they are (iteratively reweighted least squares). Level lines stay level, lines that
carry a straight run of the font stay put, images follow.
"""

from typing import NamedTuple

import numpy as np

from converter.compiled import Floats, Integers, compiled, inner, int64
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import (
    Drawing,
    copy_lines,
    corners_of,
    is_first_image,
    previous,
    put_line,
)
from converter.straighten.outline.lines import LEAST_SLANT

ON_RUN = 0.003  # of size: samples this near to a line lie on it
RUN_SHARE = 0.6  # a line with this share of its samples on it stays put
SQUARED_WITHIN = (
    0.01  # of size: a sample much farther off than this counts by its distance, a nearer one by its square
)
MOST_TURN = 0.342  # sine: a refit turns a line by 20 degrees at most
MOST_SHIFT = 0.06  # of size: and moves it by no more
AT_CORNER = (
    1e-4  # of size: nearer to a corner than to its edges by no more than this is nearest to the corner
)
EASINGS = 10
AIM = 0.98  # of the limit: nearer than the limit itself, which would be reached ever more slowly
ALIKE, UNLIKE = (
    0.004,
    0.02,
)  # of size: a place as near to the wanted treatment has it; one as far off has another
LESS, IN_VAIN = (
    0.9,
    2,
)  # after so many steps that do not bring what is too far below this share, it is given up
EASE, EASE_STRAIGHT = 1.15, 0.15  # of what is too far: so far a line moves at a time


class Beside(NamedTuple):
    """A drawing beside the samples. ``fine`` is False where its lines do not close to rings; then the rest is void."""

    fine: bool
    corners: Floats  # (edges, 2)
    nearest: Integers  # (samples,): the nearest edge
    off: Floats  # (samples,): its distance (mm)
    at_corner: Integers  # (edges,): the sample nearest to each corner
    corner_off: Floats  # (edges,): its distance (mm)
    area_off: float  # about the area (mm²) between figure and outline
    farthest: float  # about the Hausdorff distance (mm)
    unlike: float  # price of what is not drawn as it is in other letters


@compiled
def beside(drawing: Drawing, aim: Aim) -> Beside:
    """Measures a drawing."""
    corners, fine = corners_of(drawing)
    count, samples = len(drawing.edges), len(aim.points)
    nearest, off = np.zeros(samples, np.int64), np.empty(samples)
    at_corner, corner_off = np.zeros(count, np.int64), np.empty(count)
    for k in range(count):
        corner_off[k] = np.inf
    if not fine:
        return Beside(False, corners, nearest, off, at_corner, corner_off, 0.0, np.inf, 0.0)
    before = previous(drawing)
    way, scale = np.empty((count, 2)), np.empty(count)
    for k in range(count):
        dx, dy = corners[k, 0] - corners[before[k], 0], corners[k, 1] - corners[before[k], 1]
        way[k, 0], way[k, 1] = dx, dy
        scale[k] = 1.0 / max(dx * dx + dy * dy, 1e-12)
    # Without branches, and along arrays of their own, so that several are worked out at once.
    x, y, cx, cy = np.empty(samples), np.empty(samples), np.empty(count), np.empty(count)
    for s in range(samples):
        x[s], y[s], off[s] = aim.points[s, 0], aim.points[s, 1], np.inf
    for k in range(count):
        cx[k], cy[k] = corners[k, 0], corners[k, 1]
    for s in range(samples):
        sx, sy = x[s], y[s]
        for k in range(count):
            ex, ey = sx - cx[k], sy - cy[k]
            apart = ex * ex + ey * ey
            less = apart < corner_off[k]
            corner_off[k] = apart if less else corner_off[k]
            at_corner[k] = s if less else at_corner[k]
    for k in range(count):
        px, py, dx, dy, by = cx[k], cy[k], way[k, 0], way[k, 1], scale[k]
        for s in range(samples):
            ex, ey = x[s] - px, y[s] - py
            # Along the edge from its end back to its start.
            t = -(ex * dx + ey * dy) * by
            t = min(max(t, 0.0), 1.0)
            ex, ey = ex + t * dx, ey + t * dy
            apart = ex * ex + ey * ey
            less = apart < off[s]
            off[s] = apart if less else off[s]
            nearest[s] = k if less else nearest[s]
    area = farthest = unlike = 0.0
    for s in range(samples):
        off[s] = np.sqrt(off[s])
        area += off[s] * aim.weights[s]
        farthest = max(farthest, off[s])
        unlike += _unlike(s, off[s], aim)
    for k in range(count):
        corner_off[k] = np.sqrt(corner_off[k])
        farthest = max(farthest, corner_off[k])
    return Beside(True, corners, nearest, off, at_corner, corner_off, area, farthest, unlike)


@compiled
def beside_again(fit: Beside, moved: Drawing, aim: Aim) -> Beside:
    """The same as :func:`beside` for the drawing with some lines ``moved``: what is beside the others is known."""
    corners, fine = corners_of(moved)
    count, samples = len(moved.edges), len(aim.points)
    if not fine:
        return Beside(False, corners, fit.nearest, fit.off, fit.at_corner, fit.corner_off, 0.0, np.inf, 0.0)
    before = previous(moved)
    changed, other = np.zeros(count, np.int64), np.empty(count, np.int64)
    others = 0
    at_corner, corner_off = np.empty(count, np.int64), np.empty(count)
    for k in range(count):
        j = before[k]
        here = corners[k, 0] == fit.corners[k, 0] and corners[k, 1] == fit.corners[k, 1]
        at_corner[k], corner_off[k] = fit.at_corner[k], fit.corner_off[k]
        if not here or corners[j, 0] != fit.corners[j, 0] or corners[j, 1] != fit.corners[j, 1]:
            changed[k] = 1
            other[others] = k
            others += 1
        if not here:
            least, pick = np.inf, 0
            for s in range(samples):
                ex, ey = aim.points[s, 0] - corners[k, 0], aim.points[s, 1] - corners[k, 1]
                apart = ex * ex + ey * ey
                if apart < least:
                    least, pick = apart, s
            at_corner[k], corner_off[k] = pick, np.sqrt(least)
    nearest, off = np.empty(samples, np.int64), np.empty(samples)
    area = farthest = unlike = 0.0
    for s in range(samples):
        x, y, pick = aim.points[s, 0], aim.points[s, 1], fit.nearest[s]
        if changed[pick]:
            best, pick = np.inf, int64(0)
            for k in range(count):
                apart = _apart(x, y, corners, before[k], k)
                if apart < best:
                    best, pick = apart, k
        else:
            best = _apart(x, y, corners, before[pick], pick)
            for n in range(others):
                k = other[n]
                apart = _apart(x, y, corners, before[k], k)
                if apart < best or (apart == best and k < pick):
                    best, pick = apart, k
        nearest[s], off[s] = pick, np.sqrt(best)
        area += off[s] * aim.weights[s]
        farthest = max(farthest, off[s])
        unlike += _unlike(s, off[s], aim)
    for k in range(count):
        farthest = max(farthest, corner_off[k])
    return Beside(True, corners, nearest, off, at_corner, corner_off, area, farthest, unlike)


@inner
def _unlike(s: int, off: float, aim: Aim) -> float:
    """The price (pieces) of a sample that is so far (mm) from a figure that has to be as other letters have it."""
    if aim.held[s] <= 0.0 or off <= ALIKE * aim.size:
        return 0.0
    return float(aim.held[s] * min((off / aim.size - ALIKE) / (UNLIKE - ALIKE), 1.0))


@inner
def _apart(x: float, y: float, corners: Floats, before: int, k: int) -> float:
    """The square of a place's distance (mm) from the edge that ends at corner ``k``."""
    dx, dy = corners[k, 0] - corners[before, 0], corners[k, 1] - corners[before, 1]
    ex, ey = x - corners[k, 0], y - corners[k, 1]
    t = -(ex * dx + ey * dy) * (1.0 / max(dx * dx + dy * dy, 1e-12))
    t = min(max(t, 0.0), 1.0)
    ex, ey = ex + t * dx, ey + t * dy
    return float(ex * ex + ey * ey)


@compiled
def carry_runs(drawing: Drawing, fit: Beside, aim: Aim, share: float) -> Integers:
    """1 for each line that carries a straight run of the font, on which a ``share`` of its samples lie."""
    count = len(drawing.lines)
    weight, on_run, runs = np.zeros(count), np.zeros(count), np.zeros(count, np.int64)
    for s in range(len(aim.points)):
        k = drawing.edges[fit.nearest[s]]
        side = (
            aim.points[s, 0] * drawing.lines[k, 0]
            + aim.points[s, 1] * drawing.lines[k, 1]
            - drawing.lines[k, 2]
        )
        weight[k] += aim.weights[s]
        if abs(side) <= ON_RUN * aim.size:
            on_run[k] += aim.weights[s]
    for k in range(count):
        if weight[k] > 0 and on_run[k] >= share * weight[k]:
            runs[k] = 1
    return runs


@compiled
def refitted(drawing: Drawing, fit: Beside, aim: Aim) -> Drawing:
    """The drawing with each line, once, in the middle of the samples that are nearest to it."""
    count = len(drawing.lines)
    sums = np.zeros((count, 6))  # weight, and by it: distance, x, y; of those on a run, and of all
    for s in range(len(aim.points)):
        k = drawing.edges[fit.nearest[s]]
        x, y = aim.points[s, 0], aim.points[s, 1]
        side = x * drawing.lines[k, 0] + y * drawing.lines[k, 1] - drawing.lines[k, 2]
        weight = aim.weights[s] / (abs(side) + SQUARED_WITHIN * aim.size)
        sums[k, 0] += weight
        sums[k, 1] += weight * side
        sums[k, 2] += weight * x
        sums[k, 3] += weight * y
        if abs(side) <= ON_RUN * aim.size:
            sums[k, 4] += aim.weights[s]
        sums[k, 5] += aim.weights[s]
    spread = np.zeros((count, 3))
    for k in range(count):
        if sums[k, 0] > 0:
            for c in range(1, 4):
                sums[k, c] /= sums[k, 0]
    for s in range(len(aim.points)):
        k = drawing.edges[fit.nearest[s]]
        x, y = aim.points[s, 0], aim.points[s, 1]
        side = x * drawing.lines[k, 0] + y * drawing.lines[k, 1] - drawing.lines[k, 2]
        weight = aim.weights[s] / (abs(side) + SQUARED_WITHIN * aim.size)
        x, y = x - sums[k, 2], y - sums[k, 3]
        spread[k, 0] += weight * x * x
        spread[k, 1] += weight * x * y
        spread[k, 2] += weight * y * y
    lines = copy_lines(drawing.lines, int64(0))
    for k in range(count):
        on_run = sums[k, 4] >= RUN_SHARE * sums[k, 5]
        if (
            sums[k, 0] <= 0
            or on_run
            or abs(sums[k, 1]) > MOST_SHIFT * aim.size
            or not is_first_image(drawing, k)
        ):
            continue
        nx, ny, d = drawing.lines[k, 0], drawing.lines[k, 1], drawing.lines[k, 2] + sums[k, 1]
        if nx != 0.0 and ny != 0.0:
            # The principal axis: half of the angle whose tangent is 2 xy / (xx - yy), without trigonometry.
            u, v = spread[k, 0] - spread[k, 2], 2 * spread[k, 1]
            r = np.sqrt(u * u + v * v)
            if r > 0:
                c = np.sqrt(max((1 + u / r) / 2, 0.0))
                s_ = np.sqrt(max((1 - u / r) / 2, 0.0))
                if v < 0:
                    s_ = -s_
                mx, my = -s_, c
                if mx * nx + my * ny < 0:
                    mx, my = -mx, -my
                if abs(mx * ny - my * nx) <= MOST_TURN and min(abs(mx), abs(my)) >= LEAST_SLANT:
                    nx, ny, d = mx, my, mx * sums[k, 2] + my * sums[k, 3]
        put_line(lines, drawing, aim.maps, k, nx, ny, d)
    return Drawing(lines, drawing.edges, drawing.rings, drawing.senses, drawing.images)


@inner
def far_end(drawing: Drawing, fit: Beside, line: int, x: float, y: float) -> tuple[float, float, float]:
    """Of the ends of all edges on a line the one farthest from a point, and how far (mm); -1 where it has no edge."""
    before = previous(drawing)
    best, fx, fy = -1.0, 0.0, 0.0
    for k in range(len(drawing.edges)):
        if drawing.edges[k] == line:
            for end in range(2):
                c = before[k] if end else k
                dx, dy = fit.corners[c, 0] - x, fit.corners[c, 1] - y
                apart = dx * dx + dy * dy
                if apart > best:
                    best, fx, fy = apart, fit.corners[c, 0], fit.corners[c, 1]
    return fx, fy, (np.sqrt(best) if best >= 0 else -1.0)


@inner
def eased(drawing: Drawing, fit: Beside, aim: Aim, share: float) -> tuple[Drawing, Beside]:
    """The drawing with the lines that are too far from the outline moved back to it, as far as that goes.

    A slanted line that carries a straight run of the font moves only where no other can: the tip of a narrow notch
    wanders far for a small shift of its sides. With less than a ``share`` of its samples on it, a line does not carry
    a run, but a curve that begins straight.
    """
    least, vain = np.inf, 0
    for _ in range(EASINGS):
        vain = 0 if fit.farthest - aim.farthest < LESS * (least - aim.farthest) else vain + 1
        if fit.farthest <= aim.farthest or vain > IN_VAIN:
            break
        least = min(least, fit.farthest)
        closer, moved = _closer(drawing, fit, aim, share)
        if not moved:
            break
        there = beside_again(fit, closer, aim)
        if not there.fine:
            break
        drawing, fit = closer, there
    return drawing, fit


@inner
def _closer(drawing: Drawing, fit: Beside, aim: Aim, share: float) -> tuple[Drawing, bool]:
    """The drawing with the lines at the place that is farthest off moved a little; False where none may move."""
    s = c = 0
    for k in range(len(fit.off)):
        if fit.off[k] > fit.off[s]:
            s = k
    for k in range(len(fit.corner_off)):
        if fit.corner_off[k] > fit.corner_off[c]:
            c = k
    limit = AIM * aim.farthest
    excess = fit.farthest - limit
    after = np.empty(len(drawing.edges), np.int64)
    before = previous(drawing)
    for k in range(len(before)):
        after[before[k]] = k
    if fit.off[s] >= fit.corner_off[c]:
        x, y = aim.points[s, 0], aim.points[s, 1]
        tip, apart = 0, np.inf
        for k in range(len(fit.corners)):
            dx, dy = fit.corners[k, 0] - x, fit.corners[k, 1] - y
            if dx * dx + dy * dy < apart:
                apart, tip = dx * dx + dy * dy, k
        if np.sqrt(apart) <= fit.off[s] + AT_CORNER * aim.size:
            first, second = drawing.edges[tip], drawing.edges[after[tip]]
        else:
            first = drawing.edges[fit.nearest[s]]
            second = first
    else:
        first, second = drawing.edges[c], drawing.edges[after[c]]
        x, y = aim.points[fit.at_corner[c], 0], aim.points[fit.at_corner[c], 1]
    runs = carry_runs(drawing, fit, aim, share)
    none_free = runs[first] and runs[second]
    if none_free:  # the tip can go no nearer than along a level line that stays
        for n in range(2):
            k = second if n else first
            nx, ny, d = drawing.lines[k, 0], drawing.lines[k, 1], drawing.lines[k, 2]
            if nx == 0.0 or ny == 0.0:
                side = nx * x + ny * y - d
                x, y = x - side * nx, y - side * ny
    lines = copy_lines(drawing.lines, int64(0))
    moved = False
    for n in range(2):
        k = second if n else first
        if n and second == first:
            break
        nx, ny, d = lines[k, 0], lines[k, 1], lines[k, 2]
        level = nx == 0.0 or ny == 0.0
        if (runs[k] and not none_free) or (none_free and level):
            continue
        side = nx * x + ny * y - d
        by = EASE_STRAIGHT if none_free else EASE
        step = min(abs(side), by * excess)
        if side < 0:
            step = -step
        if none_free:
            fx, fy, apart = far_end(drawing, fit, k, x, y)
            # Turned about its far end, so that beside the point it moves by the step.
            px, py = x - (side - step) * nx, y - (side - step) * ny
            mx, my = fy - py, px - fx
            length = np.sqrt(mx * mx + my * my)
            if length < 1e-6:
                continue
            mx, my = mx / length, my / length
            moved = put_line(lines, drawing, aim.maps, k, mx, my, mx * fx + my * fy) or moved
        else:
            moved = put_line(lines, drawing, aim.maps, k, nx, ny, d + step) or moved
    return Drawing(lines, drawing.edges, drawing.rings, drawing.senses, drawing.images), moved
