"""An edited block, from its drawing to a plan that is replayed: pieces, fabrics, sections, order, joins."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import MultiPolygon

from converter.errors import InputError
from converter.geometry import without_flat_corners
from converter.measures import Units, place_text
from converter.model import BACKGROUND, Fabric, Finding, Glyph, Piece, Point, Polygons, Ring
from converter.polygons import rings_of
from converter.redesign.edited import BlockDrawing, read_block
from converter.redesign.fabrics import fabrics_of
from converter.redesign.faces import inner_point
from converter.redesign.network import tile
from converter.redesign.tolerances import TOLERANCES, Tolerances
from converter.sewing.locked import Lock
from converter.sewing.plan import Plan
from converter.sewing.recognise import Locked, recognise
from converter.sewing.search import Prices
from converter.sewing.trees import PIECE
from converter.verify import NotSewableError, verify_block

SAME_CORNER = 0.01  # mm; a piece whose corners all moved by less is the same piece


@dataclass(frozen=True, slots=True)
class Mark:
    """What a fault is about, to be drawn: places, lines and pieces in mm."""

    points: tuple[Point, ...] = ()
    lines: tuple[tuple[Point, Point], ...] = ()
    rings: tuple[Ring, ...] = ()


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """``plan`` and ``figure`` where the block can be sewn; else ``faults`` with their ``marks``."""

    drawing: BlockDrawing
    plan: Plan | None = None
    figure: Polygons = ()
    faults: tuple[Finding, ...] = ()
    marks: tuple[Mark, ...] = ()


def rebuild(
    data: bytes,
    name: str,
    width: float,
    height: float,
    fabrics: Mapping[str, Fabric],
    prices: Prices,
    budget: int,
    tolerances: Tolerances = TOLERANCES,
    units: Units = "mm",
) -> Rebuilt:
    """What an edited block's SVG comes to. ``width`` and ``height`` are the block's, in mm; findings speak ``units``.

    Raises :class:`InputError` where the file is no block's drawing at all.
    """
    drawing = read_block(data, name, width, height, fabrics, tolerances, units)
    if drawing.faults:
        return _faulty(drawing, drawing.faults)
    try:
        tiling = tile(drawing.strokes, width, height, tolerances, units)
        if tiling.faults:
            return _faulty(drawing, tiling.faults)
        names, unclear = fabrics_of(tiling.rings, drawing.votes, tolerances, units)
    except InputError as error:
        raise InputError(f"{name}: {error}") from None
    figure = figure_of(tiling.faces, names)
    try:
        plan = recognise(tiling.rings, names, figure, width, height, prices, budget)
    except NotSewableError as error:
        return _faulty(drawing, (_not_sewable(error),))
    faulty = _faulty(drawing, unclear)
    if isinstance(plan, Locked):
        found = [_locked(lock, tiling.rings, units) for lock in plan.locks]
        return Rebuilt(
            drawing,
            faults=(*(f for f, _ in found), *faulty.faults),
            marks=(*(m for _, m in found), *faulty.marks),
        )
    if unclear:
        return faulty
    try:
        verify_block(plan.pieces, plan.sections, plan.joins, width, height)
    except NotSewableError as error:
        return _faulty(drawing, (_not_sewable(error),))
    return Rebuilt(drawing, plan, figure)


def _not_sewable(error: NotSewableError) -> Finding:
    return Finding("not-sewable", "redesign", f"The plan failed the replay of its sewing: {error}.")


def figure_of(faces: Sequence[shapely.Polygon], fabrics: Sequence[str]) -> Polygons:
    """What stands out from the background, as polygons with holes, corners only where edges turn."""
    union = shapely.union_all([f for f, fabric in zip(faces, fabrics, strict=True) if fabric != BACKGROUND])
    polygons = [p for p in shapely.get_parts(union) if isinstance(p, shapely.Polygon)]
    shape = shapely.normalize(MultiPolygon([_without_flat(polygon) for polygon in polygons]))
    assert isinstance(shape, MultiPolygon)
    return rings_of(shape)


def keep_numbers(plan: Plan, old: Glyph, prices: Prices) -> Plan:
    """The plan with the block's former numbers, sections and order, where its pieces are what they were.

    A maker may have sewn by them. They give way only to a cheaper way of sewing.
    """
    if len(old.pieces) != len(plan.pieces) or not old.pieces:
        return plan
    former: dict[str, Piece] = {}
    for piece in plan.pieces:
        same = [p for p in old.pieces if _same_ring(p.polygon, piece.polygon)]
        if len(same) != 1 or same[0].id in former:
            return plan
        former[same[0].id] = replace(piece, id=same[0].id)
    cost = (
        len(old.pieces) * PIECE + len(old.sections) * prices.section + old.metrics.match_points * prices.match
    )
    if plan.cost < cost:
        return plan
    return replace(
        plan,
        pieces=tuple(replace(former[p.id], polygon=p.polygon) for p in old.pieces),
        sections=old.sections,
        joins=old.joins,
    )


def _same_ring(a: Ring, b: Ring) -> bool:
    return len(a) == len(b) and all(min(math.dist(p, q) for q in b) <= SAME_CORNER for p in a)


def _without_flat(polygon: shapely.Polygon) -> shapely.Polygon:
    rings = [
        without_flat_corners([(x, y) for x, y in ring.coords[:-1]], TOLERANCES.flat)
        for ring in (polygon.exterior, *polygon.interiors)
    ]
    return shapely.Polygon(rings[0], rings[1:])


def _faulty(drawing: BlockDrawing, faults: Sequence[Finding]) -> Rebuilt:
    marks = tuple(Mark(points=(f.where,) if f.where else ()) for f in faults)
    return Rebuilt(drawing, faults=tuple(faults), marks=marks)


def _locked(lock: Lock, rings: Sequence[Ring], units: Units) -> tuple[Finding, Mark]:
    pieces = [rings[k] for k in lock.pieces]
    x = sum(p[0] for p in lock.stops) / len(lock.stops)
    y = sum(p[1] for p in lock.stops) / len(lock.stops)
    places = ", ".join(place_text(px, py, units) for px, py in map(_middle, pieces))
    if len(lock.stops) > 1:
        finding = Finding(
            "pinwheel", "redesign",
            f"{len(pieces)} pieces lock each other round {place_text(x, y, units)}, the pieces at {places}: "
            f"each of {len(lock.seams)} seams stops at the next, and none runs straight through.",
            len(lock.seams), None, (x, y), None,
            "Extend one of these seams through the seam that stops it.",
        )  # fmt: skip
    else:
        finding = Finding(
            "no-through-seam", "redesign",
            f"{len(lock.seams)} seams end in one point {place_text(x, y, units)} and none runs through it; "
            f"it locks the pieces at {places}.",
            len(lock.seams), None, (x, y), None, "Make two of these seams one straight line.",
        )  # fmt: skip
    return finding, Mark(lock.stops, lock.seams, tuple(pieces))


def _middle(ring: Ring) -> Point:
    return inner_point(shapely.Polygon(ring))
