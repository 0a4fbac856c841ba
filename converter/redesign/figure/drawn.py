"""The layer ``shape`` as it was drawn: closed outlines in mm, each of a fabric, straight or with curves."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from fontTools.misc.transform import Transform
from shapely.geometry import MultiPolygon, Polygon

from converter.budgets.drawings import SHAPE_EDGES
from converter.drawing.block import SHAPE_ID
from converter.drawing.svg import xml_id
from converter.fonts.errors import GlyphError
from converter.fonts.plain import plain_text
from converter.fonts.winding import nonzero_union
from converter.measures import Units, place_text
from converter.model import FIGURE, Finding, Point, Polygons, Ring
from converter.polygons import rings_of
from converter.redesign.colours import Colours
from converter.redesign.figure.painting import GRID, on_their_lines
from converter.redesign.seen import Drawn, name_of_element
from converter.redesign.shapes import ShapeError
from converter.redesign.tolerances import TOLERANCES

Stretch = tuple[int, int]  # of a ring: from which corner to which it is a curve; the last may be the first


@dataclass(frozen=True, slots=True)
class Outline:
    """One element of the layer ``shape``, in mm on the block.

    ``curves``: for each ring where it is curved, in chords. ``is_line``: it has no fill, so that what lies within
    another outline of its fabric is a hole in it.
    """

    fabric: str
    rings: tuple[Ring, ...]
    curves: tuple[tuple[Stretch, ...], ...]
    even_odd: bool
    is_line: bool

    @property
    def edges(self) -> int:
        """How many edges it has, each curve counted as one."""
        chords = sum(last - first - 1 for curves in self.curves for first, last in curves)
        return sum(map(len, self.rings)) - chords

    @property
    def is_straight(self) -> bool:
        """Whether it has no curve."""
        return not any(self.curves)

    def polygons(self) -> Polygons:
        """What the outline fills. Raises :class:`ShapeError` where it crosses itself too often."""
        if len(self.rings) == 1 and Polygon(self.rings[0]).is_valid:
            return (self.rings,)
        try:
            filled = nonzero_union(self.rings, GRID, self.even_odd)
        except GlyphError:
            raise ShapeError("the edges of a shape cross each other too often") from None
        if self.is_straight and self.edges <= SHAPE_EDGES.most:
            return on_their_lines(MultiPolygon([(outer, holes) for outer, *holes in filled]), self.rings)
        return filled


def read_outlines(
    drawn: Sequence[Drawn], to_block: Transform, colours: Colours, units: Units
) -> tuple[tuple[Outline, ...], tuple[Finding, ...]]:
    """The outlines in the order in which they are painted, and what is wrong with any of them."""
    outlines: list[Outline] = []
    faults: list[Finding] = []
    for item in drawn:
        if item.layer != "shape":
            continue
        rings: list[Ring] = []
        curves: list[tuple[Stretch, ...]] = []
        for run in item.runs:
            points = [to_block.transformPoint(p) for p in run.points]
            stretches = tuple(run.curves)
            is_closed = run.closed or math.dist(points[0], points[-1]) <= TOLERANCES.snap
            if len(points) < 3 or (item.stroke and not is_closed):
                faults.append(_open(item, points, units))
                continue
            if len(points) > 3 and math.dist(points[0], points[-1]) <= (
                TOLERANCES.same if run.closed else TOLERANCES.snap
            ):
                points.pop()  # the first one again
            rings.append(tuple(points))
            curves.append(stretches)
        if not rings:
            continue
        if item.odd or item.clip is not None:
            faults.append(_not_read(item, rings[0][0], units))
        fabric = _fabric(item, colours)
        if fabric is None:
            faults.append(_no_fabric(rings[0][0], units))
            continue
        is_line = item.stroke is not None
        outlines.append(Outline(fabric, tuple(rings), tuple(curves), item.even_odd or is_line, is_line))
    return tuple(outlines), tuple(faults)


def figures_of(outlines: Sequence[Outline]) -> list[tuple[str, Polygons]]:
    """What the outlines fill, those on top last, with the outlines inside others as their holes."""
    alone = [o for o in outlines if o.is_line and len(o.rings) == 1]
    shapes = [shapely.buffer(Polygon(o.rings[0]), 0) for o in alone]
    holes: dict[int, list[Polygon]] = {}  # in an outline, by its ``id()``
    inner: set[int] = set()
    pairs = shapely.STRtree(shapes).query(shapes, predicate="contains_properly").T if shapes else ()
    for outer, within in pairs:
        if alone[outer].fabric == alone[within].fabric:
            holes.setdefault(id(alone[outer]), []).append(shapes[within])
            inner.add(id(alone[within]))
    return [
        (outline.fabric, _with_holes(outline.polygons(), holes.get(id(outline), ())))
        for outline in outlines
        if id(outline) not in inner
    ]


def _with_holes(polygons: Polygons, holes: Sequence[Polygon]) -> Polygons:
    if len(polygons) != 1 or not holes:
        return polygons
    parts = [part for part in shapely.get_parts(shapely.union_all(holes)) if isinstance(part, Polygon)]
    return ((*polygons[0], *(rings[0] for rings in rings_of(MultiPolygon(parts)))),)


def _fabric(item: Drawn, colours: Colours) -> str | None:
    """By its fill; else by its stroke, if that has a fabric's colour; else by its id; else the letter's."""
    said = item.node.get("id")
    named = colours.named(lambda name: said.startswith(xml_id(SHAPE_ID + name)))
    if item.fill is not None:
        return colours.fabric(item.fill, named)
    near = colours.near(item.stroke)
    if near is None and named is None:
        colours.note(
            f"{name_of_element(item.node)} in the layer 'shape' has no fabric's colour: taken as the letter"
        )
    return near or named or FIGURE


def _open(item: Drawn, points: Sequence[Point], units: Units) -> Finding:
    x, y = points[-1]
    return Finding(
        "shape-open", "redesign",
        f"{plain_text(item.node.get('id'), 40) or 'An outline'} in the layer 'shape' is not closed at "
        f"{place_text(x, y, units)}.",
        where=(x, y), hint="Close the path, or remove it.",
    )  # fmt: skip


def _not_read(item: Drawn, place: Point, units: Units) -> Finding:
    return Finding(
        "shape-unclear", "redesign",
        f"What is seen of {plain_text(item.node.get('id'), 40) or 'the outline'} in the layer 'shape' at "
        f"{place_text(*place, units)} cannot be told: it has a mask, a filter, a blend or a clip.",
        where=place, hint="Draw it plainly.",
    )  # fmt: skip


def _no_fabric(place: Point, units: Units) -> Finding:
    return Finding(
        "fabric-missing", "redesign",
        f"The outline in the layer 'shape' at {place_text(*place, units)} has a colour that belongs to no fabric.",
        where=place, hint="Give it the colour of one of the set's fabrics.",
    )  # fmt: skip
