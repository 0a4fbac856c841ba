"""A frame round a block, so that it fits another block or project: what is asked for, and its strips."""

from collections.abc import Iterable
from dataclasses import dataclass

from converter.errors import InputError
from converter.measures import Units, length_text, size_text
from converter.model import Fabric, Glyph, Pattern
from converter.words.text import label

FRAME = "frame"
NARROWEST = 3.0  # mm; a finished strip below this vanishes between its two seams
_SAME = 1e-3  # mm
_MOST_NAMED = 12  # characters in one error message


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
                    f"a frame strip of {length_text(strip, units, 'up')} is too narrow to sew; "
                    f"use none, or {length_text(NARROWEST, units, 'up')} and more."
                )
        return Sides(top, right, bottom, left)


def block_width(glyph: Glyph, pattern: Pattern) -> float:
    """Finished width of a glyph's own block, mm; the set's where it has none of its own."""
    return glyph.metrics.block_width or pattern.block.width


def block_sides(
    pattern: Pattern, glyphs: Iterable[Glyph], frame: Frame, units: Units = "in"
) -> dict[str, Sides]:
    """The strips round each of the glyphs, by key. Raises :class:`InputError` naming those that do not fit."""
    found: dict[str, Sides] = {}
    unfit: list[str] = []
    why = ""
    for glyph in glyphs:
        try:
            found[glyph.key] = frame.sides(block_width(glyph, pattern), pattern.block.height, units)
        except InputError as error:
            unfit.append(label(glyph))
            why = why or str(error)
    if unfit:
        shown = ", ".join(unfit[:_MOST_NAMED]) + (" …" if len(unfit) > _MOST_NAMED else "")
        raise InputError(f"no frame for {shown}: {why}")
    return found


@dataclass(frozen=True, slots=True)
class FrameStrip:
    """One strip of a frame, mm from the frame's top left corner."""

    side: str
    x: float
    y: float
    width: float
    height: float


def frame_strips(width: float, height: float, sides: Sides) -> tuple[FrameStrip, ...]:
    """The strips round a block of width × height mm: left, right, top, bottom, without those of no width.

    Those at top and bottom run the whole width.
    """
    full = width + sides.left + sides.right
    strips = (
        FrameStrip("left", 0.0, sides.top, sides.left, height),
        FrameStrip("right", sides.left + width, sides.top, sides.right, height),
        FrameStrip("top", 0.0, 0.0, full, sides.top),
        FrameStrip("bottom", 0.0, sides.top + height, full, sides.bottom),
    )
    return tuple(strip for strip in strips if min(strip.width, strip.height) > _SAME)


def frame_text(frame: Frame, width: float, height: float, units: Units) -> str:
    """One line that tells the frame of a block of that size."""
    sides = frame.sides(width, height, units)
    full = size_text(width + sides.left + sides.right, height + sides.top + sides.bottom, units)
    strips = ", ".join(
        f"{name} {length_text(getattr(sides, name), units)}" for name in ("left", "right", "top", "bottom")
    )
    return f"{full} finished: {strips}"


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
            f"the two strips of the {what} make {asked} together, but there is {wanted} to fill."
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
