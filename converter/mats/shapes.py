"""What a machine is to cut: each piece of fabric, or each section's foundation, with its allowance and its name."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from shapely import Polygon

from converter.drawing.labels import tag
from converter.drawing.section_plan import section_plans
from converter.drawing.shapes import grown
from converter.geometry import signed_area
from converter.model import Glyph, Pattern, Ring
from converter.words.colours import Colouring
from converter.words.parts import Layout

PAPER = "paper"  # what sections are cut from
TIP_REACH = 1.75  # allowances; sharper tips are cut there, square corners stay whole (1.41)
_SAME = 1e-6  # mm
_FLAT = 1e-6  # of the area


@dataclass(frozen=True, slots=True)
class Shape:
    """One convex outline to cut, mm, y down, wherever it lies; ``name`` is plain ASCII, such as ``K A1``."""

    name: str
    fabric: str  # its id in the pattern, or PAPER
    ring: Ring


def piece_shapes(pattern: Pattern, glyphs: Iterable[Glyph], allowance: float) -> Iterator[Shape]:
    """Every piece as seen from the front, for fabric that lies right side up."""
    del pattern
    for glyph in glyphs:
        for piece in glyph.pieces:
            yield Shape(_name(glyph, piece.id), piece.fabric, _with(piece.polygon, allowance))


def layout_shapes(layout: Layout, colouring: Colouring, allowance: float) -> Iterator[Shape]:
    """Every piece of every block of a layout, in its own fabric; named after its block, such as ``1.2 A1``.

    Strips are not among them: they are cut to measure across the fabric.
    """
    for block in layout.blocks:
        for piece in layout.glyph(block).pieces:
            fabric = colouring.pieces[block.id, piece.id]
            yield Shape(f"{block.id} {piece.id}", fabric, _with(piece.polygon, allowance))


def section_shapes(pattern: Pattern, glyphs: Iterable[Glyph], allowance: float) -> Iterator[Shape]:
    """Every section, mirrored as its template is; with the set's own allowance just as the template is cut."""
    for glyph in glyphs:
        for plan in section_plans(pattern, glyph):
            own = allowance == pattern.block.seam_allowance and is_convex(plan.cut)
            ring = _with(plan.cut, 0.0) if own else _with(plan.outline, allowance)
            yield Shape(_name(glyph, plan.section), PAPER, ring)


def is_convex(ring: Ring) -> bool:
    """Whether a ring has no inward corner; nesting takes convex shapes only."""
    shape = Polygon(ring)
    return bool(shape.convex_hull.area - shape.area < _FLAT * shape.area)


def _with(ring: Ring, allowance: float) -> Ring:
    found = grown(ring, allowance, TIP_REACH) if allowance > _SAME else ring
    return found if signed_area(found) > 0 else found[::-1]


def _name(glyph: Glyph, part: str) -> str:
    """The character and the part; machines write no more than ASCII."""
    own = tag(glyph)
    return f"{own if own.isascii() else glyph.name} {part}"
