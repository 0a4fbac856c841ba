"""Moves that change a drawing a little; each is made on all symmetric images at once.

Drop an edge; carry one line over to another; make a slanted line level, or two that then lie on one line; drop a
corner, so that one edge stands for two; move a line on to a crossing that it just misses; bevel a corner that stands
off the outline; break an edge in two. After all but the move on to a crossing the lines are fitted to the outline anew.
"""

import math

import numpy as np

from converter.compiled import Floats, Integers, compiled, inner, int64
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import (
    PARALLEL,
    SAME_CORNER,
    Drawing,
    copy_lines,
    edge_lengths,
    first_of,
    is_first_image,
    joined,
    previous,
    put_line,
    with_images,
)
from converter.straighten.cost.nearest import Beside, far_end
from converter.straighten.outline.lines import NEARLY_LEVEL, SAME_NORMAL, image_of, normal_form

SAVES, SNAPS, BEVELS = range(3)  # stages: which moves are looked at
REFIT, EASE, DROP, MERGE, LEVEL, LEVEL_BOTH, CHORD, SNAP, BEVEL, BREAK = range(10)
MERGE_REACH = 0.1  # of size: a line may be carried over to one this near at all ends of its edges
MERGE_TURN = 0.5  # sine: and turned by so much
LEVEL_TURN = 0.819  # sine of 55 degrees: a line is made level if it turns by no more than this
LEAST_LEVEL = math.sqrt(1 - LEVEL_TURN**2)
SNAP_REACH = 0.05  # of size: a line may be moved on to a crossing this near
SNAP_LEAST = 0.01  # mm: nearer than this it is there
SNAP_ARM = 0.2  # of size: a line is turned about a point at least so far away
BEVEL_LEAST = 0.012  # of size: a corner nearer to the outline than this is left
LEAST_CUT = 0.1  # sine: less steep than this, a bevel runs along an edge
BREAK_REACH = 0.12  # of size: samples farther off are not those that an edge stands for
BREAK_LEAST = 0.03  # of size: each half of a broken edge stands for at least so much of the outline
BREAK_LEVEL = 0.14  # sine of 8 degrees: a half less steep than this is made level


@compiled
def find_moves(drawing: Drawing, fit: Beside, aim: Aim, stage: int) -> Integers:
    """The moves of a stage that may be made on a drawing, shape (moves, 5): kind, and lines or a corner."""
    most = _put_moves(np.empty((0, 5), np.int64), drawing, fit, aim, stage)
    moves = np.zeros((most, 5), np.int64)
    _put_moves(moves, drawing, fit, aim, stage)
    return moves


@inner
def _put(moves: Integers, n: int, kind: int, a: int, b: int, c: int, d: int) -> int:
    """Puts down one more move, where there is room for any; the number that there are now."""
    if n < len(moves):
        moves[n, 0] = kind
        moves[n, 1] = a
        moves[n, 2] = b
        moves[n, 3] = c
        moves[n, 4] = d
    return n + 1


