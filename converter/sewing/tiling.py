"""A block that is cut into pieces already, as a problem on bit sets.

Each piece is a bit; a part of the block (always convex) is an integer. The lines that carry the pieces' edges
are what a cut may follow. A cut runs along seams over the whole width of its part exactly if no piece of the
part lies on both sides of the line: the pieces tile the part, so all along the line two of them meet.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from converter.geometry import Line, line_through
from converter.model import Point, Ring
from converter.sewing.problem import distinct_lines

SAME = 5e-3  # mm; what is nearer than this is the same. As in the replay of the sewing.

Fabrics = tuple[int, ...]  # pieces at one place, one bit set a fabric


@dataclass(frozen=True, slots=True)
class SeamLine:
    """One line of the drawing; pieces in neither set are crossed by it.

    ``meetings``: for each place where seams end on the line from both sides, the pieces there on its plus side
    and on its minus side.
    """

    line: Line
    plus: int
    minus: int
    meetings: tuple[tuple[Fabrics, Fabrics], ...]

    def cuts(self, part: int) -> tuple[int, int] | None:
        """The two parts that a cut along this line makes; None where it would cross a piece or miss the part."""
        plus, minus = part & self.plus, part & self.minus
        return (plus, minus) if plus and minus and plus | minus == part else None

    def matches(self, part: int) -> int:
        """How many seams between two fabrics must meet another such seam across this cut."""
        return sum(1 for sides in self.meetings if all(_changes(side, part) for side in sides))


def _changes(side: Fabrics, part: int) -> bool:
    return sum(1 for pieces in side if pieces & part) > 1


def seam_lines(rings: Sequence[Ring], fabrics: Sequence[str]) -> tuple[SeamLine, ...]:
    """Every line that carries an edge of a piece, the longest edge's first; of equals the upper left one.

    What is as long but for rounding is equal, so that the order does not hang on who wrote the numbers.
    """
    edges = [(ring[k - 1], ring[k]) for ring in rings for k in range(len(ring))]
    lines, owner = distinct_lines(edges, SAME)
    ends: list[list[Point]] = [[] for _ in lines]
    longest = [0.0] * len(lines)
    for edge, own in zip(edges, owner, strict=True):
        ends[own] += edge
        longest[own] = max(longest[own], math.dist(*edge))
    order = sorted(range(len(lines)), key=lambda k: (-round(longest[k], 1), _place(ends[k])))
    return tuple(_seam_line(line_through(*far_ends(ends[k])), rings, fabrics) for k in order)


def _place(points: Sequence[Point]) -> tuple[float, float, float, float]:
    low, high = far_ends(points)
    return round(low[1] + high[1], 1), round(low[0] + high[0], 1), round(low[1], 1), round(low[0], 1)


def far_ends(points: Sequence[Point]) -> tuple[Point, Point]:
    """The first and the last of points on one line."""
    low, high = min(points), max(points)
    if high[0] - low[0] < abs(high[1] - low[1]):  # steep: y tells them apart better
        low, high = min(points, key=lambda p: p[1]), max(points, key=lambda p: p[1])
    return low, high


def _seam_line(line: Line, rings: Sequence[Ring], fabrics: Sequence[str]) -> SeamLine:
    plus = minus = 0
    on: list[
        tuple[float, int, bool]
    ] = []  # how far along the line, the piece, whether it is on the plus side
    for piece, ring in enumerate(rings):
        sides = [line.side(p) for p in ring]
        if min(sides) >= -SAME:
            plus |= 1 << piece
        elif max(sides) <= SAME:
            minus |= 1 << piece
        else:
            continue
        on += [
            (line.nx * p[1] - line.ny * p[0], piece, min(sides) >= -SAME)
            for p, side in zip(ring, sides, strict=True)
            if abs(side) <= SAME
        ]
    meetings = []
    for place in _places(on):
        both = tuple(
            _by_fabric([piece for _, piece, above in place if above == side], fabrics)
            for side in (True, False)
        )
        if all(len(side) > 1 for side in both):
            meetings.append((both[0], both[1]))
    return SeamLine(line, plus, minus, tuple(meetings))


def _places(on: list[tuple[float, int, bool]]) -> Iterator[list[tuple[float, int, bool]]]:
    on = sorted(on)
    start = 0
    for k in range(1, len(on) + 1):
        if k == len(on) or on[k][0] - on[k - 1][0] > 4 * SAME:
            yield on[start:k]
            start = k


def _by_fabric(pieces: list[int], fabrics: Sequence[str]) -> Fabrics:
    sets: dict[str, int] = {}
    for piece in pieces:
        sets[fabrics[piece]] = sets.get(fabrics[piece], 0) | 1 << piece
    return tuple(sets.values())
