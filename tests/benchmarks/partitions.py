"""What general methods make of a figure and its ground, to stand beside the program's pieces."""

import math
from collections.abc import Sequence

import shapely
from shapely.geometry import MultiPolygon, Polygon, box

from converter.geometry import signed_area
from converter.model import BACKGROUND, FIGURE, Glyph, Point, Ring
from converter.sewing.problem import CutProblem, cut_problem
from converter.sewing.recognise import MOST_PIECES, Locked, recognise
from converter.sewing.search import Prices

FLAT = 1e-9  # mm²: twice the area of a corner's triangle up to which the corner counts as straight


def triangles(area: shapely.Geometry) -> list[Ring]:
    """A constrained Delaunay triangulation, corners in the order of :func:`signed_area` > 0."""
    rings = [
        tuple((x, y) for x, y in triangle.exterior.coords[:-1])
        for triangle in shapely.constrained_delaunay_triangles(area).geoms
    ]
    return [ring if signed_area(ring) > 0 else ring[::-1] for ring in rings]


def convex_pieces(area: shapely.Geometry) -> list[Ring]:
    """A partition into convex pieces by the area's own corners: diagonals of a triangulation are taken away, the
    longest first, wherever what they part is convex together.

    Source of the idea: Hertel and Mehlhorn, "Fast triangulation of simple polygons", FCT 1983, LNCS 158. It has at
    most two diagonals for each reflex corner, so less than four times the pieces of the best partition. Nothing
    makes such a partition sewable: its pieces may lock one another (see :func:`sewable`).
    """
    faces = dict(enumerate(triangles(area)))
    owner = {side: number for number, ring in faces.items() for side in _sides(ring)}
    diagonals = [(p, q) for p, q in owner if p < q and (q, p) in owner]
    for p, q in sorted(diagonals, key=lambda d: (-math.dist(*d), d)):
        one, other = owner[p, q], owner[q, p]
        union = _from(faces[one], q) + _from(faces[other], p)  # q … (p) and p … (q)
        if _convex_at(union, p) and _convex_at(union, q):
            faces[one] = union
            del faces[other]
            owner |= dict.fromkeys(_sides(union), one)
    return list(faces.values())


def _from(ring: Ring, start: Point) -> Ring:
    """The ring from a corner round to its last but one: the corner before ``start`` is left out."""
    k = ring.index(start)
    return (ring[k:] + ring[:k])[:-1]


def _sides(ring: Ring) -> list[tuple[Point, Point]]:
    return [(ring[k - 1], ring[k]) for k in range(len(ring))]


def _convex_at(ring: Ring, corner: Point) -> bool:
    k = ring.index(corner)
    return signed_area((ring[k - 1], corner, ring[(k + 1) % len(ring)])) * 2 >= -FLAT


def figure_and_ground(glyph: Glyph) -> tuple[MultiPolygon, shapely.Geometry]:
    """The straightened figure, and what of the block it leaves."""
    figure = MultiPolygon([Polygon(p[0], p[1:]) for p in glyph.figure])
    width, height = block_size(glyph)
    block = box(0, 0, width, height)
    return figure.intersection(block) if not block.covers(figure) else figure, block.difference(figure)


def block_size(glyph: Glyph) -> tuple[float, float]:
    """Width and height of a planned block, in mm."""
    corners = [corner for piece in glyph.pieces for corner in piece.polygon]
    return max(x for x, _ in corners), max(y for _, y in corners)


def sewable(glyph: Glyph, figure: Sequence[Ring], ground: Sequence[Ring]) -> bool:
    """Whether these pieces of figure and ground can be sewn by straight seams alone."""
    rings = [*figure, *ground]
    fabrics = [FIGURE] * len(figure) + [BACKGROUND] * len(ground)
    if len(rings) > MOST_PIECES:
        return False
    plan = recognise(rings, fabrics, glyph.figure, *block_size(glyph), Prices(1000, 100), budget=1)
    return not isinstance(plan, Locked)


def longest_first(glyph: Glyph) -> int:
    """Pieces of the tree of cuts that follows the line with the longest edge first, without search."""
    problem = cut_problem(glyph.figure)
    return _cut(problem, problem.all_spans)


def _cut(problem: CutProblem, part: int) -> int:
    for line in problem.lines:  # in order of their longest edge
        if part & line.on:
            return _cut(problem, part & line.plus) + _cut(problem, part & line.minus)
    return 1
