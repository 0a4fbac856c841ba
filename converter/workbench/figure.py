"""A straight-edged figure under a designer's hand: corners and edges moved, added and dropped. Lengths in mm.

What stands in the same place moves together: corners where two fabrics meet, edges that lie on one line (each line
costs a piece), and, where the letter is symmetric, the images on its other sides.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import shapely

from converter.errors import InputError
from converter.geometry import Line, line_through, meet
from converter.model import BACKGROUND, FIGURE, Glyph, Point, Polygons, Ring
from converter.redesign.rebuild import figure_of
from converter.straighten.outline.symmetry import Symmetry

SAME_PLACE = 0.01  # mm; corners nearer than this are one
SAME_LINE = 0.02  # mm; an edge with both ends this near to a line lies on it
IMAGE_REACH = (
    0.3  # mm; how far a corner may be from where its image belongs: figures are symmetric, or nearly
)
LEAST_TURN = 0.12  # sine; where edges turn by less, their lines meet too far away to be followed
LEAST_EDGE = 0.05  # mm; a shorter one is none

ActKind = Literal["look", "corner", "edge", "add", "drop"]
Place = tuple[
    int, int, int
]  # part, ring and corner; an edge has the number of the corner that it starts from


@dataclass(frozen=True, slots=True)
class Part:
    """One polygon of the figure: its fabric, its outer ring, then its holes."""

    fabric: str
    rings: tuple[Ring, ...]


Figure = tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Act:
    """One thing done to a figure; ``to`` is where a corner goes, where on an edge one is added, or by how much an
    edge is moved. ``both``: on all sides of a symmetric letter."""

    kind: ActKind = "look"
    at: Place = (0, 0, 0)
    to: Point = (0.0, 0.0)
    both: bool = True


def figure_of_glyph(glyph: Glyph) -> Figure:
    """The figure of a block by its fabrics: of one as it was straightened, of several from the pieces."""
    fabrics = sorted({piece.fabric for piece in glyph.pieces} - {BACKGROUND})
    if len(fabrics) < 2:
        return parts_of({fabrics[0] if fabrics else FIGURE: glyph.figure})
    faces = [shapely.Polygon(piece.polygon) for piece in glyph.pieces]
    return parts_of(
        {
            fabric: figure_of(faces, [fabric if p.fabric == fabric else BACKGROUND for p in glyph.pieces])
            for fabric in fabrics
        }
    )


def parts_of(figures: Mapping[str, Polygons]) -> Figure:
    """Figures of fabrics as the parts of one."""
    return tuple(Part(fabric, rings) for fabric, polygons in figures.items() for rings in polygons)


def corner(figure: Figure, at: Place) -> Point:
    """The corner in a place. Raises :class:`InputError` where there is none."""
    part, ring, k = at
    try:
        if min(at) < 0:
            raise IndexError
        return figure[part].rings[ring][k]
    except IndexError:
        raise InputError("The figure has no such corner; load the letter again.") from None


def ends(figure: Figure, at: Place) -> tuple[Point, Point]:
    """The corners of the edge that starts in a place."""
    start = corner(figure, at)
    ring = figure[at[0]].rings[at[1]]
    return start, ring[(at[2] + 1) % len(ring)]


def edges(figure: Figure) -> Iterator[tuple[Point, Point]]:
    """All edges."""
    for part in figure:
        for ring in part.rings:
            yield from zip(ring, (*ring[1:], *ring[:1]), strict=True)


def acted(figure: Figure, act: Act, symmetry: Symmetry) -> Figure:
    """The figure after an act. Raises :class:`InputError` where it cannot be done."""
    symmetry = symmetry if act.both else Symmetry()
    done = {"look": _looked, "corner": _corner_moved, "edge": _edge_moved, "add": _added, "drop": _dropped}
    return done[act.kind](figure, act, symmetry)


def images(symmetry: Symmetry) -> list[Callable[[Point], Point]]:
    """The maps that take a symmetric letter onto itself, the first of them leaves all where it is."""
    maps: list[Callable[[Point], Point]] = [lambda p: p]
    for more in symmetry.point_maps():
        maps += [lambda p, one=one, more=more: more(one(p)) for one in list(maps)]  # type: ignore[misc]
    return maps


def _looked(figure: Figure, act: Act, symmetry: Symmetry) -> Figure:
    del act, symmetry
    return figure


def _corner_moved(figure: Figure, act: Act, symmetry: Symmetry) -> Figure:
    start = corner(figure, act.at)
    to = on_axes(start, act.to, symmetry)
    moves = [(image(start), image(to)) for image in images(symmetry)]

    def moved(p: Point) -> Point:
        if math.dist(p, start) <= SAME_PLACE:
            return to
        for old, new in moves[1:]:
            if math.dist(p, old) <= IMAGE_REACH and not _is_nearer(figure, p, old):
                return new
        return p

    return _mapped(figure, moved)


def on_axes(start: Point, to: Point, symmetry: Symmetry) -> Point:
    """Where a corner goes that stays on the axes on which it is."""
    x, y = to
    if symmetry.x is not None and abs(start[0] - symmetry.x) <= SAME_PLACE:
        x = symmetry.x
    if symmetry.y is not None and abs(start[1] - symmetry.y) <= SAME_PLACE:
        y = symmetry.y
    return x, y


def _is_nearer(figure: Figure, p: Point, place: Point) -> bool:
    """Whether another corner than ``p`` is nearer to a place."""
    off = math.dist(p, place) - SAME_PLACE
    return any(math.dist(q, place) < off for q, _ in edges(figure))


def _edge_moved(figure: Figure, act: Act, symmetry: Symmetry) -> Figure:
    start, end = ends(figure, act.at)
    line = line_through(start, end)
    shift = line.nx * act.to[0] + line.ny * act.to[1]
    moves: list[tuple[Line, Point]] = []
    for image in images(symmetry):
        there = line_through(image(start), image(end))
        dx, dy = (
            a - b for a, b in zip(image((line.nx * shift, line.ny * shift)), image((0.0, 0.0)), strict=True)
        )
        if not any(_is_on(there, *_two_points(old)) for old, _ in moves):
            moves.append((there, (dx, dy)))
    return tuple(
        replace(part, rings=tuple(_lines_moved(ring, moves) for ring in part.rings)) for part in figure
    )


def _two_points(line: Line) -> tuple[Point, Point]:
    foot = (line.nx * line.d, line.ny * line.d)
    return foot, (foot[0] - 100 * line.ny, foot[1] + 100 * line.nx)


def _is_on(line: Line, start: Point, end: Point) -> bool:
    return abs(line.side(start)) <= SAME_LINE and abs(line.side(end)) <= SAME_LINE


def _lines_moved(ring: Ring, moves: Sequence[tuple[Line, Point]]) -> Ring:
    """A ring whose edges on some lines are moved with them, and keep their slopes, as their neighbours do."""
    followers: list[Point | None] = []
    for start, end in zip(ring, (*ring[1:], *ring[:1]), strict=True):
        followers.append(next((by for line, by in moves if _is_on(line, start, end)), None))
    corners = []
    for k, p in enumerate(ring):
        before, after = followers[k - 1], followers[k]
        if before is None and after is None:
            corners.append(p)
            continue
        lines = [
            _moved_line(ring[k - 1], p, before),
            _moved_line(p, ring[(k + 1) % len(ring)], after),
        ]
        turn = abs(lines[0].nx * lines[1].ny - lines[0].ny * lines[1].nx)
        met = meet(*lines) if turn > LEAST_TURN else None
        by = before or after or (0.0, 0.0)
        corners.append(met or (p[0] + by[0], p[1] + by[1]))
    return tuple(corners)


def _moved_line(start: Point, end: Point, by: Point | None) -> Line:
    dx, dy = by or (0.0, 0.0)
    if math.dist(start, end) < LEAST_EDGE:
        return Line(0.0, 0.0, 0.0)  # meets nothing
    return line_through((start[0] + dx, start[1] + dy), (end[0] + dx, end[1] + dy))


def _added(figure: Figure, act: Act, symmetry: Symmetry) -> Figure:
    start, end = ends(figure, act.at)
    dx, dy = end[0] - start[0], end[1] - start[1]
    along = ((act.to[0] - start[0]) * dx + (act.to[1] - start[1]) * dy) / max(dx * dx + dy * dy, 1e-9)
    along = min(max(along, 0.05), 0.95)
    new = (start[0] + along * dx, start[1] + along * dy)
    wanted = [(image(start), image(end), image(new)) for image in images(symmetry)]
    done = tuple(replace(part, rings=tuple(_with_corners(r, wanted) for r in part.rings)) for part in figure)
    if done == figure:
        raise InputError("A corner cannot be added there.")
    return done


def _with_corners(ring: Ring, wanted: Sequence[tuple[Point, Point, Point]]) -> Ring:
    corners: list[Point] = []
    for p, q in zip(ring, (*ring[1:], *ring[:1]), strict=True):
        corners.append(p)
        here = [
            new
            for a, b, new in wanted
            if min(math.dist(p, a) + math.dist(q, b), math.dist(p, b) + math.dist(q, a)) <= 2 * IMAGE_REACH
        ]
        for new in sorted(here, key=lambda n: math.dist(n, p)):
            if math.dist(new, corners[-1]) > LEAST_EDGE:
                corners.append(new)
    return tuple(corners)


def _dropped(figure: Figure, act: Act, symmetry: Symmetry) -> Figure:
    start = corner(figure, act.at)
    gone = [image(start) for image in images(symmetry)]

    def is_gone(p: Point) -> bool:
        if math.dist(p, start) <= SAME_PLACE:
            return True
        return any(math.dist(p, old) <= IMAGE_REACH and not _is_nearer(figure, p, old) for old in gone[1:])

    parts = []
    for part in figure:
        rings = [tuple(p for p in ring if not is_gone(p)) for ring in part.rings]
        if len(rings[0]) >= 3:  # with fewer corners the outer ring is gone, and what is in it
            parts.append(replace(part, rings=tuple(ring for ring in rings if len(ring) >= 3)))
    if not parts:
        raise InputError("A figure needs three corners.")
    return tuple(parts)


def _mapped(figure: Figure, moved: Callable[[Point], Point]) -> Figure:
    return tuple(
        replace(part, rings=tuple(tuple(map(moved, ring)) for ring in part.rings)) for part in figure
    )
