"""Where a corner or an edge comes to rest: on what the letters of the set share, and on the font's outline.

Of all within reach, the set's own measures go first, then lines that the figure has already (one line more is one
piece more), then the outline. All lengths are mm.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import shapely
from shapely.geometry.base import BaseGeometry

from converter.geometry import Line, line_through
from converter.model import Point
from converter.straighten.outline.chain import hard_corners
from converter.straighten.outline.symmetry import Symmetry
from converter.workbench.figure import SAME_LINE, Act, Figure, corner, edges, ends, on_axes

MOST_REACH = 3.0  # mm; whoever is farther away meant something else
SAME_SLOPE = 1e-3  # sine
OUTLINE = "the font’s outline"


@dataclass(frozen=True, slots=True)
class Rest:
    """What something came to rest on: what it is, and the line or point to show for it."""

    what: str
    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Magnets:
    """What draws corners and edges in one block. ``outline`` is the font's; the lists are those of a set's hand."""

    width: float
    height: float
    heights: tuple[float, ...]
    stems: tuple[float, ...]
    bars: tuple[float, ...]
    slopes: tuple[float, ...]  # degrees from the level
    outline: BaseGeometry
    marks: tuple[Point, ...]  # the outline's own corners
    symmetry: Symmetry

    @classmethod
    def of(
        cls,
        settings: Mapping[str, object],
        width: float,
        height: float,
        outline: BaseGeometry,
        symmetry: Symmetry,
    ) -> "Magnets":
        """That of a block in a set with these settings."""

        def numbers(name: str) -> tuple[float, ...]:
            values = settings.get(name)
            return tuple(float(v) for v in values) if isinstance(values, list | tuple) else ()

        heights, stems, bars, slopes = map(numbers, ("heights", "stems", "bars", "slopes"))
        return cls(width, height, heights, stems, bars, slopes, outline, _hard_corners(outline), symmetry)


def _hard_corners(outline: BaseGeometry) -> tuple[Point, ...]:
    found: list[Point] = []
    for polygon in shapely.get_parts(outline):
        for ring in (polygon.exterior, *polygon.interiors):
            corners = shapely.get_coordinates(ring)[:-1]
            found += [(float(x), float(y)) for x, y in corners[hard_corners(corners)]]
    return tuple(found)


def rested(figure: Figure, act: Act, magnets: Magnets, reach: float) -> tuple[Act, tuple[Rest, ...]]:
    """The act with its end moved onto what is within ``reach`` (mm) of it, and what that is."""
    reach = min(reach, MOST_REACH)
    if reach <= 0 or act.kind not in ("corner", "edge"):
        return act, ()
    if act.kind == "corner":
        return _corner_rested(figure, act, magnets, reach)
    return _edge_rested(figure, act, magnets, reach)


def _corner_rested(figure: Figure, act: Act, magnets: Magnets, reach: float) -> tuple[Act, tuple[Rest, ...]]:
    start = corner(figure, act.at)
    symmetry = magnets.symmetry if act.both else Symmetry()
    x, y = on_axes(start, act.to, symmetry)
    ring = figure[act.at[0]].rings[act.at[1]]
    beside = (ring[act.at[2] - 1], ring[(act.at[2] + 1) % len(ring)])
    uprights = [(0.0, "the block’s edge"), (magnets.width, "the block’s edge")]
    uprights += [(p[0], "upright") for p in beside]
    uprights += [(magnets.symmetry.x, "the middle")] if magnets.symmetry.x is not None else []
    levels = [(h, "a height of the set") for h in magnets.heights]
    levels += [(0.0, "the block’s edge"), (magnets.height, "the block’s edge")]
    levels += [(p[1], "level") for p in beside]
    rests = []
    if (near := _nearest(levels, y, reach)) is not None:
        y = near[0]
        rests.append(Rest(near[1], (0.0, y), (magnets.width, y)))
    if (near := _nearest(uprights, x, reach)) is not None:
        x = near[0]
        rests.append(Rest(near[1], (x, 0.0), (x, magnets.height)))
    if not rests:
        (x, y), rests = _on_slanted(figure, start, (x, y), beside, magnets, reach)
    if not rests and (spot := _on_outline(magnets, (x, y), reach)) is not None:
        (x, y), rests = spot, [Rest(OUTLINE, spot, spot)]
    return replace(act, to=on_axes(start, (x, y), symmetry)), tuple(rests)


def _on_slanted(
    figure: Figure, start: Point, to: Point, beside: tuple[Point, Point], magnets: Magnets, reach: float
) -> tuple[Point, list[Rest]]:
    """A point on the nearest line through another edge, or through a neighbour at a slope that the set has."""
    lines = [
        (line_through(p, q), "a line that is there")
        for p, q in edges(figure)
        if math.dist(p, q) > 1 and start not in (p, q)
    ]
    for p in beside:
        for slope in magnets.slopes:
            sine, cosine = math.sin(math.radians(slope)), math.cos(math.radians(slope))
            for nx in (sine, -sine):
                lines.append((Line(nx, cosine, nx * p[0] + cosine * p[1]), "a slope of the set"))
    near = min(lines, key=lambda one: abs(one[0].side(to)), default=None)
    if near is None or abs(near[0].side(to)) > reach:
        return to, []
    line, what = near
    spot = (to[0] - line.nx * line.side(to), to[1] - line.ny * line.side(to))
    return spot, [Rest(what, *_across(line, magnets))]


def _on_outline(magnets: Magnets, to: Point, reach: float) -> Point | None:
    """The nearest place of the outline, rather a corner of it."""
    near = min(magnets.marks, key=lambda mark: math.dist(mark, to), default=None)
    if near is not None and math.dist(near, to) <= reach:
        return near
    if magnets.outline.is_empty:
        return None
    line = shapely.shortest_line(magnets.outline.boundary, shapely.Point(to))
    if line.length > reach:
        return None
    x, y = line.coords[0]
    return float(x), float(y)


def _edge_rested(figure: Figure, act: Act, magnets: Magnets, reach: float) -> tuple[Act, tuple[Rest, ...]]:
    start, end = ends(figure, act.at)
    line = line_through(start, end)
    by = line.nx * act.to[0] + line.ny * act.to[1]
    places = list(_places(figure, line, magnets))
    near = _nearest(places, line.d + by, reach)
    if near is None:
        return replace(act, to=(line.nx * by, line.ny * by)), ()
    d, what = near
    rest = Rest(what, *_across(Line(line.nx, line.ny, d), magnets))
    return replace(act, to=(line.nx * (d - line.d), line.ny * (d - line.d))), (rest,)


def _places(figure: Figure, line: Line, magnets: Magnets) -> Iterator[tuple[float, str]]:
    """Where lines of this slope may rest: their distance from the origin, and why there."""
    is_level, is_upright = line.nx == 0.0, line.ny == 0.0
    if is_level:
        yield from ((h, "a height of the set") for h in magnets.heights)
        yield from ((at, "the block’s edge") for at in (0.0, magnets.height))
    if is_upright:
        yield from ((at, "the block’s edge") for at in (0.0, magnets.width))
    widths = magnets.bars if is_level else magnets.stems
    name = "as wide as other strokes"
    for p, q in edges(figure):
        if math.dist(p, q) < 1:
            continue
        other = line_through(p, q)
        if abs(other.nx * line.ny - other.ny * line.nx) > SAME_SLOPE or abs(other.d - line.d) <= SAME_LINE:
            continue
        yield other.d, "a line that is there"
        yield from ((other.d + side * width, name) for width in widths for side in (1, -1))
    if not magnets.outline.is_empty:
        points = shapely.get_coordinates(magnets.outline)
        along = points[:, 0] * line.nx + points[:, 1] * line.ny
        marks = (x * line.nx + y * line.ny for x, y in magnets.marks)
        yield from ((d, OUTLINE) for d in (float(along.min()), float(along.max()), *marks))


def _nearest(places: list[tuple[float, str]], value: float, reach: float) -> tuple[float, str] | None:
    """The place within reach; the kinds that come first in the list go before those nearer."""
    inside = [place for place in places if abs(place[0] - value) <= reach]
    firmly = [place for place in inside if place[1] != OUTLINE]
    return min(firmly or inside, key=lambda place: abs(place[0] - value), default=None)


def _across(line: Line, magnets: Magnets) -> tuple[Point, Point]:
    """The part of a line in the block."""
    foot, long = (line.nx * line.d, line.ny * line.d), magnets.width + magnets.height
    whole = shapely.LineString(
        [
            (foot[0] - long * line.ny, foot[1] + long * line.nx),
            (foot[0] + long * line.ny, foot[1] - long * line.nx),
        ]
    )
    part = shapely.intersection(whole, shapely.box(0, 0, magnets.width, magnets.height))
    if part.is_empty or len(part.coords) < 2:
        return foot, foot
    (ax, ay), (bx, by) = part.coords[0], part.coords[-1]
    return (ax, ay), (bx, by)