@inner
def _put_moves(moves: Integers, drawing: Drawing, fit: Beside, aim: Aim, stage: int) -> int:
    """Puts down all moves in the room there is, and returns how many there are."""
    lines, edges = drawing.lines, drawing.edges
    count, size = len(lines), aim.size
    before = previous(drawing)
    used, middle = np.zeros(count, np.int64), np.zeros((count, 2))
    low_x = low_y = np.inf
    high_x = high_y = -np.inf
    for k in range(len(edges)):
        line = edges[k]
        used[line] += 2
        middle[line, 0] += fit.corners[k, 0] + fit.corners[before[k], 0]
        middle[line, 1] += fit.corners[k, 1] + fit.corners[before[k], 1]
        low_x, high_x = min(low_x, fit.corners[k, 0]), max(high_x, fit.corners[k, 0])
        low_y, high_y = min(low_y, fit.corners[k, 1]), max(high_y, fit.corners[k, 1])
    first = np.zeros(count, np.int64)
    for k in range(count):
        if used[k]:
            middle[k, 0] /= used[k]
            middle[k, 1] /= used[k]
            if is_first_image(drawing, k):
                first[k] = 1
    n, none = int64(0), int64(0)
    if stage == BEVELS:
        for c in range(len(edges)):
            if fit.corner_off[c] >= BEVEL_LEAST * size:
                for way in range(3):
                    n = _put(moves, n, none + BEVEL, c, none + way, none, none)
        if len(aim.maps) == 0:
            for k in range(len(edges)):
                n = _put(moves, n, none + BREAK, k, none, none, none)
        return n
    if stage == SNAPS:
        return _put_snaps(moves, drawing, first, used, low_x, high_x, low_y, high_y, size)
    n = _put(moves, n, none + REFIT, none, none, none, none)
    n = _put(moves, n, none + EASE, none, none, none, none)
    n = _put(moves, n, none + EASE, none + 1, none, none, none)
    for a in range(count):
        if first[a]:
            n = _put(moves, n, none + DROP, a, none, none, none)
        if not used[a]:
            continue
        level = lines[a, 0] == 0.0 or lines[a, 1] == 0.0
        for b in range(count):
            if a == b or not used[b]:
                continue
            to_level = lines[b, 0] == 0.0 or lines[b, 1] == 0.0
            turn = abs(lines[a, 0] * lines[b, 1] - lines[a, 1] * lines[b, 0])
            if turn > (LEVEL_TURN if to_level else MERGE_TURN) or (level and not to_level):
                continue
            far = 0.0
            for k in range(len(edges)):
                if edges[k] == a:
                    j = before[k]
                    end = fit.corners[k, 0] * lines[b, 0] + fit.corners[k, 1] * lines[b, 1] - lines[b, 2]
                    start = fit.corners[j, 0] * lines[b, 0] + fit.corners[j, 1] * lines[b, 1] - lines[b, 2]
                    far = max(far, abs(end), abs(start))
            if far <= MERGE_REACH * size:
                n = _put(moves, n, none + MERGE, a, b, none, none)
        if not first[a] or level:
            continue
        for axis in range(2):
            if abs(lines[a, axis]) < LEAST_LEVEL:
                continue
            n = _put(moves, n, none + LEVEL, a, axis, none, none)
            for m in range(a + 1, count):
                slanted = (
                    used[m]
                    and lines[m, 0] != 0.0
                    and lines[m, 1] != 0.0
                    and abs(lines[m, axis]) >= LEAST_LEVEL
                )
                near = abs(middle[m, axis] - middle[a, axis]) <= MERGE_REACH * size
                if len(drawing.images) == 0 and slanted and near:
                    n = _put(moves, n, none + LEVEL_BOTH, a, axis, m, none)
    for c in range(len(edges)):
        n = _put(moves, n, none + CHORD, c, none, none, none)
    return n


@inner
def _put_snaps(
    moves: Integers,
    drawing: Drawing,
    first: Integers,
    used: Integers,
    low_x: float,
    high_x: float,
    low_y: float,
    high_y: float,
    size: float,
) -> int:
    """The same with the moves on to a crossing near the figure, which lies within these bounds (mm)."""
    lines, count, reach = drawing.lines, len(drawing.lines), SNAP_REACH * size
    n, none = int64(0), int64(0)
    for a in range(count):
        for b in range(a + 1, count):
            det = lines[a, 0] * lines[b, 1] - lines[a, 1] * lines[b, 0]
            if not used[a] or not used[b] or abs(det) < PARALLEL:
                continue
            x = (lines[a, 2] * lines[b, 1] - lines[b, 2] * lines[a, 1]) / det
            y = (lines[a, 0] * lines[b, 2] - lines[b, 0] * lines[a, 2]) / det
            if x < low_x - reach or x > high_x + reach or y < low_y - reach or y > high_y + reach:
                continue
            for k in range(count):
                if not first[k] or k == a or k == b:
                    continue
                off = abs(lines[k, 0] * x + lines[k, 1] * y - lines[k, 2])
                if SNAP_LEAST < off <= reach:
                    n = _put(moves, n, none + SNAP, k, a, b, none)
                    if lines[k, 0] != 0.0 and lines[k, 1] != 0.0:
                        n = _put(moves, n, none + SNAP, k, a, b, none + 1)
    return n


@compiled
def made(move: Integers, drawing: Drawing, fit: Beside, aim: Aim) -> tuple[Drawing, bool]:
    """The drawing with a move made, not yet fitted; False where it cannot be made."""
    kind = move[0]
    if kind == DROP:
        return _without(drawing, fit.corners, move[1])
    if kind == MERGE:
        return _merged(drawing, fit.corners, move[1], move[2])
    if kind == LEVEL or kind == LEVEL_BOTH:
        return _levelled(drawing, fit.corners, aim, move[1], move[2], move[3] if kind == LEVEL_BOTH else -1)
    if kind == CHORD:
        return _recut(drawing, fit, aim, move[1], kind, move[2])
    if kind == BEVEL:
        return _recut(drawing, fit, aim, move[1], kind, move[2])
    if kind == BREAK:
        return _broken(drawing, fit, aim, move[1])
    if kind == SNAP:
        return _snapped(drawing, fit, aim, move[1], move[2], move[3], move[4])
    return drawing, True


