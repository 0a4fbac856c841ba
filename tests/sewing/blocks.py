"""What must hold for every planned block, said with shapely and networkx, neither of which the program asks here."""

import networkx
import shapely
from shapely.geometry import LineString, Polygon, box

from converter.model import FIGURE


def assert_tiles(plan, shape, width, height, slack=0.02) -> None:
    """Pieces cover the block once, and those of figure fabric cover the figure. ``slack``: mm² a piece."""
    polygons = [Polygon(piece.polygon) for piece in plan.pieces]
    allowed = slack * len(polygons)
    union = shapely.union_all([p.buffer(0) for p in polygons])
    assert abs(sum(p.area for p in polygons) - width * height) < allowed
    assert union.symmetric_difference(box(0, 0, width, height)).area < allowed
    inked = [p for p, piece in zip(polygons, plan.pieces, strict=True) if piece.fabric == FIGURE]
    assert abs(sum(p.area for p in inked) - shape.area) < allowed
    if inked:
        assert shapely.union_all([p.buffer(0) for p in inked]).symmetric_difference(shape).area < allowed


def seam_hypergraph(polygons: dict[str, Polygon]) -> networkx.Graph:
    """Pieces and seams as a graph of two kinds of nodes: a piece is tied to every seam that it touches.

    A seam is a greatest stretch of sides on one line at which pieces meet. Found from the polygons alone.
    """
    sides = []
    ids = sorted(polygons)
    for k, a in enumerate(ids):
        for b in ids[k + 1 :]:
            shared = polygons[a].buffer(2e-3).intersection(polygons[b].buffer(2e-3))
            ends = _long_axis(shared)
            if ends is not None:
                sides.append((ends, {a, b}))
    lines = networkx.Graph()
    lines.add_nodes_from(range(len(sides)))
    for j, (p, _) in enumerate(sides):
        for k, (q, _) in enumerate(sides[:j]):
            if _on_one_line(p, q) and LineString(p).distance(LineString(q)) < 0.02:
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


def _long_axis(shape):
    if shape.is_empty or shape.area == 0:
        return None
    ring = shapely.minimum_rotated_rectangle(shape)
    if not isinstance(ring, Polygon):
        return None
    corners = list(ring.exterior.coords)[:4]
    (a, b, c, d) = corners
    first, second = shapely.Point(a).distance(shapely.Point(b)), shapely.Point(b).distance(shapely.Point(c))
    if max(first, second) < 0.05:  # they touch in a corner only
        return None

    def middle(p, q):
        return ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)

    return (middle(a, d), middle(b, c)) if first > second else (middle(a, b), middle(c, d))


def _on_one_line(p, q) -> bool:
    (ax, ay), (bx, by) = max((p, q), key=lambda s: LineString(s).length)
    length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    other = q if (ax, ay) == p[0] else p
    return all(abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length < 0.02 for x, y in other)
