"""The exact search for the cheapest tree of cuts, on numbers: :mod:`converter.sewing.search` tells how it works."""

from typing import NamedTuple

import numpy as np

from converter.compiled import Integers, compiled, inner, int64
from converter.sewing.spans import BITS, Spans, copy_row, has_common, is_empty, remove

PIECE = 1000
ENDLESS = 1 << 60  # more than any tree costs
UNKNOWN = -1
PEEL = -1  # in place of the line to cut first: the part is one section
STATES, BUDGET, PATIENCE, ROWS, FULL = 0, 1, 2, 3, 4  # places in `Memo.counters`
WORD = (1 << BITS) - 1
TWOS, FOURS, EIGHTS = 0x0555555555555555, 0x0333333333333333, 0x0F0F0F0F0F0F0F0F  # every other bit, two, four
PATIENT = 8  # times the budget: after so many states what has no tree below a limit yet is given up
FEW_ROWS, MOST_WORDS = (
    2048,
    1 << 23,
)  # of a memo at first, and (64 MB) of its parts while there is a budget left


class Memo(NamedTuple):
    """What is known of the parts met so far, a row each; ``table`` finds a part's row by its spans."""

    parts: Integers  # (rows, words)
    cost: Integers  # of the best tree; UNKNOWN
    least: Integers  # what it costs at least; UNKNOWN
    choice: Integers  # the line to cut first; PEEL
    table: Integers
    counters: (
        Integers  # states tried, the budget of states, after how many a part without a cut is given up, rows
    )
    prices: Integers  # of a section, and of a seam that must meet another
    left: Integers  # room for a part that is peeled
    order: Integers  # and for the lines that it is peeled along


@compiled
def best_tree(spans: Spans, section: int, match: int, budget: int, most: int) -> tuple[int, Memo]:
    """The cost of the best tree that the budget suffices for, looked for below a limit that rises, and the memo.

    Where every tree is sure to cost ``most`` or more, the search ends, and the cost is only what it is at least.
    """
    rows, block = int64(FEW_ROWS), int64(0)
    while True:
        memo = _new_memo(spans, section, match, budget, rows)
        cost = _best(block, block, spans, memo)
        memo.counters[PATIENCE] = memo.counters[BUDGET] // 2
        while (
            memo.cost[0] == UNKNOWN
            and memo.counters[STATES] <= memo.counters[PATIENCE]
            and memo.least[0] < most
            and not memo.counters[FULL]
        ):
            cost = _best(block, cost + 2 * PIECE + section, spans, memo)
        if memo.cost[0] == UNKNOWN and memo.least[0] >= most:
            return int64(memo.least[0]), memo
        memo.counters[PATIENCE] = ENDLESS
        cost = _best(block, int64(ENDLESS), spans, memo)
        if not memo.counters[FULL]:
            return cost, memo
        rows, budget = _more_room(rows, budget, len(spans.all))


@compiled
def cost_below(limit: int, spans: Spans, section: int, match: int, budget: int) -> tuple[int, Memo]:
    """The cost of the best tree that was found, if it is below the limit; else no less than the limit."""
    rows, block = int64(FEW_ROWS), int64(0)
    while True:
        memo = _new_memo(spans, section, match, budget, rows)
        memo.counters[PATIENCE] = PATIENT * budget
        cost = _best(block, limit, spans, memo)
        if not memo.counters[FULL]:
            return (max(cost, limit) if memo.cost[0] == UNKNOWN else cost), memo
        rows, budget = _more_room(rows, budget, len(spans.all))