@inner
def _without(drawing: Drawing, corners: Floats, line: int) -> tuple[Drawing, bool]:
    """The drawing without the edges on a line and its images; their neighbours meet instead."""
    edges, lengths = np.empty(len(drawing.edges), np.int64), edge_lengths(drawing, corners)
    rings = np.zeros(len(drawing.rings), np.int64)
    count = 0
    for r in range(len(rings) - 1):
        for k in range(drawing.rings[r], drawing.rings[r + 1]):
            gone = drawing.edges[k] == line
            for g in range(len(drawing.images)):
                gone = gone or drawing.edges[k] == drawing.images[g, line]
            if not gone:
                edges[count], lengths[count] = drawing.edges[k], lengths[k]
                count += 1
        rings[r + 1] = count
    return joined(drawing, edges, lengths, rings)


@inner
def _merged(drawing: Drawing, corners: Floats, a: int, b: int) -> tuple[Drawing, bool]:
    """The drawing with line a carried over to line b, and each image of it to the image of that."""
    into = np.empty(len(drawing.lines), np.int64)
    for k in range(len(into)):
        into[k] = k
    into[a] = b
    for g in range(len(drawing.images)):
        k, v = drawing.images[g, a], drawing.images[g, b]
        if into[k] == k:
            into[k] = v
    for k in range(len(into)):
        if into[k] != k and into[into[k]] != into[k]:
            return drawing, False
    edges = np.empty(len(drawing.edges), np.int64)
    for k in range(len(edges)):
        edges[k] = into[drawing.edges[k]]
    return joined(drawing, edges, edge_lengths(drawing, corners), drawing.rings)


@inner
def _levelled(
    drawing: Drawing, corners: Floats, aim: Aim, k: int, axis: int, other: int
) -> tuple[Drawing, bool]:
    """The drawing with a slanted line made upright (axis 0) or level (1), about the middle of its edges.

    ``other``: a second one that comes to lie on the same line, or -1.
    """
    before = previous(drawing)
    middles, ends = np.zeros(2), np.zeros(2)
    for e in range(len(drawing.edges)):
        for which in range(2):
            if drawing.edges[e] == (other if which else k):
                middles[which] += corners[e, axis] + corners[before[e], axis]
                ends[which] += 2
    at = middles[0] / ends[0]
    if other >= 0:
        at = (at + middles[1] / ends[1]) / 2
    lines = copy_lines(drawing.lines, int64(0))
    nx, ny = (1.0, 0.0) if axis == 0 else (0.0, 1.0)
    if not put_line(lines, drawing, aim.maps, k, nx, ny, at):
        return drawing, False
    level = Drawing(lines, drawing.edges, drawing.rings, drawing.senses, drawing.images)
    return _merged(level, corners, other, k) if other >= 0 else (level, True)


@inner
def _snapped(
    drawing: Drawing, fit: Beside, aim: Aim, k: int, a: int, b: int, turned: int
) -> tuple[Drawing, bool]:
    """The drawing with line k moved on to where lines a and b cross: in parallel, or turned about its far end."""
    lines = copy_lines(drawing.lines, int64(0))
    det = lines[a, 0] * lines[b, 1] - lines[a, 1] * lines[b, 0]
    x = (lines[a, 2] * lines[b, 1] - lines[b, 2] * lines[a, 1]) / det
    y = (lines[a, 0] * lines[b, 2] - lines[b, 0] * lines[a, 2]) / det
    nx, ny = lines[k, 0], lines[k, 1]
    d = nx * x + ny * y
    if turned:
        fx, fy, apart = far_end(drawing, fit, k, x, y)
        if apart <= SNAP_ARM * aim.size:
            return drawing, False
        nx, ny = (fy - y) / apart, (x - fx) / apart
        d = nx * x + ny * y
    fine = put_line(lines, drawing, aim.maps, k, nx, ny, d)
    return Drawing(lines, drawing.edges, drawing.rings, drawing.senses, drawing.images), fine


