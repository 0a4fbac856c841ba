"""A block set in a frame, so that it fits another block or project.

On the foundation, the four strips are further pieces of the block: left, right, top, bottom. Where the block
is one section they are sewn on as its last pieces; a block of several sections is joined first, so each strip
is a section of one piece, joined last.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from converter.errors import InputError
from converter.measures import Units, length_text, size_text
from converter.model import BACKGROUND, Fabric, Glyph, Join, Pattern, Piece, Point, Ring, Section

FRAME = "frame"
NARROWEST = 3.0  # mm; a finished strip below this vanishes between its two seams
_SAME = 1e-3  # mm


@dataclass(frozen=True, slots=True)
class Sides:
    """Finished widths of the strips on four sides, mm."""

    top: float = 0.0
    right: float = 0.0
    bottom: float = 0.0
    left: float = 0.0

    def __post_init__(self) -> None:
        for side in ("top", "right", "bottom", "left"):
            if not 0 <= getattr(self, side) <= 10_000:
                raise InputError(f"a {side} strip of {getattr(self, side):g} mm: give 0 or more, up to 10 m.")

    @classmethod
    def all(cls, width: float) -> "Sides":
        """The same strip on all four sides."""
        return cls(width, width, width, width)


@dataclass(frozen=True, slots=True)
class Frame:
    """What a frame is asked to be; all in mm, finished.

    With a target width, the strips left and right share what is left over: equally, or by the one that is
    given. Without, they are as given. The same for height, top and bottom.
    """

    width: float | None = None
    height: float | None = None
    left: float | None = None
    right: float | None = None
    top: float | None = None
    bottom: float | None = None
    fabric: Fabric | None = None  # of its own; else it is background

    def sides(self, width: float, height: float, units: Units = "in") -> Sides:
        """The strips round a block of that finished size. Raises :class:`InputError` where none fit."""
        left, right = _split(self.width, self.left, self.right, width, "width", units)
        top, bottom = _split(self.height, self.top, self.bottom, height, "height", units)
        for strip in (left, right, top, bottom):
            if _SAME < strip < NARROWEST:
                raise InputError(
                    f"a frame strip of {length_text(strip, units)} is too narrow to sew; "
                    f"use none, or {length_text(NARROWEST, units, 'up')} and more."
                )
        return Sides(top, right, bottom, left)


def frame_pattern(pattern: Pattern, frame: Frame, units: Units = "in") -> Pattern:
    """The whole set with every block in its frame, the strips being pieces of the foundation.

    A set of blocks of different widths becomes one of equal blocks where the frame has a target width.
    """
    glyphs = []
    width = height = 0.0
    fabric = FRAME if frame.fabric else BACKGROUND
    for glyph in pattern.glyphs:
        own = block_width(glyph, pattern)
        sides = frame.sides(own, pattern.block.height, units)
        width = max(width, own + sides.left + sides.right)
        height = pattern.block.height + sides.top + sides.bottom
        glyphs.append(frame_glyph(glyph, own, pattern.block.height, sides, fabric))
    fabrics: Mapping[str, Fabric] = pattern.fabrics
    if frame.fabric:
        fabrics = {**fabrics, FRAME: frame.fabric}
    block = replace(pattern.block, width=width, height=height) if glyphs else pattern.block
    return replace(pattern, block=block, fabrics=fabrics, glyphs=tuple(glyphs))


def frame_glyph(glyph: Glyph, width: float, height: float, sides: Sides, fabric: str = BACKGROUND) -> Glyph:
    """One block of finished width × height mm in its frame; a glyph without pieces only moves."""
    glyph = _moved(glyph, sides.left, sides.top)
    full = width + sides.left + sides.right
    metrics = replace(glyph.metrics, block_width=full)
    strips = _rings(width, height, sides)
    if not glyph.pieces or not strips:
        return replace(glyph, metrics=metrics)
    pieces, sections, joins = list(glyph.pieces), list(glyph.sections), list(glyph.joins)
    if len(sections) == 1:
        (section,) = sections
        added = tuple(f"{section.id}{len(section.pieces) + n}" for n in range(1, len(strips) + 1))
        sections = [Section(section.id, section.pieces + added)]
    else:
        made, added = joins[-1].makes, ()
        for _ in strips:
            name = _after(sections[-1].id)
            added += (f"{name}1",)
            sections.append(Section(name, (f"{name}1",)))
            joins.append(Join(len(joins) + 1, (made, name), f"{made}+{name}"))
            made = joins[-1].makes
    pieces += [Piece(piece_id, fabric, ring) for piece_id, ring in zip(added, strips, strict=True)]
    narrowest = min(min(_extent(ring)) for ring in strips)
    metrics = replace(
        metrics,
        pieces=len(pieces),
        sections=len(sections),
        joins=len(joins),
        min_piece_width=min(metrics.min_piece_width or narrowest, narrowest),
        proved_minimal=False,  # the frame is asked for, not needed by the figure
    )
    return replace(glyph, pieces=tuple(pieces), sections=tuple(sections), joins=tuple(joins), metrics=metrics)


def block_width(glyph: Glyph, pattern: Pattern) -> float:
    """Finished width of a glyph's own block, mm; the set's where it has none of its own."""
    return glyph.metrics.block_width or pattern.block.width


def _split(
    target: float | None, first: float | None, last: float | None, block: float, what: str, units: Units
) -> tuple[float, float]:
    if target is None:
        return first or 0.0, last or 0.0
    over = target - block
    if over < -_SAME:
        raise InputError(
            f"a frame of {length_text(target, units)} {what} is smaller than its block "
            f"({length_text(block, units)}); choose a larger frame or smaller blocks."
        )
    over = max(over, 0.0)
    if first is not None and last is not None and abs(first + last - over) > _SAME:
        wanted, asked = length_text(over, units), length_text(first + last, units)
        raise InputError(
            f"the two strips of the {what} make {asked} together, but {wanted} are to be filled."
        )
    given = first if first is not None else last
    if given is None:
        return over / 2, over / 2
    if not -_SAME <= given <= over + _SAME:
        raise InputError(
            f"a frame strip of {length_text(given, units)} does not fit: the {what} has "
            f"{length_text(over, units)} to fill."
        )
    other = max(over - given, 0.0)
    return (given, other) if first is not None else (other, given)


def _rings(width: float, height: float, sides: Sides) -> list[Ring]:
    """The strips left, right, top, bottom, without those of no width."""
    right, bottom = sides.left + width, sides.top + height
    full, deep = right + sides.right, bottom + sides.bottom
    boxes = [
        (0.0, sides.top, sides.left, bottom),
        (right, sides.top, full, bottom),
        (0.0, 0.0, full, sides.top),
        (0.0, bottom, full, deep),
    ]
    return [
        ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        for x0, y0, x1, y1 in boxes
        if x1 - x0 > _SAME and y1 - y0 > _SAME
    ]


def _extent(ring: Ring) -> tuple[float, float]:
    xs, ys = zip(*ring, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _moved(glyph: Glyph, dx: float, dy: float) -> Glyph:
    def moved(ring: Ring) -> Ring:
        return tuple((x + dx, y + dy) for x, y in ring)

    def moved_point(point: Point | None) -> Point | None:
        return None if point is None else (point[0] + dx, point[1] + dy)

    a, b, c, d, e, f = glyph.placement
    return replace(
        glyph,
        placement=(a, b, c, d, e + dx, f + dy),
        figure=tuple(tuple(moved(ring) for ring in polygon) for polygon in glyph.figure),
        pieces=tuple(replace(piece, polygon=moved(piece.polygon)) for piece in glyph.pieces),
        reasons=tuple(replace(reason, where=moved_point(reason.where)) for reason in glyph.reasons),
    )


def _after(name: str) -> str:
    """The next section id: A, B, … Z, AA, AB, …"""
    number = 0
    for letter in name:
        number = number * 26 + ord(letter) - 64
    number += 1
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def frame_text(frame: Frame, width: float, height: float, units: Units) -> str:
    """One line that tells the frame of a block of that size."""
    sides = frame.sides(width, height, units)
    full = size_text(width + sides.left + sides.right, height + sides.top + sides.bottom, units)
    strips = ", ".join(
        f"{name} {length_text(getattr(sides, name), units)}" for name in ("left", "right", "top", "bottom")
    )
    return f"{full} finished: {strips}"
