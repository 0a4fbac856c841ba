"""A found tree of cuts carried out on the block: its nodes, and the pieces as polygons.

A part that is one section can be peeled in any order: the pieces are as many, but not of the same shape. A thin bar
whose long sides are cut first leaves its ends as thin as itself. So where a piece comes out narrow, the order is taken
that makes the fewest pieces narrow, and then the narrowest as wide as can be.
"""

from typing import NamedTuple

import numpy as np

from converter.compiled import Floats, Integers, compiled, inner, int64
from converter.sewing.spans import ON_LINE, Spans, copy_row, has_common, is_empty, remove
from converter.sewing.trees import PEEL, PIECE, Memo, peel, row_of

MOST_PEELS = 12  # beyond, the orders are too many to try
LEAF = -1  # in place of a node's line: a piece
ROUNDING = 1e-6  # mm: a piece that is narrower than it may be by no more than this is wide enough


class Tree(NamedTuple):
    """The nodes of a tree of cuts, the whole block first. A leaf is a piece."""

    line: Integers  # the line that a part is cut along; LEAF
    plus: Integers  # the node on its positive side
    minus: Integers
    one_section: Integers  # 1 where the part is a section, or belongs to one
    rings: Floats  # (nodes, corners, 2): the part's outline, in mm
    corners: Integers  # how many of these corners there are


