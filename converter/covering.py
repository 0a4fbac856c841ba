"""What a patch has to cover: its piece with allowance, measured along the seam by which it is sewn on and across it."""

from dataclasses import dataclass, replace
from math import atan2, cos, degrees, pi, sin

from shapely import Polygon

from converter.geometry import (
    Line,
    centroid,
    convex_width,
    corner_degrees,
    line_through,
    split_convex,
    without_flat_corners,
)
from converter.measures import round_down
from converter.model import Block, Glyph, Piece, Point, Ring
from converter.seams import Seam, seams

# Sharp corners of the allowance are cut off at twice the allowance, as the points of a trimmed seam are;
# corners of 60° and more keep their full point.
MITRE_LIMIT = 2.0
LEAST = 3.0  # mm, the least allowance of a seam: common practice, no source
WORTHWHILE = 1.0  # mm; to trim an allowance by less changes nothing
OFF_CENTRE = 3.0  # mm; a patch is larger all round than what it covers, so that less does no harm
_SQUARE = 0.1  # degrees
_LEVEL = 2e-3  # mm; corners in a pattern file are rounded to 1e-4 mm


@dataclass(frozen=True, slots=True)
class Cover:
    """What the patch of one piece covers, in mm from the face's corner along its seam and across it."""

    piece: Piece
    direction: float  # of the seam, radians from 0 to below pi
    low: float  # along
    high: float
    near: float  # across
    far: float

    def point(self, along: float, across: float) -> Point:
        """A place given by its measures along and across, on the finished face."""
        # Sums written out: a matrix product may be rounded differently on another machine.
        c, s = cos(self.direction), sin(self.direction)
        return along * c - across * s, along * s + across * c

    def along(self, point: Point) -> float:
        """How far along a place lies."""
        return point[0] * cos(self.direction) + point[1] * sin(self.direction)

    @property
    def angle(self) -> float:
        """Of the seam, degrees, 0 to below 180."""
        return round(degrees(self.direction), 6) % 180


def piece_with_allowance(polygon: Ring, allowance: float) -> Polygon:
    """The piece grown by the seam allowance (mm) on every side."""
    grown = Polygon(polygon).buffer(allowance, join_style="mitre", mitre_limit=MITRE_LIMIT)
    assert isinstance(grown, Polygon)
    return grown


def covers_of(glyph: Glyph, edge: float, inner: float) -> dict[str, Cover]:
    """What each patch covers, by piece, in sewing order section by section.

    ``edge`` and ``inner``: the allowances round the block and within it, mm. The middle of what is covered lies on the
    seam, so that it can be marked there. The first piece of a section is laid along the seam to the second; a section
    of one piece as it takes least.
    """
    by_id = {piece.id: piece for piece in glyph.pieces}
    sewn_by = {seam.added: seam for seam in seams(glyph) if seam.kind == "inner"}
    block = _block(glyph)
    found = {}
    for section in glyph.sections:
        for place, piece_id in enumerate(section.pieces):
            piece = by_id[piece_id]
            seam = sewn_by.get(section.pieces[max(place, 1)]) if len(section.pieces) > 1 else None
            if seam:
                found[piece_id] = _centred(
                    _cover(piece, _direction(seam.start, seam.end), block, edge, inner), seam
                )
                continue
            ring = piece.polygon
            ways = (_direction(a, b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True))
            tries = [_cover(piece, way, block, edge, inner) for way in ways]
            found[piece_id] = min(
                tries,
                key=lambda c: (round((c.high - c.low) * (c.far - c.near), 3), c.angle % 90, c.low - c.high),
            )
    return found


def trims(glyph: Glyph, inner: float, step: float) -> dict[str, float]:
    """Where the allowance of a seam is trimmed to less, since the piece that it adds is narrower: by that piece, mm.

    An allowance lies under the piece that is added; where it is wider, the next seam is sewn through it. Rounded down
    to ``step``, but never below :data:`LEAST`: less pulls out of the seam.
    """
    found = {}
    for seam in seams(glyph):
        if seam.kind == "inner":
            width = round_down(convex_width(glyph.piece(seam.added).polygon), step)
            bears = max(min(inner, LEAST), width)
            if bears <= inner - WORTHWHILE:
                found[seam.added] = bears
    return found


