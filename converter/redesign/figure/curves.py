"""Curves in a drawn shape straightened as a glyph's outline is, in the set's hand; its straight edges stay."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot

from converter.geometry import line_through
from converter.model import Point, Polygons, Ring
from converter.placement import Placed
from converter.polygons import polygons_of
from converter.redesign.figure.drawn import Outline
from converter.redesign.ground import Ground
from converter.redesign.tolerances import TOLERANCES
from converter.straighten.cost.figures import drawing_of, edge_ends, figure_of, holes_of
from converter.straighten.finish.alternatives import alternatives
from converter.straighten.outline.lines import symmetry_maps
from converter.straighten.outline.symmetry import Symmetry
from converter.wish import wish_of

MOST_SEARCHED = 6  # outlines of a block, each a second or two; the curves of more become chords
CHORDS = 0.02  # of size: so far may the chords be from a curve that no figure was found for
_TURNED = 0.17  # sine of the angle by which the edge that stands for a straight one may be turned
_OFF = 0.08  # of size: and how far off it may be
_EXACT = 1e-6  # mm
_AS_DRAWN = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

Edge = tuple[Point, Point]


def straightened(outlines: Sequence[Outline], ground: Ground) -> tuple[tuple[Outline, ...], tuple[str, ...]]:
    """The outlines without curves, and what is to be said of that."""
    done: list[Outline] = []
    searched = 0
    for outline in outlines:
        if outline.is_straight:
            done.append(outline)
            continue
        searched += 1
        figure = _searched(outline, ground) if searched <= MOST_SEARCHED else None
        rings = tuple(ring for polygon in figure for ring in polygon) if figure else ()
        rings = rings or tuple(_chords(outline, ground.size))
        done.append(replace(outline, rings=rings, curves=((),) * len(rings), even_odd=True))
    edges = sum(outline.edges for outline in done)
    said = f"the curves of the shape were straightened: it has {edges} edges"
    return tuple(done), (said,) if searched else ()


def _searched(outline: Outline, ground: Ground) -> Polygons | None:
    """The best figure that keeps every straight edge of the outline; None where none does."""
    shape = polygons_of(outline.polygons())
    if not shape.is_valid or shape.is_empty:
        return None
    placed = Placed(shape, _AS_DRAWN, ground.width, ground.height, ground.size, ground.height, 1.0)
    found, _ = alternatives(placed, ground.hand, wish_of(ground.settings))
    straight = list(_straight_edges(outline))
    figures = (_with_edges(verdict.figure, straight, ground.size) for verdict in found)
    return next((figure for figure in figures if figure is not None), None)


def _straight_edges(outline: Outline) -> Iterator[Edge]:
    for ring, curves in zip(outline.rings, outline.curves, strict=True):
        curved = {k % len(ring) for first, last in curves for k in range(first, last)}
        for k, p in enumerate(ring):
            q = ring[(k + 1) % len(ring)]
            if k not in curved and LineString([p, q]).length > TOLERANCES.unmoved:
                yield p, q


def _with_edges(figure: Polygons, straight: Sequence[Edge], size: float) -> Polygons | None:
    """The figure with the edges that stand for straight ones exactly on their lines; None where one has none."""
    drawing = drawing_of(figure, symmetry_maps(Symmetry()))
    if drawing is None:
        return None
    lines = drawing.lines.copy()
    ends = edge_ends(drawing)
    taken: dict[int, Edge] = {}
    for p, q in sorted(straight, key=lambda edge: -LineString(edge).length):
        line, middle = line_through(p, q), Spot((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
        near = [
            (LineString(there[n : n + 2]).distance(middle), k)
            for k, there in enumerate(ends)
            if abs(line.nx * drawing.lines[k, 1] - line.ny * drawing.lines[k, 0]) <= _TURNED
            for n in range(0, len(there), 2)
        ]
        off, k = min(near, default=(size, -1))
        if off > _OFF * size:
            return None
        if k in taken:
            if max(abs(line.side(end)) for end in taken[k]) > TOLERANCES.same:
                return None
            continue
        taken[k] = (p, q)
        lines[k] = line
    moved = figure_of(drawing._replace(lines=lines), holes_of(figure))
    return moved if moved is not None and _keeps(moved, straight) else None


def _keeps(figure: Polygons, straight: Sequence[Edge]) -> bool:
    """Whether the figure has every straight edge, and every corner between two of them."""
    shape = polygons_of(figure)
    starts = {p for p, _ in straight}
    places = [((p[0] + q[0]) / 2, (p[1] + q[1]) / 2) for p, q in straight]
    places += [q for _, q in straight if q in starts]
    return bool(shape.is_valid) and all(shape.boundary.distance(Spot(place)) <= _EXACT for place in places)


def _chords(outline: Outline, size: float) -> Iterator[Ring]:
    for ring, curves in zip(outline.rings, outline.curves, strict=True):
        points: list[Point] = []
        at = 0
        for first, last in sorted(curves):
            points += ring[at:first]
            points += _chords_of([ring[k % len(ring)] for k in range(first, last + 1)], size)[:-1]
            at = last
        points += ring[at:]
        yield tuple(points) if len(points) > 2 and Polygon(points).area > 0 else ring


def _chords_of(curve: Sequence[Point], size: float) -> list[Point]:
    return [(float(x), float(y)) for x, y in shapely.simplify(LineString(curve), CHORDS * size).coords]