@compiled
def carried_out(spans: Spans, memo: Memo, width: float, height: float, least: float) -> Tree:
    """The best tree that was found, carried out on a block of that size (mm).

    ``least`` (mm): a section with a piece narrower than this is peeled in its best order.
    """
    words, most = len(spans.all), len(spans.lines) + 6
    count = 2 * (memo.cost[0] // PIECE) + 2
    tree = Tree(
        np.empty(count, np.int64),
        np.empty(count, np.int64),
        np.empty(count, np.int64),
        np.zeros(count, np.int64),
        np.empty((count, most, 2)),
        np.zeros(count, np.int64),
    )
    for n in range(count):
        tree.line[n] = tree.plus[n] = tree.minus[n] = LEAF
    parts, left = np.zeros((count, words), np.int64), np.empty(words, np.int64)
    copy_row(spans.all, parts[0])
    tree.corners[0] = 4
    for k in range(4):
        tree.rings[0, k, 0] = width if k in (1, 2) else 0.0
        tree.rings[0, k, 1] = height if k in (2, 3) else 0.0
    order = np.empty(len(spans.lines), np.int64)
    made, node = int64(1), int64(0)
    while node < made:
        if not is_empty(parts[node]):
            row = row_of(parts[node], memo)
            k = memo.choice[row]
            if k != PEEL:
                _cut(tree, node, k, made, spans.lines)
                for w in range(words):
                    parts[made, w] = parts[node, w] & spans.plus[k, w]
                    parts[made + 1, w] = parts[node, w] & spans.minus[k, w]
                made += 2
            else:
                copy_row(parts[node], left)
                found = peel(left, spans, order)
                if (
                    least > 0
                    and found <= MOST_PEELS
                    and _narrowest(tree, node, parts[node], order, found, spans) < least
                ):
                    _widest_order(tree, node, parts[node], order, found, spans, least)
                rest = node
                copy_row(parts[node], left)
                for n in range(found):
                    k = order[n]
                    _cut(tree, rest, k, made, spans.lines)
                    tree.one_section[rest] = 1
                    above = has_common(left, spans.plus[k])
                    remove(left, spans.on[k])
                    rest = made if above else made + 1
                    made += 2
        node += 1
    return Tree(
        tree.line[:made], tree.plus[:made], tree.minus[:made], tree.one_section[:made], tree.rings[:made],
        tree.corners[:made],
    )  # fmt: skip


@inner
def _cut(tree: Tree, node: int, k: int, made: int, lines: Floats) -> None:
    """Cuts a node's part along line k into two new nodes."""
    tree.line[node], tree.plus[node], tree.minus[node] = k, made, made + 1
    plus, minus = split(
        tree.rings[node], tree.corners[node], lines[k], tree.rings[made], tree.rings[made + 1]
    )
    tree.corners[made], tree.corners[made + 1] = plus, minus


@compiled
def split(ring: Floats, count: int, line: Floats, plus: Floats, minus: Floats) -> tuple[int, int]:
    """Both parts of a convex polygon, written into ``plus`` and ``minus``, and how many corners each has.

    As :func:`converter.geometry.split_convex`: a part with no corner off the line has none.
    """
    above = below = 0
    has_above = has_below = False
    before = ring[count - 1, 0] * line[0] + ring[count - 1, 1] * line[1] - line[2]
    for k in range(count):
        x, y = ring[k, 0], ring[k, 1]
        here = x * line[0] + y * line[1] - line[2]
        if (before > ON_LINE and here < -ON_LINE) or (before < -ON_LINE and here > ON_LINE):
            f = before / (before - here)
            px, py = ring[k - 1, 0] if k else ring[count - 1, 0], ring[k - 1, 1] if k else ring[count - 1, 1]
            cx, cy = px + f * (x - px), py + f * (y - py)
            plus[above, 0], plus[above, 1] = cx, cy
            minus[below, 0], minus[below, 1] = cx, cy
            above += 1
            below += 1
        if here >= -ON_LINE:
            plus[above, 0], plus[above, 1] = x, y
            above += 1
            has_above = has_above or here > ON_LINE
        if here <= ON_LINE:
            minus[below, 0], minus[below, 1] = x, y
            below += 1
            has_below = has_below or here < -ON_LINE
        before = here
    return (above if has_above else 0), (below if has_below else 0)


@compiled
def width_of(ring: Floats, count: int) -> float:
    """Width of a convex polygon (mm), as :func:`converter.geometry.convex_width`; 0 where there are no corners."""
    if count < 3:
        return 0.0
    best = np.inf
    for k in range(count):
        j = k - 1 if k else count - 1
        nx, ny = ring[j, 1] - ring[k, 1], ring[k, 0] - ring[j, 0]
        length = np.sqrt(nx * nx + ny * ny)
        if length > 0:
            far = 0.0
            for m in range(count):
                off = abs(nx * (ring[m, 0] - ring[k, 0]) + ny * (ring[m, 1] - ring[k, 1]))
                far = max(far, off)
            best = min(best, far / length)
    return best


@inner
def _narrowest(tree: Tree, node: int, part: Integers, order: Integers, found: int, spans: Spans) -> float:
    """The width (mm) of the narrowest piece that a section has, peeled in that order."""
    rings = np.empty((3, tree.rings.shape[1], 2))
    here, plus, minus = 0, 1, 2  # places in the rings, which change their parts
    count, least = tree.corners[node], np.inf
    _copy_ring(tree.rings[node], count, rings[here])
    left = np.empty(len(part), np.int64)
    copy_row(part, left)
    for n in range(found):
        k = order[n]
        up, down = split(rings[here], count, spans.lines[k], rings[plus], rings[minus])
        if has_common(left, spans.plus[k]):
            least = min(least, width_of(rings[minus], down))
            here, plus, count = plus, here, up
        else:
            least = min(least, width_of(rings[plus], up))
            here, minus, count = minus, here, down
        remove(left, spans.on[k])
    return min(least, width_of(rings[here], count))


@inner
def _copy_ring(ring: Floats, count: int, into: Floats) -> None:
    for k in range(count):
        into[k, 0], into[k, 1] = ring[k, 0], ring[k, 1]


@inner
def _widest_order(
    tree: Tree, node: int, part: Integers, order: Integers, n: int, spans: Spans, least: float
) -> None:
    """Puts the n lines of a section into their best order, by dynamic programming over the sets of lines cut so far."""
    most = tree.rings.shape[1]
    lines = np.empty(n, np.int64)
    for j in range(n):
        place = j
        while place > 0 and lines[place - 1] > order[j]:
            lines[place] = lines[place - 1]
            place -= 1
        lines[place] = order[j]
    sets = 1 << n
    reached = np.zeros(sets, np.int64)
    rings, corners = np.empty((sets, most, 2)), np.zeros(sets, np.int64)
    # Of the piece that a line takes off (of the last line both pieces): the width, -1 where it takes off none, and how
    # many are narrow.
    widths, thin = np.empty((sets, n)), np.zeros((sets, n), np.int64)
    plus, minus = np.empty((most, 2)), np.empty((most, 2))
    reached[0] = 1
    corners[0] = tree.corners[node]
    _copy_ring(tree.rings[node], corners[0], rings[0])
    left = np.empty(len(part), np.int64)
    for done in range(sets - 1):
        if not reached[done]:
            continue
        copy_row(part, left)
        for j in range(n):
            if done >> j & 1:
                remove(left, spans.on[lines[j]])
        for j in range(n):
            k = lines[j]
            widths[done, j] = -1.0
            above, below = has_common(left, spans.plus[k]), has_common(left, spans.minus[k])
            if done >> j & 1 or (above and below):
                continue
            up, down = split(rings[done], corners[done], spans.lines[k], plus, minus)
            widths[done, j] = width_of(minus if above else plus, down if above else up)
            thin[done, j] = widths[done, j] < least
            after = done | 1 << j
            if after == sets - 1:
                rest = width_of(plus if above else minus, up if above else down)
                widths[done, j] = min(widths[done, j], rest)
                thin[done, j] += rest < least
            elif not reached[after]:
                reached[after] = 1
                corners[after] = up if above else down
                _copy_ring(plus if above else minus, corners[after], rings[after])
    narrow, widest, choice = np.zeros(sets, np.int64), np.zeros(sets), np.zeros(sets, np.int64)
    widest[sets - 1] = np.inf
    for done in range(sets - 2, -1, -1):
        if not reached[done]:
            continue
        narrow[done] = n + 2
        for j in range(n):
            width = widths[done, j]
            if width < 0:
                continue
            after = done | 1 << j
            count, narrowest = narrow[after] + thin[done, j], min(width, widest[after])
            if count < narrow[done] or (count == narrow[done] and narrowest > widest[done]):
                narrow[done], widest[done], choice[done] = count, narrowest, j
    done = 0
    for position in range(n):
        j = choice[done]
        order[position] = lines[j]
        done |= 1 << j
