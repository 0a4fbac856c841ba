"""Which layer of an edited block counts, its seams or its shape; and the block cut anew where it is the shape."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from converter.budgets.drawings import SHAPE_EDGES
from converter.measures import place_text
from converter.model import BACKGROUND, Finding, Point
from converter.redesign.edited import BlockDrawing
from converter.redesign.figure.curves import straightened
from converter.redesign.figure.cutting import plan_figure, too_intricate
from converter.redesign.figure.drawn import figures_of
from converter.redesign.figure.measures import snapped
from converter.redesign.figure.painting import as_seen
from converter.redesign.ground import Ground
from converter.redesign.rebuild import Mark, Rebuilt
from converter.redesign.tolerances import TOLERANCES
from converter.sewing.plan import Plan

Cloth = Mapping[str, BaseGeometry]  # of each fabric but the background
_FORMER = "cut anew from the layer 'shape'; the lines in 'seams' and the shapes in 'pieces' are still the former ones"


def followed(rebuilt: Rebuilt, ground: Ground) -> Rebuilt:
    """What an edited block comes to: by its seams, as ``rebuilt`` has it, or by its shape.

    The shape counts where it was changed and the seams, with the colours of their pieces, were not; and where there are
    no seams. Where both were changed, and do not come to the same, a fault says so.
    """
    drawing = _bounded(rebuilt.drawing)
    if not drawing.strokes and (drawing.outlines or drawing.shape_faults):
        return _by_shape(drawing, ground)
    if not rebuilt.drawing.outlines:
        return rebuilt
    if rebuilt.plan is None and not ground.drawn_shape:
        return rebuilt  # nothing tells that the shape was changed; what is wrong with the seams comes first
    shape = as_seen(figures_of(drawing.outlines), ground.width, ground.height)
    sewn = _cloth(rebuilt.plan) if rebuilt.plan else None
    former = as_seen(ground.drawn_shape, ground.width, ground.height)
    if ground.drawn_shape:
        if not drawing.shape_faults and _is_same(shape, former):
            return rebuilt
        if _are_same_lines(drawing, ground) and (sewn is None or _fit(sewn, former)):
            return _by_shape(drawing, ground)
    if sewn is not None and not drawing.shape_faults and _fit(sewn, shape):
        return rebuilt
    fault = _do_not_fit(shape, sewn, ground)
    return Rebuilt(drawing, faults=(fault,), marks=(Mark(points=(fault.where,) if fault.where else ()),))


def _bounded(drawing: BlockDrawing) -> BlockDrawing:
    """The drawing; where its shape has more edges than can be worked out, with a fault in place of it."""
    edges = sum(outline.edges for outline in drawing.outlines)
    if edges <= SHAPE_EDGES.most:
        return drawing
    return replace(drawing, outlines=(), shape_faults=(too_intricate(edges),))


def _by_shape(drawing: BlockDrawing, ground: Ground) -> Rebuilt:
    faults = drawing.shape_faults
    if not faults:
        outlines, of_curves = straightened(drawing.outlines, ground)
        faults = _bounded(replace(drawing, outlines=outlines)).shape_faults
    if not faults:
        figures, said = snapped(figures_of(outlines), ground)
        planned = plan_figure(figures, ground)
        if planned.plan is not None:
            notes = (*drawing.notes, *of_curves, *said, *((_FORMER,) if drawing.strokes else ()))
            return Rebuilt(replace(drawing, notes=notes), planned.plan, planned.figure)
        faults = planned.faults
    return Rebuilt(
        drawing, faults=faults, marks=tuple(Mark(points=(f.where,) if f.where else ()) for f in faults)
    )


def _cloth(plan: Plan) -> Cloth:
    fabrics = {piece.fabric for piece in plan.pieces} - {BACKGROUND}
    return {
        fabric: shapely.union_all([shapely.Polygon(p.polygon) for p in plan.pieces if p.fabric == fabric])
        for fabric in fabrics
    }


def _is_same(a: Cloth, b: Cloth) -> bool:
    """Whether no corner of two figures is off, but for what editors round."""
    return a.keys() == b.keys() and all(
        shapely.hausdorff_distance(a[fabric].boundary, b[fabric].boundary) <= TOLERANCES.unmoved
        for fabric in a
    )


def _fit(a: Cloth, b: Cloth) -> bool:
    """Whether two figures differ by no more than two lines may that were meant to be one."""
    return all(part.is_empty for part in _differences(a, b))


def _differences(a: Cloth, b: Cloth) -> Sequence[BaseGeometry]:
    nothing = shapely.Polygon()
    return [
        shapely.buffer(
            shapely.symmetric_difference(a.get(fabric, nothing), b.get(fabric, nothing)),
            -TOLERANCES.doubled / 2,
        )
        for fabric in sorted({*a, *b})
    ]


def _are_same_lines(drawing: BlockDrawing, ground: Ground) -> bool:
    """Whether every seam is where it was drawn, and no other is there."""
    left = list(ground.drawn_seams)
    for stroke in drawing.strokes:
        line = next((line for line in left if _is_near(line, (stroke.start, stroke.end))), None)
        if line is None:
            return False
        left.remove(line)
    return not left


def _is_near(a: tuple[Point, Point], b: tuple[Point, Point]) -> bool:
    return any(
        math.dist(a[0], p) <= TOLERANCES.unmoved and math.dist(a[1], q) <= TOLERANCES.unmoved
        for p, q in (b, b[::-1])
    )


def _do_not_fit(shape: Cloth, sewn: Cloth | None, ground: Ground) -> Finding:
    parts = [part for one in _differences(shape, sewn) for part in shapely.get_parts(one)] if sewn else []
    where = None
    if parts:
        spot = shapely.point_on_surface(max(parts, key=lambda part: part.area))
        where = (spot.x, spot.y)
    at = f", most at {place_text(*where, ground.settings.speaks)}" if where else ""
    said = "were both changed and do not fit" if ground.drawn_shape else "do not fit"
    return Finding(
        "shape-and-seams", "redesign", f"The layer 'shape' and the seams with their pieces {said}{at}.",
        where=where,
        hint="To have the block cut anew from the shape, delete the lines in 'seams'; to keep the seams, delete what "
        "is in 'shape'.",
    )  # fmt: skip
