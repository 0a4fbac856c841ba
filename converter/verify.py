"""Replays the sewing of a block from its polygons and orders alone.

Shares no code with the search that made them. A block that passes can be sewn by straight seams: every piece
is added along one whole edge of what is there and one whole edge of itself, every join closes two whole edges,
and the last of them leaves the block's rectangle.
"""

import math
from collections.abc import Iterator, Sequence

from converter.model import Glyph, Join, Piece, Point, Ring, Section

TOLERANCE = 5e-3  # mm; corners this near count as one. The pattern file rounds to 1e-4 mm, paper to 0.1 mm.


class NotSewableError(Exception):
    """The block cannot be sewn as described; the message names the piece or the join.

    ``where``: the place (mm), where one is known.
    """

    def __init__(self, message: str, where: Point | None = None) -> None:
        super().__init__(message)
        self.where = where


def verify_glyph(glyph: Glyph, width: float, height: float) -> None:
    """Checks the block of a glyph; raises :class:`NotSewableError` at the first fault."""
    verify_block(glyph.pieces, glyph.sections, glyph.joins, width, height)


def verify_block(
    pieces: Sequence[Piece], sections: Sequence[Section], joins: Sequence[Join], width: float, height: float
) -> None:
    """Sews the pieces (mm) in the given orders and compares with the block's rectangle.

    Raises :class:`NotSewableError` naming the first piece, section or join that does not work.
    """
    rings = {piece.id: _checked_piece(piece, width, height) for piece in pieces}
    if len(rings) != len(pieces):
        raise NotSewableError("two pieces have the same id")
    total = sum(_area(ring) for ring in rings.values())
    if abs(total - width * height) > TOLERANCE * (width + height):
        raise NotSewableError(f"the pieces cover {total:.3f} mm² of a block of {width * height:.3f} mm²")

    assemblies: dict[str, Ring] = {}
    unused = dict(rings)
    for section in sections:
        if section.id in assemblies or not section.pieces:
            raise NotSewableError(f"section {section.id} is empty or there twice")
        sewn: Ring | None = None
        for piece_id in section.pieces:
            ring = unused.pop(piece_id, None)
            if ring is None:
                raise NotSewableError(f"piece {piece_id} is unknown or used twice")
            sewn = ring if sewn is None else _sew(sewn, ring, f"piece {piece_id}")
        assert sewn is not None
        assemblies[section.id] = sewn
    if unused:
        raise NotSewableError(f"piece {min(unused)} is in no section")

    for join in joins:
        parts = [assemblies.pop(part, None) for part in join.parts]
        if parts[0] is None or parts[1] is None or join.makes in assemblies:
            raise NotSewableError(f"join {join.step} takes a part that is not there")
        assemblies[join.makes] = _sew(parts[0], parts[1], f"join {join.step}")
    if len(assemblies) != 1:
        raise NotSewableError(f"{len(assemblies)} parts are left instead of one block")
    block = _without_flat_corners(next(iter(assemblies.values())))
    corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    if len(block) != 4 or any(min(math.dist(c, p) for p in block) > TOLERANCE for c in corners):
        raise NotSewableError("what is sewn in the end is not the block's rectangle")


def _checked_piece(piece: Piece, width: float, height: float) -> Ring:
    ring = piece.polygon
    name = f"piece {piece.id}"
    if len(ring) < 3:
        raise NotSewableError(f"{name} has fewer than three corners")
    if not all(math.isfinite(v) for point in ring for v in point):
        raise NotSewableError(f"{name} has a corner that is not a number")
    if any(ring[k - 1] == ring[k] for k in range(len(ring))):
        raise NotSewableError(f"{name} repeats a corner")
    if any(
        not (-TOLERANCE <= x <= width + TOLERANCE and -TOLERANCE <= y <= height + TOLERANCE) for x, y in ring
    ):
        raise NotSewableError(f"{name} sticks out of the block")
    if _area(ring) < 0:
        ring = ring[::-1]
    if not _is_convex(ring):
        raise NotSewableError(f"{name} is not convex")
    return ring


def _sew(sewn: Ring, added: Ring, name: str) -> Ring:
    """The union of two rings of one direction that share one whole side.

    Corners at which seams end against the side stay in the rings, so a side may have corners within it.
    """
    seam = max(_common_sides(sewn, added), default=None)
    if seam is None:
        raise NotSewableError(f"{name} is not added along one whole straight seam")
    _, i, m, j, n = seam
    union = (*_run(sewn, i + m, len(sewn) - m), *_run(added, j, len(added) - n)[1:-1])
    if not _is_convex(union):
        raise NotSewableError(f"{name}: what is sewn gets a dent that no straight seam can fill")
    return union


def _common_sides(sewn: Ring, added: Ring) -> Iterator[tuple[float, int, int, int, int]]:
    """Length of each side in common, where it begins and how many steps it takes: in ``sewn``, where it ends
    and how many steps it takes in ``added``."""
    near = [(i, j) for i, p in enumerate(sewn) for j, q in enumerate(added) if math.dist(p, q) <= TOLERANCE]
    for i, j in near:
        for k, end in near:
            m, n = (k - i) % len(sewn), (j - end) % len(added)
            if m and n and _is_straight(sewn, i, m) and _is_straight(added, end, n):
                yield math.dist(sewn[i], sewn[k]), i, m, j, n


def _run(ring: Ring, start: int, steps: int) -> list[Point]:
    """The corners met in so many steps from a corner, the first and the last included."""
    return [ring[(start + k) % len(ring)] for k in range(steps + 1)]


def _is_straight(ring: Ring, start: int, steps: int) -> bool:
    a, *between, b = _run(ring, start, steps)
    return all(abs(_cross(a, p, b)) <= TOLERANCE * math.dist(a, b) for p in between)


def _without_flat_corners(points: Ring) -> Ring:
    kept = list(points)
    k = 0
    while k < len(kept) and len(kept) > 3:
        a, p, b = kept[k - 1], kept[k], kept[(k + 1) % len(kept)]
        if abs(_cross(a, p, b)) <= TOLERANCE * math.dist(a, b):
            del kept[k]
            k = max(0, k - 1)
        else:
            k += 1
    return tuple(kept)


def _is_convex(ring: Ring) -> bool:
    return all(
        _cross(ring[k - 2], ring[k - 1], ring[k]) >= -TOLERANCE * math.dist(ring[k - 2], ring[k])
        for k in range(len(ring))
    )


def _cross(a: Point, p: Point, b: Point) -> float:
    return (p[0] - a[0]) * (b[1] - a[1]) - (p[1] - a[1]) * (b[0] - a[0])


def _area(ring: Ring) -> float:
    return sum(ring[k - 1][0] * ring[k][1] - ring[k][0] * ring[k - 1][1] for k in range(len(ring))) / 2
