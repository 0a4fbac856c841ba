"""Every tree of straight cuts of a small figure, tried out with exact fractions.

Written for the tests alone: it knows nothing of the program's spans, bounds or peeling. The lines cut the block
into faces; a part of the block is a set of faces; every cut that divides it is tried.
"""

from fractions import Fraction
from functools import cache

NEVER = 10**9

ExactPoint = tuple[Fraction, Fraction]
ExactLine = tuple[Fraction, Fraction, Fraction]  # a·x + b·y = c


def exact_line(p, q) -> ExactLine:
    (px, py), (qx, qy) = [tuple(map(Fraction, point)) for point in (p, q)]
    a, b = py - qy, qx - px
    scale = a if a else b
    a, b = a / scale, b / scale
    return a, b, a * px + b * py


def side(line: ExactLine, p) -> Fraction:
    return line[0] * p[0] + line[1] * p[1] - line[2]


def split(ring, line):
    plus, minus = [], []
    for k, p in enumerate(ring):
        q = ring[k - 1]
        s, t = side(line, q), side(line, p)
        if s * t < 0:
            f = s / (s - t)
            crossing = (q[0] + f * (p[0] - q[0]), q[1] + f * (p[1] - q[1]))
            plus.append(crossing)
            minus.append(crossing)
        if t >= 0:
            plus.append(p)
        if t <= 0:
            minus.append(p)
    has_plus = any(side(line, p) > 0 for p in ring)
    has_minus = any(side(line, p) < 0 for p in ring)
    return (tuple(plus) if has_plus else None, tuple(minus) if has_minus else None)


def edges(figure):
    return [(ring[k - 1], ring[k]) for polygon in figure for ring in polygon for k in range(len(ring))]


def is_inside(figure, p) -> bool:
    odd = False
    for (ax, ay), (bx, by) in edges(figure):
        if (ay > p[1]) != (by > p[1]) and p[0] < ax + (p[1] - ay) * (bx - ax) / (by - ay):
            odd = not odd
    return odd


class Exhaustive:
    """The least costs over all trees of cuts along the lines of the figure's edges and ``more_lines``.

    Coordinates must be whole numbers or fractions.
    """

    def __init__(self, figure, width, height, more_lines=()):
        self.figure = tuple(
            tuple(tuple((Fraction(x), Fraction(y)) for x, y in ring) for ring in polygon)
            for polygon in figure
        )
        corners = [(0, 0), (width, 0), (width, height), (0, height)]
        border = {exact_line(corners[k - 1], corners[k]) for k in range(4)}
        found = {exact_line(*edge) for edge in edges(self.figure)} - border
        self.edge_lines = sorted(found)
        self.lines = sorted(found | set(more_lines))
        faces = [tuple((Fraction(x), Fraction(y)) for x, y in corners)]
        for line in self.lines:
            faces = [part for face in faces for part in split(face, line) if part]
        self.whole = (1 << len(faces)) - 1
        self.ink = self.plus_of = 0
        self.plus = [0] * len(self.lines)
        for bit, face in enumerate(faces):
            centre = (sum(p[0] for p in face) / len(face), sum(p[1] for p in face) / len(face))
            self.ink |= is_inside(self.figure, centre) << bit
            for k, line in enumerate(self.lines):
                self.plus[k] |= (side(line, centre) > 0) << bit

    def one_fabric(self, part: int) -> bool:
        return part & self.ink in (0, part)

    def cuts(self, part: int):
        for plus in self.plus:
            if part & plus and part & ~plus:
                yield part & plus, part & ~plus

    def least_pieces(self) -> int:
        @cache
        def least(part: int) -> int:
            if self.one_fabric(part):
                return 1
            return min(least(a) + least(b) for a, b in self.cuts(part))

        return least(self.whole)

    def least_in_one_section(self) -> int:
        """The fewest pieces where every cut takes off a single piece; NEVER where that cannot be."""
        return self._one(self.whole, {})

    def _one(self, part: int, known: dict[int, int]) -> int:
        if part not in known:
            known[part] = NEVER
            if self.one_fabric(part):
                known[part] = 1
            else:
                for a, b in self.cuts(part):
                    for off, rest in ((a, b), (b, a)):
                        if self.one_fabric(off):
                            known[part] = min(known[part], 1 + self._one(rest, known))
        return known[part]

    def least_cost(self, piece: int, section: int) -> int:
        """The least of piece · pieces + section · sections."""
        known: dict[int, int] = {}
        single: dict[int, int] = {}

        def least(part: int) -> int:
            if part not in known:
                best = self._one(part, single) * piece + section
                if not self.one_fabric(part):
                    best = min([best, *(least(a) + least(b) for a, b in self.cuts(part))])
                known[part] = best
            return known[part]

        return least(self.whole)
