"""Spans and sets of spans as numbers: what :mod:`converter.sewing.problem` tells in words, for compiled loops.

A set of spans is a row of words of :data:`BITS` bits, the lowest first. The spans of a line are neighbours, and in one
word if there is room for them.
"""

from typing import NamedTuple

import numpy as np

from converter.compiled import Floats, Integers, compiled, inner, int64

BITS = 60  # of a word: as many as fit a signed 64-bit number with room to spare
ON_LINE = 1e-3  # mm: what is nearer to a line than this lies on it; a tenth of what a fine pen draws
SAME_PLACE = 4 * ON_LINE


class Spans(NamedTuple):
    """The lines and spans of a figure. ``all`` has every span; shape (words,), the other sets (lines, words)."""

    lines: Floats  # (lines, 3): nx, ny, d
    all: Integers
    tops: Integers  # the highest span of each line, by which lines are counted; 0 where one has too many
    on: Integers  # spans that lie on each line
    plus: Integers  # spans strictly on its positive side
    minus: Integers
    met_at: Integers  # (lines + 1,): where each line's rows begin in the next two
    met_plus: Integers  # for each point of a line where spans leave it: those on its positive side
    met_minus: Integers


@inner
def copy_row(source: Integers, into: Integers) -> None:
    """Copies a set of spans. (Plain loops: Numba takes seconds to compile what NumPy says in a word.)"""
    for w in range(len(source)):
        into[w] = source[w]


@inner
def is_empty(part: Integers) -> bool:
    """Whether a set has no spans."""
    for w in range(len(part)):
        if part[w]:
            return False
    return True


@inner
def has_common(part: Integers, other: Integers) -> bool:
    """Whether two sets have a span in common."""
    for w in range(len(part)):
        if part[w] & other[w]:
            return True
    return False


@inner
def remove(part: Integers, spans: Integers) -> None:
    """Takes spans out of a set."""
    for w in range(len(part)):
        part[w] &= ~spans[w]


@compiled
def clip_to_block(edges: Floats, owners: Integers, width: float, height: float) -> int:
    """Puts what of the edges (as for :func:`find_spans`) lies inside the block (mm) in their place, the owners with it;
    how many they are. What lies on or outside the block's edge needs no cut.

    (Liang and Barsky, "A new concept and method for line clipping", ACM Transactions on Graphics 3, 1984.)
    """
    count = int64(0)
    for k in range(len(edges)):
        first, last, outside = 0.0, 1.0, False
        for axis in range(2):
            for side in range(2):
                sign, limit = (1.0, (height if axis else width)) if side else (-1.0, 0.0)
                s, t = sign * (edges[k, axis] - limit), sign * (edges[k, axis + 2] - limit)  # how far outside
                if s >= -ON_LINE and t >= -ON_LINE:
                    outside = True
                elif s > 0:
                    first = max(first, s / (s - t))
                elif t > 0:
                    last = min(last, s / (s - t))
        dx, dy = edges[k, 2] - edges[k, 0], edges[k, 3] - edges[k, 1]
        if outside or (last - first) * np.sqrt(dx * dx + dy * dy) <= ON_LINE:
            continue
        px, py = edges[k, 0], edges[k, 1]
        edges[count, 2] = px + last * dx if last < 1 else edges[k, 2]
        edges[count, 3] = py + last * dy if last < 1 else edges[k, 3]
        edges[count, 0] = px + first * dx if first > 0 else px
        edges[count, 1] = py + first * dy if first > 0 else py
        owners[count] = owners[k]
        count += 1
    return count


