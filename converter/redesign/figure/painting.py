"""The figures of the fabrics as they are seen: within the block, none over another, their edges on clean lines."""

import math
from collections.abc import Iterator, Mapping, Sequence

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from converter.drawing.svg import number
from converter.geometry import Line, line_through, meet, without_flat_corners
from converter.measures import Units, place_text
from converter.model import BACKGROUND, Finding, Point, Polygons, Ring
from converter.polygons import rings_of
from converter.redesign.tolerances import TOLERANCES
from converter.sewing.plan import block_ring
from converter.sewing.problem import distinct_lines, edges_of

Figures = Sequence[tuple[str, Polygons]]  # fabric, and what is of it (mm); what comes later lies on top

GRID = (
    2**-13
)  # mm, to which shapes are moved while they are laid over each other; their lines are put back then
_AS_GOOD = 1e-3  # mm: of lines that an edge lies on as well, the longer edge's is taken
_FARTHEST = 0.5  # mm; lines that meet farther from a corner are nearly one, and the corner stays
_FLAT = 1e-6  # mm
_PLACES = 6  # decimals of a mm by which a corner is found again
_TOUCHES_ITSELF = "Ring Self-intersection"  # in the words of GEOS: in a point, which can be sewn


def crossings(figures: Figures, units: Units) -> Iterator[Finding]:
    """Where the edges of a figure cross each other, so that it has no inside."""
    for _, polygons in figures:
        for polygon in _valid_or_not(polygons):
            reason, _, place = shapely.is_valid_reason(polygon).rstrip("]").partition("[")
            if polygon.is_valid or reason == _TOUCHES_ITSELF:
                continue
            x, _, y = place.partition(" ")
            where = (float(x), float(y)) if y else None
            at = f" at {place_text(*where, units)}" if where else ""
            yield Finding(
                "edges-cross", "redesign", f"Edges of the figure cross each other{at}.",
                where=where, hint="Move a corner so that no edge crosses another.",
            )  # fmt: skip


def painted(figures: Figures, width: float, height: float) -> dict[str, Polygons]:
    """What is seen of each fabric but the background in a block of that size (mm).

    Edges within the tolerance of a longer edge's line, or of the block's edge, lie on it; all others stay where they
    are, as a file has them. No figure may have edges that cross, see :func:`crossings`.
    """
    figures = [(fabric, _rounded(polygons)) for fabric, polygons in figures]
    edges = [edge for _, polygons in figures for edge in edges_of(polygons)]
    lines, _ = distinct_lines([*edges, *edges_of(((block_ring(width, height),),))], TOLERANCES.same)
    corners = {_key(p): p for edge in edges for p in edge}
    seen = as_seen(figures, width, height)
    clean = {fabric: _healed(shape, lines, corners) for fabric, shape in seen.items()}
    return {fabric: polygons for fabric, polygons in clean.items() if polygons}


def as_seen(figures: Figures, width: float, height: float) -> dict[str, BaseGeometry]:
    """What is seen of each fabric but the background, on a grid; nothing of those that are covered."""
    seen: dict[str, BaseGeometry] = {}
    for fabric, polygons in figures:
        # What touches itself can leave lines behind, which are of no fabric, in a collection with all its polygons.
        parts = shapely.get_parts(
            shapely.get_parts([shapely.make_valid(part) for part in _valid_or_not(polygons)])
        )
        shape = shapely.union_all([part for part in parts if isinstance(part, Polygon)], grid_size=GRID)
        for other in seen:
            seen[other] = shapely.difference(seen[other], shape, grid_size=GRID)
        before = seen.get(fabric, shapely.MultiPolygon())
        if fabric != BACKGROUND:
            seen[fabric] = shapely.union(before, shape, grid_size=GRID)
    block = shapely.box(0, 0, width, height)
    within = {fabric: shapely.intersection(shape, block, grid_size=GRID) for fabric, shape in seen.items()}
    return {fabric: shape for fabric, shape in within.items() if shape.area > 0}


def on_their_lines(shape: BaseGeometry, rings: Sequence[Ring]) -> Polygons:
    """What rings fill, which was worked out on a grid, with its edges on the rings' own lines again."""
    edges = edges_of((tuple(rings),))
    lines, _ = distinct_lines(edges, GRID)
    return _healed(shape, lines, {_key(p): p for edge in edges for p in edge})


def together(figures: Mapping[str, Polygons]) -> Polygons:
    """What stands out from the background, whatever its fabric."""
    if len(figures) == 1:
        return next(iter(figures.values()))
    lines, _ = distinct_lines(
        edges_of(tuple(p for polygons in figures.values() for p in polygons)), TOLERANCES.same
    )
    shapes = [polygon for polygons in figures.values() for polygon in _valid_or_not(polygons)]
    return _healed(shapely.union_all(shapes, grid_size=GRID), lines, {})


def _rounded(polygons: Polygons) -> Polygons:
    """Corners as files have them, so that a block is the same whether it has been saved in between or not."""
    return tuple(
        tuple(tuple((number(x), number(y)) for x, y in ring) for ring in polygon) for polygon in polygons
    )


def _valid_or_not(polygons: Polygons) -> list[Polygon]:
    return [
        Polygon(rings[0], [ring for ring in rings[1:] if len(ring) > 2])
        for rings in polygons
        if rings and len(rings[0]) > 2
    ]


def _healed(shape: BaseGeometry, lines: Sequence[Line], corners: Mapping[Point, Point]) -> Polygons:
    """The shape with every edge on the line that it was drawn on, in a settled order."""
    polygons = []
    for part in shapely.get_parts(shape):
        if not isinstance(part, Polygon) or part.is_empty:
            continue
        outer, *holes = (
            _on_lines(ring.coords[:-1], lines, corners) for ring in (part.exterior, *part.interiors)
        )
        if outer:
            polygons.append(Polygon(outer, [hole for hole in holes if hole]))
    healed = shapely.normalize(MultiPolygon(polygons))
    assert isinstance(healed, MultiPolygon)
    return rings_of(healed)


def _on_lines(ring: Sequence[Point], lines: Sequence[Line], corners: Mapping[Point, Point]) -> Ring:
    """The ring with its corners where the lines of its edges meet; empty where nothing is left of it."""
    points: list[Point] = []
    for x, y in ring:
        if not points or math.dist(points[-1], (x, y)) > TOLERANCES.same:
            points.append((x, y))
    while len(points) > 1 and math.dist(points[0], points[-1]) <= TOLERANCES.same:
        points.pop()
    if len(points) < 3:
        return ()
    carriers = [_line_of(points[k - 1], points[k], lines) for k in range(len(points))]
    # Edge k ends in corner k. Where the next one goes on along the same line, there is no corner.
    turns = [k for k in range(len(points)) if carriers[k] != carriers[(k + 1) % len(points)]]
    result = []
    for k in turns:
        place = meet(carriers[k], carriers[(k + 1) % len(points)])
        corner = place if place and math.dist(place, points[k]) <= _FARTHEST else points[k]
        result.append(corners.get(_key(corner), corner))
    clean = without_flat_corners(result, _FLAT)
    return clean if len(clean) > 2 else ()


def _line_of(p: Point, q: Point, lines: Sequence[Line]) -> Line:
    """The line that an edge was drawn on, which begins and ends at these corners."""
    best, line = TOLERANCES.same + GRID, line_through(p, q)
    for other in lines:
        off = max(abs(other.side(p)), abs(other.side(q)))
        if off < best - _AS_GOOD:
            best, line = off, other
    return line


def _key(point: Point) -> Point:
    return round(point[0], _PLACES), round(point[1], _PLACES)
