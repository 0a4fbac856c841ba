"""Shapes laid on mats of one size, each fabric on mats of its own."""

from collections.abc import Sequence
from dataclasses import dataclass

from converter.budgets import words as budgets
from converter.drawing.labels import Sizes, inside
from converter.errors import InputError
from converter.mats.shapes import Shape
from converter.mats.strokes import Strokes, name_strokes
from converter.measures import Units, size_text
from converter.model import Ring
from converter.printing.nesting import fits, nest
from converter.printing.placing import TURNS, Turn, turned_ring
from converter.units import MM_PER_INCH

MAT_MARGIN, MAT_GAP = (
    MM_PER_INCH / 4,
    MM_PER_INCH / 8,
)  # common practice, no source
_NAME = Sizes(6.0, 1.6)  # mm em; smaller, a score line cannot be read
_CLEAR = 1.0  # mm from a name to the cut
_MOST_NAMED = 6
_WORK = 300  # as nesting counts it: pieces are many, and mats are filled less tightly than paper is worth


@dataclass(frozen=True, slots=True)
class Laid:
    """One shape in its place, and the lines that write its name in it: none where there is no room."""

    shape: Shape
    ring: Ring
    name: Strokes


@dataclass(frozen=True, slots=True)
class Mat:
    """One mat of ``width`` × ``height`` mm with what is cut on it, y down from its top left corner."""

    fabric: str
    number: int
    width: float
    height: float
    laid: tuple[Laid, ...]


def lay_on_mats(
    shapes: Sequence[Shape],
    size: tuple[float, float],
    margin: float,
    gap: float,
    turns: Sequence[Turn] = TURNS,
    units: Units = "in",
) -> tuple[Mat, ...]:
    """All shapes on as few mats as the nesting finds, fabric by fabric in the order in which they are met.

    ``margin``: mm round the mat that stay empty. ``gap``: mm between two cuts. ``turns``: in which positions a
    shape may lie. Raises :class:`InputError` where a shape is larger than the mat, naming it.
    """
    width, height = size
    if not (0 < width <= budgets.MAT.most and 0 < height <= budgets.MAT.most):
        raise InputError(f"a mat of {width:g} × {height:g} mm: give sides of up to {budgets.MAT.most} mm.")
    inner = width - 2 * margin, height - 2 * margin
    if margin < 0 or gap < 0 or min(inner) <= 0:
        raise InputError("the margin leaves no room on the mat; give a smaller margin or a larger mat.")
    if len(shapes) > budgets.ON_MATS.most:
        raise InputError(f"{len(shapes)} shapes are too many at once; choose characters, or fewer copies.")
    _check(shapes, inner, turns, units)
    mats: list[Mat] = []
    for fabric in dict.fromkeys(shape.fabric for shape in shapes):
        own = [shape for shape in shapes if shape.fabric == fabric]
        placed = nest([shape.ring for shape in own], *inner, gap, turns=turns, work=_WORK)
        for number in range(1 + max(p.sheet for p in placed)):
            laid = tuple(
                _laid(own[p.item], p.turn, margin + p.x, margin + p.y) for p in placed if p.sheet == number
            )
            mats.append(Mat(fabric, number + 1, width, height, laid))
    return tuple(mats)


def _laid(shape: Shape, turn: Turn, x: float, y: float) -> Laid:
    ring = tuple((x + px, y + py) for px, py in turned_ring(shape.ring, turn))
    for text in (shape.name, shape.name.split()[-1]):
        label = inside(text, ring, _NAME, clear=_CLEAR)
        if label:
            return Laid(shape, ring, name_strokes(text, label.middle, label.size))
    return Laid(shape, ring, ())


def _check(shapes: Sequence[Shape], inner: tuple[float, float], turns: Sequence[Turn], units: Units) -> None:
    def too_large(shape: Shape) -> bool:
        if 90 in turns:
            return not fits(shape.ring, *inner)
        own = _extent(shape.ring)
        return own[0] > inner[0] or own[1] > inner[1]

    large = {shape.name: _extent(shape.ring) for shape in shapes if too_large(shape)}
    if large:
        shown = ", ".join(
            f"{name} ({size_text(*large[name], units, 'up')})" for name in list(large)[:_MOST_NAMED]
        )
        more = " …" if len(large) > _MOST_NAMED else ""
        raise InputError(f"larger than the mat inside its margin: {shown}{more}; give a larger --mat.")


def _extent(ring: Ring) -> tuple[float, float]:
    corners = turned_ring(ring, 0)
    return max(x for x, _ in corners), max(y for _, y in corners)