@compiled
def find_spans(lines: Floats, edges: Floats, owners: Integers) -> Spans:
    """The spans into which the ``lines`` cut ``edges`` (x, y of both ends, a row each) that lie on their ``owners``."""
    ends, own = _cut(lines, edges, owners)
    count = len(ends)
    bits, tops = _placed(own, len(lines))
    words = len(tops)
    on, plus, minus = (
        np.zeros((len(lines), words), np.int64),
        np.zeros((len(lines), words), np.int64),
        np.zeros((len(lines), words), np.int64),
    )
    every = np.zeros(words, np.int64)
    for s in range(count):
        every[bits[s] // BITS] |= int64(1) << (bits[s] % BITS)
    met_at = np.zeros(len(lines) + 1, np.int64)
    met_plus, met_minus = (
        np.zeros((2 * count + 1, words), np.int64),
        np.zeros((2 * count + 1, words), np.int64),
    )
    met = 0
    places = np.empty((2 * count, 2), np.int64)
    for k in range(len(lines)):
        nx, ny, d = lines[k, 0], lines[k, 1], lines[k, 2]
        first = met
        for s in range(count):
            word, bit = bits[s] // BITS, int64(1) << (bits[s] % BITS)
            if own[s] == k:
                on[k, word] |= bit
                continue
            at_start = ends[s, 0] * nx + ends[s, 1] * ny - d
            at_end = ends[s, 2] * nx + ends[s, 3] * ny - d
            above = at_start + at_end > 0
            if above:
                plus[k, word] |= bit
            else:
                minus[k, word] |= bit
            for which in range(2):
                if abs(at_end if which else at_start) > ON_LINE:
                    continue
                x, y = round(ends[s, 2 * which] / SAME_PLACE), round(ends[s, 2 * which + 1] / SAME_PLACE)
                row = first
                while row < met and not (places[row - first, 0] == x and places[row - first, 1] == y):
                    row += 1
                if row == met:
                    if met == len(met_plus):
                        met_plus, met_minus = _longer(met_plus), _longer(met_minus)
                    places[row - first, 0], places[row - first, 1] = x, y
                    met += 1
                if above:
                    met_plus[row, word] |= bit
                else:
                    met_minus[row, word] |= bit
        kept = first
        for row in range(first, met):
            if not is_empty(met_plus[row]) and not is_empty(met_minus[row]):
                copy_row(met_plus[row], met_plus[kept])
                copy_row(met_minus[row], met_minus[kept])
                kept += 1
        for row in range(kept, met):
            for w in range(words):
                met_plus[row, w] = met_minus[row, w] = 0
        met = kept
        met_at[k + 1] = met
    return Spans(lines, every, tops, on, plus, minus, met_at, met_plus[:met], met_minus[:met])


@inner
def _placed(own: Integers, lines: int) -> tuple[Integers, Integers]:
    """The bit of each span, whose lines are ``own``, and the highest bits of the lines, word by word."""
    number, next_bit = np.zeros(lines, np.int64), np.zeros(lines, np.int64)
    for s in range(len(own)):
        number[own[s]] += 1
    at, crowded = int64(0), False
    for k in range(lines):
        if at % BITS + number[k] > BITS:
            at += BITS - at % BITS
        crowded = crowded or number[k] > BITS
        next_bit[k] = at
        at += number[k]
    tops, bits = np.zeros(at // BITS + 1, np.int64), np.empty(len(own), np.int64)
    for k in range(lines):
        if number[k] and not crowded:
            top = next_bit[k] + number[k] - 1
            tops[top // BITS] |= int64(1) << (top % BITS)
    for s in range(len(own)):
        bits[s] = next_bit[own[s]]
        next_bit[own[s]] += 1
    return bits, tops


@inner
def _longer(rows: Integers) -> Integers:
    longer = np.zeros((2 * len(rows), rows.shape[1]), np.int64)
    for row in range(len(rows)):
        copy_row(rows[row], longer[row])
    return longer


@inner
def _cut(lines: Floats, edges: Floats, owners: Integers) -> tuple[Floats, Integers]:
    """The edges cut where lines cross them; a part too short to sew goes to its neighbour. With their owners."""
    most = len(edges) * (len(lines) + 1)
    ends, own = np.empty((most, 4)), np.empty(most, np.int64)
    count = 0
    stops = np.empty(len(lines) + 1)
    for e in range(len(edges)):
        px, py, qx, qy = edges[e, 0], edges[e, 1], edges[e, 2], edges[e, 3]
        found = 0
        for k in range(len(lines)):
            if k == owners[e]:
                continue
            s = px * lines[k, 0] + py * lines[k, 1] - lines[k, 2]
            t = qx * lines[k, 0] + qy * lines[k, 1] - lines[k, 2]
            if (s > ON_LINE and t < -ON_LINE) or (s < -ON_LINE and t > ON_LINE):
                at = s / (s - t)
                place = found
                while place > 0 and stops[place - 1] > at:
                    stops[place] = stops[place - 1]
                    place -= 1
                stops[place] = at
                found += 1
        length = np.sqrt((qx - px) ** 2 + (qy - py) ** 2)
        before, x, y = 0.0, px, py
        for n in range(found):
            # What is left after the stop must be long enough, too, or it goes to the span before.
            if (stops[n] - before) * length <= ON_LINE or (1.0 - stops[n]) * length <= ON_LINE:
                continue
            before = stops[n]
            ends[count, 0], ends[count, 1] = x, y
            x, y = px + before * (qx - px), py + before * (qy - py)
            ends[count, 2], ends[count, 3] = x, y
            own[count] = owners[e]
            count += 1
        ends[count, 0], ends[count, 1], ends[count, 2], ends[count, 3] = x, y, qx, qy
        own[count] = owners[e]
        count += 1
    return ends[:count], own[:count]