@inner
def _broken(drawing: Drawing, fit: Beside, aim: Aim, edge: int) -> tuple[Drawing, bool]:
    """The drawing with two edges in place of one, each along the half of the outline's samples beside it."""
    j = previous(drawing)[edge]
    x, y = fit.corners[j, 0], fit.corners[j, 1]
    wx, wy = fit.corners[edge, 0] - x, fit.corners[edge, 1] - y
    half = (wx * wx + wy * wy) / 2
    lines = copy_lines(drawing.lines, int64(2))
    known = len(drawing.lines)
    for side in range(2):
        weight = mx = my = xx = xy = yy = 0.0
        for again in range(2):  # the mean first, then how the samples spread about it
            for s in range(len(aim.points)):
                if fit.nearest[s] != edge or fit.off[s] > BREAK_REACH * aim.size:
                    continue
                px, py = aim.points[s, 0], aim.points[s, 1]
                if ((px - x) * wx + (py - y) * wy >= half) != (side == 1):
                    continue
                if again:
                    ox, oy = px - mx, py - my
                    xx += aim.weights[s] * ox * ox
                    xy += aim.weights[s] * ox * oy
                    yy += aim.weights[s] * oy * oy
                else:
                    weight += aim.weights[s]
                    mx += aim.weights[s] * px
                    my += aim.weights[s] * py
            if weight < BREAK_LEAST * aim.size:
                return drawing, False
            if not again:
                mx, my = mx / weight, my / weight
        # The principal axis, without trigonometry: the longer of two forms of one eigenvector.
        spread = np.sqrt((xx - yy) * (xx - yy) / 4 + xy * xy)
        dx, dy = (xx - yy) / 2 + spread, xy
        if xx < yy:
            dx, dy = xy, (yy - xx) / 2 + spread
        length = np.sqrt(dx * dx + dy * dy)
        if length < 1e-9:
            return drawing, False
        nx, ny = -dy / length, dx / length
        if abs(nx) < BREAK_LEVEL:
            nx, ny = 0.0, 1.0
        elif abs(ny) < BREAK_LEVEL:
            nx, ny = 1.0, 0.0
        lines[known + side, 0], lines[known + side, 1], lines[known + side, 2] = normal_form(
            nx, ny, nx * mx + ny * my
        )
    count = len(drawing.edges)
    edges, rings = np.empty(count + 1, np.int64), np.zeros(len(drawing.rings), np.int64)
    for k in range(count):
        edges[k if k <= edge else k + 1] = drawing.edges[k]
    edges[edge], edges[edge + 1] = known, known + 1
    for r in range(len(rings)):
        rings[r] = drawing.rings[r] + (1 if drawing.rings[r] > edge else 0)
    images, fine = with_images(lines, aim.maps)
    return Drawing(lines, edges, rings, drawing.senses, images), fine


@inner
def _line_through(ax: float, ay: float, bx: float, by: float) -> tuple[float, float, float]:
    nx, ny = ay - by, bx - ax
    length = max(np.sqrt(nx * nx + ny * ny), 1e-12)
    nx, ny = nx / length, ny / length
    return normal_form(nx, ny, (nx * (ax + bx) + ny * (ay + by)) / 2)


@inner
def _bevel(
    corners: Floats, before: int, at: int, after: int, way: int, fit: Beside, aim: Aim
) -> tuple[float, float, float, bool]:
    """The line that cuts off a corner where the outline passes; False where it would cut off more.

    ``way``: 1 for a horizontal cut, 2 for an upright one, 0 for one that turns by half as much as the corner.
    """
    x, y = corners[at, 0], corners[at, 1]
    ux, uy, vx, vy = (
        x - corners[before, 0],
        y - corners[before, 1],
        corners[after, 0] - x,
        corners[after, 1] - y,
    )
    u, v = np.sqrt(ux * ux + uy * uy), np.sqrt(vx * vx + vy * vy)
    if u < 1e-9 or v < 1e-9:
        return 0.0, 0.0, 0.0, False
    ux, uy, vx, vy = ux / u, uy / u, vx / v, vy / v
    dx, dy = ux + vx, uy + vy
    length = np.sqrt(dx * dx + dy * dy)
    if length < 1e-6:
        return 0.0, 0.0, 0.0, False
    dx, dy = dx / length, dy / length
    if way > 0 and min(abs(uy if way == 1 else ux), abs(vy if way == 1 else vx)) < LEAST_CUT:
        return 0.0, 0.0, 0.0, False  # along one of the edges
    if way == 1:
        dx, dy = 1.0, 0.0
    elif way == 2:
        dx, dy = 0.0, 1.0
    elif abs(dy) < NEARLY_LEVEL and uy * vy < 0:
        dx, dy = 1.0, 0.0
    elif abs(dx) < NEARLY_LEVEL and ux * vx < 0:
        dx, dy = 0.0, 1.0
    s = fit.at_corner[at]
    nx, ny, d = normal_form(-dy, dx, -dy * aim.points[s, 0] + dx * aim.points[s, 1])
    side = nx * x + ny * y - d
    # The cut must run between the neighbours.
    first = (nx * corners[before, 0] + ny * corners[before, 1] - d) * side
    last = (nx * corners[after, 0] + ny * corners[after, 1] - d) * side
    return nx, ny, d, first < 0 or last < 0