@inner
def _more_room(rows: int, budget: int, words: int) -> tuple[int, int]:
    """Room for more parts; where there is no more, a smaller budget."""
    if rows * words < MOST_WORDS:
        return 4 * rows, budget
    return (rows, budget // 4) if budget > 0 else (2 * rows, budget)


@inner
def _new_memo(spans: Spans, section: int, match: int, budget: int, rows: int) -> Memo:
    """An empty memo; its first row is the whole block."""
    words = len(spans.all)
    size = 64
    while size < 2 * rows:
        size *= 2
    memo = Memo(
        np.empty((rows, words), np.int64),
        np.empty(rows, np.int64),
        np.empty(rows, np.int64),
        np.empty(rows, np.int64),
        np.empty(size, np.int64),
        np.zeros(5, np.int64),
        np.empty(2, np.int64),
        np.empty(words, np.int64),
        np.empty(len(spans.lines), np.int64),
    )
    for place in range(size):
        memo.table[place] = -1
    memo.counters[BUDGET], memo.counters[PATIENCE] = budget, ENDLESS
    memo.prices[0], memo.prices[1] = section, match
    row_of(spans.all, memo)
    _bound(int64(0), spans, memo)
    return memo


@inner
def row_of(part: Integers, memo: Memo) -> int:
    """The part's row, a new one where it was not met before; -1 where there is no room for it."""
    mask = len(memo.table) - 1
    key = int64(0)
    for w in range(len(part)):
        # Mixed by shifts alone: no product that could overflow.
        key ^= part[w] ^ (part[w] >> 17) ^ (part[w] >> 31) ^ (part[w] >> 47) ^ (w << 5)
    place = key & mask
    while memo.table[place] >= 0:
        row = memo.table[place]
        same = True
        for w in range(len(part)):
            if memo.parts[row, w] != part[w]:
                same = False
                break
        if same:
            return int(row)
        place = (place + 1) & mask
    row = int(memo.counters[ROWS])
    if row == len(memo.parts):
        memo.counters[FULL] = 1
        return -1
    memo.counters[ROWS] += 1
    memo.table[place] = row
    copy_row(part, memo.parts[row])
    memo.cost[row] = memo.least[row] = UNKNOWN
    memo.choice[row] = PEEL
    return row


@compiled
def peel(part: Integers, spans: Spans, order: Integers) -> int:
    """Takes off all that peels from the part, which is changed; the lines into ``order``. Returns how many."""
    count, words = 0, len(part)
    again = True
    while again:
        again = False
        for k in range(len(spans.lines)):
            here = above = below = int64(0)
            for w in range(words):
                here |= part[w] & spans.on[k, w]
                above |= part[w] & spans.plus[k, w]
                below |= part[w] & spans.minus[k, w]
            if here and not (above and below):
                remove(part, spans.on[k])
                order[count] = k
                count += 1
                again = True
    return count


@inner
def _lines_in(part: Integers, spans: Spans) -> int:
    """How many lines have a span in a part."""
    count = int64(0)
    if not spans.tops[0]:
        for k in range(len(spans.lines)):
            if has_common(part, spans.on[k]):
                count += 1
        return count
    for w in range(len(part)):
        # The spans of a line are neighbours: ones added to all but the highest carry to this if there is any.
        top = spans.tops[w]
        low = WORD & ~top
        bits = (((part[w] & low) + low) | part[w]) & top
        bits -= bits >> 1 & TWOS  # how many bits are set: those of two, of four, of eight, and so on, added
        bits = (bits & FOURS) + (bits >> 2 & FOURS)
        bits = bits + (bits >> 4) & EIGHTS
        bits += bits >> 8
        bits += bits >> 16
        bits += bits >> 32
        count += bits & 0x7F
    return count


@inner
def _bound(row: int, spans: Spans, memo: Memo) -> int:
    """No tree for the part costs less: a cut for each line, and a second section where peeling fails."""
    known = memo.least[row]
    if known == UNKNOWN:
        copy_row(memo.parts[row], memo.left)
        lines = _lines_in(memo.left, spans)
        peel(memo.left, spans, memo.order)
        one = is_empty(memo.left)
        known = (lines + 1) * PIECE + (1 if one else 2) * memo.prices[0]
        memo.least[row] = known
        if one:
            memo.cost[row] = known
    return int(known)


class _Options(NamedTuple):
    """The cuts of the parts on the way to the one that is looked at, the most promising first; a row for each depth."""

    counts: Integers
    bounds: Integers
    lines: Integers
    plus: Integers  # rows of the memo
    minus: Integers
    met: Integers  # what seams that must meet cost


@inner
def _find_options(row: int, limit: int, depth: int, options: _Options, spans: Spans, memo: Memo) -> None:
    """The cuts of a part whose bound is below the limit."""
    words = len(spans.all)
    section, match = memo.prices[0], memo.prices[1]
    part = memo.parts[row]
    plus, minus = np.empty(words, np.int64), np.empty(words, np.int64)
    count = 0
    for k in range(len(spans.lines)):
        on = up = down = int64(0)
        for w in range(words):
            plus[w], minus[w] = part[w] & spans.plus[k, w], part[w] & spans.minus[k, w]
            on |= part[w] & spans.on[k, w]
            up |= plus[w]
            down |= minus[w]
        if not (up and down) and not on:
            continue
        if (_lines_in(plus, spans) + _lines_in(minus, spans) + 2) * PIECE + 2 * section >= limit:
            continue
        p, m = row_of(plus, memo), row_of(minus, memo)
        if memo.counters[FULL]:
            break
        met = 0
        for point in range(spans.met_at[k], spans.met_at[k + 1]):
            if has_common(part, spans.met_plus[point]) and has_common(part, spans.met_minus[point]):
                met += match
        bound = _bound(p, spans, memo) + _bound(m, spans, memo) + met
        place = count  # kept in order, of equals the first line first
        while place > 0 and options.bounds[depth, place - 1] > bound:
            options.bounds[depth, place] = options.bounds[depth, place - 1]
            options.lines[depth, place] = options.lines[depth, place - 1]
            options.plus[depth, place] = options.plus[depth, place - 1]
            options.minus[depth, place] = options.minus[depth, place - 1]
            options.met[depth, place] = options.met[depth, place - 1]
            place -= 1
        options.bounds[depth, place], options.lines[depth, place], options.met[depth, place] = bound, k, met
        options.plus[depth, place], options.minus[depth, place] = p, m
        count += 1
    options.counts[depth] = count


@inner
def _best(row: int, limit: int, spans: Spans, memo: Memo) -> int:
    """The cost of a part's best tree, if it is below the limit; else what it costs at least.

    A depth-first walk with a stack of its own: Numba does not keep compiled functions that call themselves.
    """
    most = len(spans.lines) + 2  # no line is cut twice on the way to a part
    options = _Options(
        np.empty(most, np.int64),
        np.empty((most, most), np.int64),
        np.empty((most, most), np.int64),
        np.empty((most, most), np.int64),
        np.empty((most, most), np.int64),
        np.empty((most, most), np.int64),
    )
    # Of the parts on the way: row, limit, the option that is tried, the best so far, its line, cost of the plus side.
    rows, limits, tried, best, choice, above = (
        np.empty(most, np.int64),
        np.empty(most, np.int64),
        np.empty(most, np.int64),
        np.empty(most, np.int64),
        np.empty(most, np.int64),
        np.empty(most, np.int64),
    )
    depth = int64(0)
    rows[0], limits[0], tried[0] = row, limit, UNKNOWN
    result = 0
    returned = False  # whether `result` is the cost of the part that was gone into last
    while depth >= 0 and not memo.counters[FULL]:
        here = rows[depth]
        if tried[depth] == UNKNOWN:  # just arrived
            if memo.cost[here] != UNKNOWN:  # one section: the bound is met
                result, returned = memo.cost[here], True
                depth -= 1
                continue
            if memo.least[here] >= limits[depth]:
                result, returned = memo.least[here], True
                depth -= 1
                continue
            memo.counters[STATES] += 1
            _find_options(here, limits[depth], depth, options, spans, memo)
            tried[depth], best[depth], choice[depth], above[depth] = 0, limits[depth], PEEL, UNKNOWN
            returned = False
        n = tried[depth]
        if returned:
            returned = False
            if above[depth] == UNKNOWN:  # of the plus side
                cost = result + options.met[depth, n]
                if cost + memo.least[options.minus[depth, n]] < best[depth]:
                    above[depth] = cost
                    rows[depth + 1], limits[depth + 1] = options.minus[depth, n], limits[depth] - cost
                    tried[depth + 1] = UNKNOWN
                    depth += 1
                    continue
            else:
                cost = above[depth] + result
                if cost < best[depth]:
                    best[depth], choice[depth] = cost, options.lines[depth, n]
            n += 1
            tried[depth], above[depth] = n, UNKNOWN
        allowed = memo.counters[PATIENCE] if choice[depth] == PEEL else memo.counters[BUDGET]
        if (
            n < options.counts[depth]
            and options.bounds[depth, n] < best[depth]
            and memo.counters[STATES] <= allowed
        ):
            rows[depth + 1] = options.plus[depth, n]
            limits[depth + 1] = limits[depth] - options.met[depth, n] - memo.least[options.minus[depth, n]]
            tried[depth + 1] = UNKNOWN
            depth += 1
            continue
        if choice[depth] != PEEL:
            memo.cost[here], memo.choice[here] = best[depth], choice[depth]
        elif memo.counters[STATES] <= memo.counters[PATIENCE]:
            memo.least[here] = best[depth]
        result, returned = best[depth], True
        depth -= 1
    return result
