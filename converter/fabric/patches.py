"""The patch of fabric to cut for each piece: a rectangle that lies along the seam by which it is sewn on."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import atan2, cos, degrees, pi, sin

from shapely import Polygon

from converter.fabric.cutting import Cut, Cutting, grouped, times
from converter.measures import round_up
from converter.model import Glyph, Pattern, Piece, Point, Ring
from converter.seams import seams

# Sharp corners of the allowance are cut off at twice the allowance, as the points of a trimmed seam are;
# corners of 60° and more keep their full point.
MITRE_LIMIT = 2.0
_LEVEL = 2e-3  # mm; corners in a pattern file are rounded to 1e-4 mm


@dataclass(frozen=True, slots=True)
class Patch:
    """The rectangle to cut for one piece, in mm, and where it lies on the finished face of the block."""

    glyph: str  # key
    name: str  # the glyph's
    piece: str
    fabric: str
    along: float  # in the direction of the seam
    across: float
    angle: float  # of the seam, degrees, 0 to below 180
    corners: Ring  # as it lies once sewn and pressed

    def cut(self, fabric: str | None = None) -> Cut:
        """This patch as something to cut, from its own fabric or another."""
        long, short = max(self.along, self.across), min(self.along, self.across)
        return Cut("patch", fabric or self.fabric, long, short, 1, (f"{self.name} {self.piece}",))


def piece_with_allowance(polygon: Ring, allowance: float) -> Polygon:
    """The piece grown by the seam allowance (mm) on every side."""
    grown = Polygon(polygon).buffer(allowance, join_style="mitre", mitre_limit=MITRE_LIMIT)
    assert isinstance(grown, Polygon)
    return grown


def patches(glyph: Glyph, cutting: Cutting) -> tuple[Patch, ...]:
    """One patch for each piece, in sewing order section by section; empty for a glyph without pieces."""
    by_id = {piece.id: piece for piece in glyph.pieces}
    added_by = {seam.added: seam for seam in seams(glyph) if seam.kind == "inner"}
    found = []
    for section in glyph.sections:
        for piece_id in section.pieces:
            piece = by_id[piece_id]
            grown = piece_with_allowance(piece.polygon, cutting.allowance)
            if piece_id in added_by:
                directions = [_direction(added_by[piece_id].start, added_by[piece_id].end)]
            else:  # the first piece is laid down, not sewn on, so it may lie as it fits best
                directions = [_direction(*edge) for edge in _edges(piece.polygon)]
            fits = [_patch(glyph, piece, grown, direction, cutting) for direction in directions]
            found.append(min(fits, key=lambda p: (round(p.along * p.across, 3), p.angle % 90)))
    return tuple(found)


def patch_cuts(
    glyphs: Iterable[Glyph], cutting: Cutting, fabrics: Mapping[tuple[str, str], str] | None = None
) -> tuple[Cut, ...]:
    """All patches of the glyphs, equal ones counted together.

    ``fabrics`` may give another fabric for (glyph key, piece id).
    """
    chosen = fabrics or {}
    return grouped(
        patch.cut(chosen.get((patch.glyph, patch.piece)))
        for glyph in glyphs
        for patch in patches(glyph, cutting)
    )


def set_cuts(pattern: Pattern, cutting: Cutting, copies: int = 1) -> tuple[Cut, ...]:
    """All patches of one of each glyph of the set, times ``copies``."""
    return times(patch_cuts(pattern.glyphs, cutting), copies)


def _patch(glyph: Glyph, piece: Piece, grown: Polygon, direction: float, cutting: Cutting) -> Patch:
    # Sums written out: a matrix product may be rounded differently on another machine.
    c, s = cos(direction), sin(direction)
    lengthwise = [x * c + y * s for x, y in grown.exterior.coords]
    crosswise = [y * c - x * s for x, y in grown.exterior.coords]
    along, across = (
        round_up(max(spread) - min(spread) + 2 * cutting.margin, cutting.step)
        for spread in (lengthwise, crosswise)
    )
    u, v = (max(lengthwise) + min(lengthwise)) / 2, (max(crosswise) + min(crosswise)) / 2
    corners: Ring = tuple(
        (du * c - dv * s, du * s + dv * c)
        for du, dv in (
            (u - along / 2, v - across / 2),
            (u + along / 2, v - across / 2),
            (u + along / 2, v + across / 2),
            (u - along / 2, v + across / 2),
        )
    )
    angle = round(degrees(direction), 6) % 180
    return Patch(glyph.key, glyph.name, piece.id, piece.fabric, along, across, angle, corners)


def _edges(ring: Ring) -> list[tuple[Point, Point]]:
    return list(zip(ring, ring[1:] + ring[:1], strict=True))


def _direction(start: Point, end: Point) -> float:
    """Of a line, so that the two ways along it are one direction; a hair's slant is taken as straight."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    if abs(dy) < _LEVEL:
        return 0.0
    return atan2(dy, dx) % pi