@inner
def _recut(drawing: Drawing, fit: Beside, aim: Aim, corner: int, kind: int, way: int) -> tuple[Drawing, bool]:
    """The drawing with a corner and its images dropped, one edge standing for two; or, for a bevel, cut off."""
    bevel = kind == BEVEL
    corners, before = fit.corners, previous(drawing)
    edges, count = drawing.edges, len(drawing.edges)
    after = np.empty(count, np.int64)
    for k in range(count):
        after[before[k]] = k
    order = 1 + len(aim.maps)
    cut = np.zeros((order, 3))
    if bevel:
        nx, ny, d, fine = _bevel(corners, before[corner], corner, after[corner], way, fit, aim)
        if not fine:
            return drawing, False
        cut[0, 0], cut[0, 1], cut[0, 2] = nx, ny, d
    which = np.empty(count, np.int64)  # the image that a corner is, of the first one that it is; or -1
    for k in range(count):
        which[k] = -1
    which[corner] = 0
    for g in range(order - 1):
        x = aim.maps[g, 0] * corners[corner, 0] + aim.maps[g, 2]
        y = aim.maps[g, 1] * corners[corner, 1] + aim.maps[g, 3]
        if bevel:
            cut[g + 1, 0], cut[g + 1, 1], cut[g + 1, 2] = image_of(cut[0], aim.maps, g)
        for k in range(count):
            if abs(corners[k, 0] - x) < SAME_CORNER and abs(corners[k, 1] - y) < SAME_CORNER:
                if which[k] < 0:
                    which[k] = g + 1
                elif bevel and which[k] == 0:  # its own image: so must the cut be
                    off = abs(cut[g + 1, 0] - cut[0, 0]) + abs(cut[g + 1, 1] - cut[0, 1])
                    if off > SAME_NORMAL or abs(cut[g + 1, 2] - cut[0, 2]) > 1e-6:
                        return drawing, False
    known = len(drawing.lines)
    lines = copy_lines(drawing.lines, 2 * order)
    kept, rings = np.empty(count + order, np.int64), np.zeros(len(drawing.rings), np.int64)
    n = 0
    for r in range(len(drawing.rings) - 1):
        first, last = drawing.rings[r], drawing.rings[r + 1]
        start = n
        for k in range(first, last):
            if bevel:
                kept[n] = edges[k]
                n += 1
                if which[k] >= 0:
                    if n - (k + 1) >= order or known == len(lines):  # corners in one place
                        return drawing, False
                    same = known  # of a level cut the image may be the same line
                    for m in range(len(drawing.lines), known):
                        off = abs(lines[m, 0] - cut[which[k], 0]) + abs(lines[m, 1] - cut[which[k], 1])
                        if off <= SAME_NORMAL and abs(lines[m, 2] - cut[which[k], 2]) <= 1e-6:
                            same = m
                    for c in range(3):
                        lines[same, c] = cut[which[k], c]
                    kept[n] = same
                    known = max(known, same + 1)
                    n += 1
                continue
            if which[k] >= 0:
                continue
            j = before[k]
            if which[j] < 0:
                kept[n] = edges[k]
            else:
                steps = 0
                while which[j] >= 0 and steps < count:
                    j = before[j]
                    steps += 1
                if steps == count or j == k or known == len(lines):
                    return drawing, False
                lines[known, 0], lines[known, 1], lines[known, 2] = _line_through(
                    corners[j, 0], corners[j, 1], corners[k, 0], corners[k, 1]
                )
                kept[n] = known
                known += 1
            n += 1
        if n - start < 3:
            return drawing, False
        rings[r + 1] = n
    lines = copy_lines(lines[:known], int64(0))
    images, fine = with_images(lines, aim.maps)
    return Drawing(lines, first_of(kept, n), rings, drawing.senses, images), fine
