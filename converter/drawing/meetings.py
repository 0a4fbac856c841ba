"""What meets on a join: the seams that must match, and to which side the join is pressed.

Pressing, common practice, no source: an allowance is pressed towards the side on which fewer seams end, since there
are fewer layers to fold over. Where as many end on both sides neither is flatter, and two seams that match and lie to
the same side would pile up their layers: such joins are pressed open. A seam within a section lies towards the piece
that it adds, which is folded out over it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from converter.model import Glyph, Join
from converter.seams import TOLERANCE, Assembly, Seam, assemblies, seams

Pair = tuple[str, str]  # ids of the pieces on both sides of a seam, in their order along the join
Ends = Mapping[float, Pair]  # where seams end on one side of a join, mm from its start


@dataclass(frozen=True, slots=True)
class Match:
    """Two seams that end at one place of a join, one from each side of it."""

    first: Pair  # in the join's first part
    second: Pair
    at: float  # mm from the join's start


@dataclass(frozen=True, slots=True)
class Meeting:
    """One join and what must match on it."""

    join: Join
    matches: tuple[Match, ...]
    lone: tuple[tuple[Pair, str], ...]  # seams of earlier joins that end here, on no seam; the part opposite
    towards: str  # the part of the join that it is pressed towards; empty: open


@lru_cache(maxsize=256)
def meetings(glyph: Glyph) -> tuple[Meeting, ...]:
    """One for each join, in order."""
    parts = assemblies(glyph)
    by_step = {seam.step: seam for seam in seams(glyph) if seam.kind == "join"}
    sides = [[_ends(glyph, parts[part], by_step[join.step]) for part in join.parts] for join in glyph.joins]
    pressed: dict[int, str] = {}
    found = []
    for count, join in enumerate(glyph.joins):
        first, second = sides[count]
        matches = _matches(first, second)
        matched = {pair for match in matches for pair in (match.first, match.second)}
        if _piles(glyph, matches, pressed) or (first and len(first) == len(second)):
            towards = ""
        elif first or second:
            towards = join.parts[len(second) < len(first)]
        else:
            later = [match for both in sides[count + 1 :] for match in _matches(*both)]
            towards = min(
                reversed(join.parts),  # a maker adds the second part: it is folded out like a piece
                key=lambda part: _piles(glyph, later, pressed | {join.step: part}),
            )
        pressed[join.step] = towards
        lone = tuple(
            (pair, opposite)
            for side, opposite in zip((first, second), reversed(join.parts), strict=True)
            for pair in side.values()
            if pair not in matched and _join_between(glyph, pair)
        )
        found.append(Meeting(join, matches, lone, towards))
    return tuple(found)


def match_count(glyph: Glyph) -> int:
    """How many seams must match another on the block's joins."""
    return sum(len(meeting.matches) for meeting in meetings(glyph))


def _matches(first: Ends, second: Ends) -> tuple[Match, ...]:
    return tuple(Match(first[t], second[u], t) for t in first for u in second if abs(t - u) <= TOLERANCE)


def _piles(glyph: Glyph, matches: Sequence[Match], pressed: Mapping[int, str]) -> int:
    """How many of the matches have both seams to the same side."""
    return sum(_lies(glyph, m.first, pressed) * _lies(glyph, m.second, pressed) > 0 for m in matches)


def _lies(glyph: Glyph, pair: Pair, pressed: Mapping[int, str]) -> int:
    """1: the seam lies towards the pair's second piece; -1: towards its first; 0: open, or not known yet."""
    join = _join_between(glyph, pair)
    if join is None:
        order = next(s.pieces for s in glyph.sections if pair[0] in s.pieces)
        return 1 if order.index(pair[1]) > order.index(pair[0]) else -1
    towards = pressed.get(join.step)
    if not towards:
        return 0
    return 1 if pair[1] in assemblies(glyph)[towards].pieces else -1


def _join_between(glyph: Glyph, pair: Pair) -> Join | None:
    """The join that brings two pieces together; None where they are in one section."""
    if any(set(pair) <= set(section.pieces) for section in glyph.sections):
        return None
    parts = assemblies(glyph)
    return next(join for join in glyph.joins if set(pair) <= set(parts[join.makes].pieces))


def _ends(glyph: Glyph, part: Assembly, seam: Seam) -> Ends:
    """Where two pieces of a part lie side by side on its join."""
    (ax, ay), (bx, by) = seam.start, seam.end
    ux, uy = (bx - ax) / seam.length, (by - ay) / seam.length
    runs = []
    for piece in part.pieces:
        from_start = [(x - ax, y - ay) for x, y in glyph.piece(piece).polygon]
        offsets = [(x * ux + y * uy, y * ux - x * uy) for x, y in from_start]
        near = [t for t, off in offsets if abs(off) <= TOLERANCE]
        if near and max(near) - min(near) > 2 * TOLERANCE:
            runs.append((max(near), piece))
    runs.sort()
    return {end: (piece, after) for (end, piece), (_, after) in pairwise(runs)}
