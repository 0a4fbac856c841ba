"""The seams of a block, worked out from its pieces, sections and joins: one straight line a seam.

What is sewn so far is always convex, and so is what is added; their seam is therefore the one side that the
two share. All lengths are mm on the finished face.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import hypot
from typing import Literal

from shapely import LineString, Polygon

from converter.geometry import without_flat_corners
from converter.model import Glyph, Point, Ring

# Corners are rounded to 1e-4 mm, and a short side that is off by that much points 0.02 mm astray at the far
# end of a large block; no piece is as small as this.
TOLERANCE = 0.02


@dataclass(frozen=True, slots=True)
class Seam:
    """One straight seam; ``start`` sorts before ``end``.

    ``inner``: in the section ``section``, the piece ``added`` is sewn to all pieces before it; ``step`` is
    that piece's number in sewing order, from 2. ``join``: ``added`` is the join's second part, ``section``
    what the join makes, ``step`` the join's step.
    """

    start: Point
    end: Point
    kind: Literal["inner", "join"]
    section: str
    step: int
    added: str

    @property
    def length(self) -> float:
        """In mm."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])


@lru_cache(maxsize=256)
def seams(glyph: Glyph) -> tuple[Seam, ...]:
    """Every seam in the order in which it is sewn: section by section, then the joins.

    Raises ValueError when what is added shares no straight side with what is there.
    """
    rings = {piece.id: piece.polygon for piece in glyph.pieces}
    made: list[Seam] = []
    for section in glyph.sections:
        for count, piece_id in enumerate(section.pieces[1:], 1):
            there = _corners(rings, section.pieces[:count])
            start, end = common_side(there, rings[piece_id])
            made.append(Seam(start, end, "inner", section.id, count + 1, piece_id))
    parts = assemblies(glyph)
    for join in glyph.joins:
        first, second = (_corners(rings, parts[name].pieces) for name in join.parts)
        start, end = common_side(first, second)
        made.append(Seam(start, end, "join", join.makes, join.step, join.parts[1]))
    return tuple(made)


@dataclass(frozen=True, slots=True)
class Assembly:
    """What a name in a join stands for: its sections and pieces, in order."""

    sections: tuple[str, ...]
    pieces: tuple[str, ...]


def assemblies(glyph: Glyph) -> dict[str, Assembly]:
    """Each section's id, and the name of what each join makes, with what is in it."""
    found = {s.id: Assembly((s.id,), s.pieces) for s in glyph.sections}
    for join in glyph.joins:
        first, second = (found[name] for name in join.parts)
        found[join.makes] = Assembly(first.sections + second.sections, first.pieces + second.pieces)
    return found


def outline(glyph: Glyph, piece_ids: Sequence[str]) -> Ring:
    """The outline in mm of pieces that make a convex shape together, such as a section.

    Runs clockwise as seen (y down), from the corner that sorts first.
    """
    return _hull(_corners({piece.id: piece.polygon for piece in glyph.pieces}, piece_ids))


def common_side(first: Iterable[Point], second: Iterable[Point]) -> tuple[Point, Point]:
    """The straight side that two convex shapes share, given by their corners.

    Where they touch in more than one side (which only rounding can make), the longest. Raises ValueError
    where they share none.
    """
    first, second = tuple(first), tuple(second)
    best: tuple[float, Point, Point] | None = None
    for one, other in ((first, second), (second, first)):
        hull = _hull(one)
        for (ax, ay), (bx, by) in zip(hull, hull[1:] + hull[:1], strict=True):
            length = hypot(bx - ax, by - ay)
            ux, uy = (bx - ax) / length, (by - ay) / length
            # Clockwise as seen: the shape's inside has a positive offset from its side.
            if any((y - ay) * ux - (x - ax) * uy > TOLERANCE for x, y in other):
                continue
            near = [
                (x - ax) * ux + (y - ay) * uy
                for x, y in other
                if abs((y - ay) * ux - (x - ax) * uy) <= TOLERANCE
            ]
            if len(near) < 2:
                continue
            low, high = max(0.0, min(near)), min(length, max(near))
            if high - low > 2 * TOLERANCE and (best is None or high - low > best[0] + TOLERANCE):
                ends = sorted((round(ax + ux * t, 4) + 0.0, round(ay + uy * t, 4) + 0.0) for t in (low, high))
                best = (high - low, ends[0], ends[1])
    if best is None:
        raise ValueError(f"no common straight side between {first[:3]}… and {second[:3]}…")
    return best[1], best[2]


def _corners(rings: Mapping[str, Ring], piece_ids: Iterable[str]) -> tuple[Point, ...]:
    return tuple(point for piece_id in piece_ids for point in rings[piece_id])


def _hull(points: Sequence[Point]) -> Ring:
    shape = LineString(points).convex_hull
    if not isinstance(shape, Polygon):
        raise ValueError(f"these corners enclose no area: {tuple(points)[:4]}")
    corners = [(x, y) for x, y in shape.exterior.coords[:-1]]
    if not shape.exterior.is_ccw:  # shapely's sense is for y up; with y down this looks clockwise
        corners.reverse()
    corners = list(without_flat_corners(corners, TOLERANCE / 10))
    first = corners.index(min(corners))
    return tuple(corners[first:] + corners[:first])