def strips(glyph: Glyph, edge: float, inner: float) -> dict[str, tuple[float, float]]:
    """Sections of one piece that is a rectangle, in a block of several: the size to cut, the longer side first, in mm.

    They need no foundation. By section.
    """
    alone = [section for section in glyph.sections if len(section.pieces) == 1] if glyph.joins else []
    found, covers = {}, covers_of(glyph, edge, inner) if alone else {}
    for section in alone:
        cover = covers[section.pieces[0]]
        corners = without_flat_corners(cover.piece.polygon, _LEVEL)
        if len(corners) == 4 and all(abs(angle - 90) < _SQUARE for angle in corner_degrees(corners)):
            sides = cover.high - cover.low, cover.far - cover.near
            found[section.id] = max(sides), min(sides)
    return found


@dataclass(frozen=True, slots=True)
class CentreMark:
    """Where on its seam the middle of a patch lies, where it may not be the middle of the seam."""

    piece: str
    place: Point  # mm on the finished face
    inwards: Point  # of length 1, square to the seam, towards the piece

    def arrow(self, size: float) -> Ring:
        """A triangle as high as wide, mm, in the piece, with its tip on the seam."""
        (x, y), (nx, ny), half = self.place, self.inwards, size / 2
        base = x + nx * size, y + ny * size
        return (x, y), (base[0] - ny * half, base[1] + nx * half), (base[0] + ny * half, base[1] - nx * half)


def centre_marks(glyph: Glyph, block: Block) -> tuple[CentreMark, ...]:
    """The marks of a glyph, in the order in which its pieces are sewn on."""
    found = covers_of(glyph, block.seam_allowance, block.inner_allowance)
    marks = []
    for seam in seams(glyph):
        if seam.kind == "inner":
            cover = found[seam.added]
            c, s = cos(cover.direction), sin(cover.direction)
            x, y = (seam.start[0] + seam.end[0]) / 2, (seam.start[1] + seam.end[1]) / 2
            off = (cover.low + cover.high) / 2 - cover.along((x, y))
            if abs(off) > OFF_CENTRE:
                middle = centroid(cover.piece.polygon)
                side = 1 if (middle[1] - y) * c - (middle[0] - x) * s > 0 else -1
                marks.append(CentreMark(seam.added, (x + off * c, y + off * s), (-s * side, c * side)))
    return tuple(marks)


def _cover(piece: Piece, direction: float, block: Ring, edge: float, inner: float) -> Cover:
    c, s = cos(direction), sin(direction)
    corners = _grown(piece.polygon, block, edge, inner)
    along = [x * c + y * s for x, y in corners]
    across = [y * c - x * s for x, y in corners]
    return Cover(piece, direction, min(along), max(along), min(across), max(across))


def _centred(cover: Cover, seam: Seam) -> Cover:
    """Longer, where its middle would lie beyond an end of its seam."""
    ends = sorted(cover.along(end) for end in (seam.start, seam.end))
    middle = min(max((cover.low + cover.high) / 2, ends[0]), ends[1])
    half = max(cover.high - middle, middle - cover.low)
    return replace(cover, low=middle - half, high=middle + half)


def _grown(ring: Ring, block: Ring, edge: float, inner: float) -> Ring:
    """The piece with the allowance of each of its sides: round the block, or within it."""
    shape = piece_with_allowance(ring, max(edge, inner))
    grown: Ring = tuple((x, y) for x, y in shape.exterior.coords[:-1])
    middle = centroid(ring)
    for start, end in zip(ring, ring[1:] + ring[:1], strict=True):
        nx, ny, d = line_through(start, end)
        out = -1 if nx * middle[0] + ny * middle[1] > d else 1
        at_edge = all((nx * x + ny * y - d) * out < _LEVEL for x, y in block)
        own = edge if at_edge else inner
        grown = split_convex(grown, Line(nx * out, ny * out, d * out + own), 1e-9)[1]
    return grown


def _block(glyph: Glyph) -> Ring:
    xs, ys = zip(*(p for piece in glyph.pieces for p in piece.polygon), strict=True)
    return (min(xs), min(ys)), (max(xs), min(ys)), (max(xs), max(ys)), (min(xs), max(ys))


def _direction(start: Point, end: Point) -> float:
    """Of a line, so that the two ways along it are one direction; a hair's slant is taken as straight."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    if abs(dy) < _LEVEL:
        return 0.0
    return atan2(dy, dx) % pi
