"""What must hold for every planned block, said with shapely and networkx, neither of which the program asks here."""

from itertools import pairwise
from math import dist

import networkx
import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from converter.model import FIGURE

NEAR = 5e-3  # mm
GRID = 1e-6  # mm


def assert_tiles(plan, shape, width, height, slack=0.02) -> None:
    """Pieces cover the block once, and those of figure fabric cover the figure. ``slack``: mm² a piece.

    Overlaps are taken two by two, on a fine grid: at edges that agree but for rounding, GEOS's plain overlays
    can give one of the two polygons instead of nothing.
    """
    polygons = np.array([Polygon(piece.polygon) for piece in plan.pieces])
    inked = np.array([piece.fabric == FIGURE for piece in plan.pieces])
    allowed = slack * len(polygons)
    assert abs(shapely.area(polygons).sum() - width * height) < allowed
    assert (
        shapely.area(shapely.difference(polygons, box(0, 0, width, height), grid_size=GRID)).sum() < allowed
    )
    overlaps = shapely.area(shapely.intersection(polygons[:, None], polygons[None, :], grid_size=GRID))
    assert np.triu(overlaps, 1).sum() < allowed
    assert abs(shapely.area(polygons[inked]).sum() - shape.area) < allowed
    assert shapely.area(shapely.intersection(polygons[~inked], shape, grid_size=GRID)).sum() < allowed


def seam_hypergraph(polygons: dict[str, Polygon]) -> networkx.Graph:
    """Pieces and seams as a graph of two kinds of nodes: a piece is tied to every seam that it touches.

    A seam is a greatest stretch of sides on one line at which pieces meet. Found from the polygons alone.
    """
    sides = []
    ids = sorted(polygons)
    for k, a in enumerate(ids):
        for b in ids[k + 1 :]:
            ends = _shared_side(polygons[a], polygons[b])
            if ends:
                sides.append((ends, {a, b}))
    lines = networkx.Graph()
    lines.add_nodes_from(range(len(sides)))
    for j, (p, _) in enumerate(sides):
        for k, (q, _) in enumerate(sides[:j]):
            if _on_one_line(p, q) and LineString(p).distance(LineString(q)) < NEAR:
                lines.add_edge(j, k)
    graph = networkx.Graph()
    graph.add_nodes_from(ids, kind="piece")
    for n, group in enumerate(networkx.connected_components(lines)):
        for k in group:
            graph.add_edges_from((("seam", n), piece) for piece in sides[k][1])
    return graph


def is_acyclic(graph: networkx.Graph) -> bool:
    """Whether plucking leaf seams, each with all that it ties, leaves one piece.

    A leaf seam is one that is the only seam of some piece. The whole seam goes with that piece (Leake,
    Bernstein, Davis, Agrawala, "A Mathematical Foundation for Foundation Paper Pieceable Quilts", ACM TOG
    40(4), 2021: one foundation will do if and only if the dual hypergraph is acyclic).
    """
    graph = graph.copy()
    while True:
        leaf = next(
            (n for n in sorted(graph, key=str) if not isinstance(n, tuple) and graph.degree(n) == 1), None
        )
        if leaf is None:
            return graph.number_of_nodes() == 1
        (seam,) = graph.neighbors(leaf)
        graph.remove_nodes_from([leaf, seam])


def assert_sections_acyclic(plan) -> None:
    polygons = {piece.id: Polygon(piece.polygon) for piece in plan.pieces}
    for section in plan.sections:
        assert is_acyclic(seam_hypergraph({name: polygons[name] for name in section.pieces})), section


def _shared_side(a: Polygon, b: Polygon):
    """The ends of the side along which two convex pieces meet; None where they meet in a corner or not at all."""
    best = None
    for p, q in pairwise(a.exterior.coords):
        length = dist(p, q)
        ux, uy = (q[0] - p[0]) / length, (q[1] - p[1]) / length
        for r, s in pairwise(b.exterior.coords):
            along = sorted((x - p[0]) * ux + (y - p[1]) * uy for x, y in (r, s))
            low, high = max(0.0, along[0]), min(length, along[1])
            if high - low < 0.02 or (best and high - low <= best[0]):
                continue
            ends = tuple((p[0] + t * ux, p[1] + t * uy) for t in (low, high))
            if max(LineString((r, s)).distance(Point(end)) for end in ends) < NEAR:
                best = (high - low, ends)
    return best and best[1]


def _on_one_line(p, q) -> bool:
    longer, shorter = sorted((p, q), key=lambda side: -dist(*side))
    (ax, ay), (bx, by) = longer
    return all(abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) < NEAR * dist(*longer) for x, y in shorter)
