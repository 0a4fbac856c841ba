"""A figure in its block as a problem on bit sets.

The lines that carry the figure's edges cut these edges into spans. A part of the block (always convex, made
by cuts along some of the lines) is known by the set of spans inside it, kept as the bits of an integer:
no spans, one fabric. A cut along a line sends each span to one side, and the spans on the line itself are
done with. Whole parts of the block that differ only in shape become one state of the search.

The spans of a line have neighbouring bits, with a bit above them that no span has. Adding ones at all spans of all
lines carries into that free bit where, and only where, a line has a span in the part: so one addition counts lines.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from converter.geometry import Line, line_through
from converter.model import Point, Ring

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

ON_LINE = 1e-3  # mm: what is nearer to a line than this lies on it; a tenth of what a fine pen draws

Figure = tuple[tuple[Ring, ...], ...]  # polygons, each an outer ring and its holes


@dataclass(frozen=True, slots=True)
class CutLine:
    """One line that a cut may follow, with its bit sets of spans (see the module)."""

    line: Line
    on: int  # spans that lie on it; 0 for a line that carries no edge
    plus: int  # spans strictly on its positive side
    minus: int
    crossings: tuple[
        tuple[int, int], ...
    ]  # per point where spans leave it: those on the plus, the minus side


@dataclass(frozen=True, slots=True)
class CutProblem:
    """The lines and the spans of one figure; ``all_spans`` is the whole block, ``free`` the bit above each line's."""

    lines: tuple[CutLine, ...]
    all_spans: int
    free: int

    def lines_in(self, part: int) -> int:
        """How many lines have a span in the part."""
        return ((part + self.all_spans) & self.free).bit_count()


def edges_of(figure: Figure) -> list[tuple[Point, Point]]:
    """Every edge of the figure, ring by ring."""
    return [
        (ring[k - 1], ring[k])
        for polygon in figure
        for ring in polygon
        for k in range(len(ring))
        if ring[k - 1] != ring[k]
    ]


def distinct_lines(
    edges: Iterable[tuple[Point, Point]], on_line: float = ON_LINE
) -> tuple[list[Line], list[int]]:
    """The lines that carry the edges, and for each edge the index of its line.

    Edges whose ends lie within ``on_line`` of a longer edge's line share that line.
    """
    edges = list(edges)
    if not edges:
        return [], []
    ends = np.array(edges)  # shape (edges, 2, 2)
    carriers = [line_through(p, q) for p, q in edges]
    nx, ny, d = np.array(carriers).T
    near = (np.abs(ends[:, :, :1] * nx + ends[:, :, 1:] * ny - d) <= on_line).all(axis=1).tolist()
    lines: list[Line] = []
    longest: list[int] = []  # the edge that gave each line
    owner = [0] * len(edges)
    for k in sorted(range(len(edges)), key=lambda k: (-_length2(edges[k]), k)):
        on = near[k]
        index = next((n for n, edge in enumerate(longest) if on[edge]), len(lines))
        if index == len(lines):
            lines.append(carriers[k])
            longest.append(k)
        owner[k] = index
    return lines, owner


def cut_problem(
    figure: Figure, extra_lines: Sequence[Line] = (), block: tuple[float, float] | None = None
) -> CutProblem:
    """The search problem of a figure; ``extra_lines`` may be cut along too, though they carry no edge.

    ``block``: width and height (mm) of a block whose edge the figure may reach or cross: what lies on or outside
    it needs no cut.
    """
    edges = edges_of(figure)
    if block is not None:
        edges = [inner for edge in edges if (inner := _inside(edge, block))]
    lines, owner = distinct_lines(edges)
    lines += extra_lines
    starts, ends, owners = [], [], []
    for (p, q), own, stops in zip(edges, owner, _crossed(edges, owner, lines), strict=True):
        for a, b in _spans(p, q, stops):
            starts.append(a)
            ends.append(b)
            owners.append(own)
    if not owners:
        return CutProblem(tuple(CutLine(line, 0, 0, 0, ()) for line in lines), 0, 0)
    by_line = np.argsort(owners, kind="stable")
    cut_lines = _cut_lines(
        lines, np.array(starts)[by_line], np.array(ends)[by_line], np.array(owners)[by_line]
    )
    all_spans = sum(line.on for line in cut_lines)
    return CutProblem(cut_lines, all_spans, ((1 << len(owners) + len(lines)) - 1) & ~all_spans)


def _inside(edge: tuple[Point, Point], block: tuple[float, float]) -> tuple[Point, Point] | None:
    """What of an edge lies inside the block (Liang and Barsky, 1984); None for nothing, or its border only."""
    p, q = edge
    first, last = 0.0, 1.0
    for axis in (0, 1):
        for sign, limit in ((-1.0, 0.0), (1.0, block[axis])):
            s, t = sign * (p[axis] - limit), sign * (q[axis] - limit)  # how far the ends are outside
            if s >= -ON_LINE and t >= -ON_LINE:
                return None
            if s > 0:
                first = max(first, s / (s - t))
            elif t > 0:
                last = min(last, s / (s - t))
    if (last - first) * _length2(edge) ** 0.5 <= ON_LINE:
        return None
    ends = [(p[0] + f * (q[0] - p[0]), p[1] + f * (q[1] - p[1])) for f in (first, last)]
    return p if first == 0.0 else ends[0], q if last == 1.0 else ends[1]


def _cut_lines(lines: Sequence[Line], starts: Floats, ends: Floats, owners: Integers) -> tuple[CutLine, ...]:
    """The bit sets of all lines; ``starts`` and ``ends`` have shape (spans, 2), in the order of their ``owners``."""
    nx, ny, d = np.array(lines).T
    at_start = starts[:, :1] * nx + starts[:, 1:] * ny - d  # shape (spans, lines)
    at_end = ends[:, :1] * nx + ends[:, 1:] * ny - d
    on = owners[:, None] == np.arange(len(lines))
    plus = (at_start + at_end > 0) & ~on
    minus = ~plus & ~on
    bit = np.arange(len(owners)) + owners  # one is left free above each line's spans
    crossings: list[dict[tuple[int, int], list[int]]] = [{} for _ in lines]
    for points, sides in ((starts, at_start), (ends, at_end)):
        places = list(map(tuple, np.rint(points / (4 * ON_LINE)).astype(int).tolist()))
        touching = (np.abs(sides) <= ON_LINE) & ~on
        found = (*np.nonzero(touching), minus[touching])
        for span, index, below in zip(*(column.tolist() for column in found), strict=True):
            both = crossings[index].setdefault(places[span], [0, 0])
            both[below] |= 1 << int(bit[span])
    return tuple(
        CutLine(line, here, above, below, tuple((p, m) for p, m in met.values() if p and m))
        for line, here, above, below, met in zip(
            lines, _bits(on, bit), _bits(plus, bit), _bits(minus, bit), crossings, strict=True
        )
    )


def _bits(masks: npt.NDArray[np.bool_], bit: Integers) -> list[int]:
    """Each column of a mask, shape (spans, lines), as an integer; ``bit`` has each span's bit, rising."""
    spread = np.zeros((bit[-1] + 1, masks.shape[1]), dtype=np.bool_)
    spread[bit] = masks
    packed = np.packbits(spread, axis=0, bitorder="little").T
    return [int.from_bytes(row.tobytes(), "little") for row in packed]


def _crossed(
    edges: Sequence[tuple[Point, Point]], owner: Sequence[int], lines: Sequence[Line]
) -> list[list[float]]:
    """For each edge where lines cross it, as shares of its length, in order."""
    stops: list[list[float]] = [[] for _ in edges]
    if not edges:
        return stops
    nx, ny, d = np.array(lines).T
    ends = np.array(edges)  # shape (edges, 2, 2)
    s, t = (ends[:, k, :1] * nx + ends[:, k, 1:] * ny - d for k in (0, 1))  # shape (edges, lines)
    across = ((s > ON_LINE) & (t < -ON_LINE)) | ((s < -ON_LINE) & (t > ON_LINE))
    across[np.arange(len(edges)), owner] = False
    for edge, line in np.argwhere(across):
        stops[edge].append(float(s[edge, line] / (s[edge, line] - t[edge, line])))
    return [sorted(row) for row in stops]


def _spans(p: Point, q: Point, stops: Sequence[float]) -> list[tuple[Point, Point]]:
    """The parts of an edge between its stops; a part too short to sew goes to its neighbour."""
    length = _length2((p, q)) ** 0.5
    kept = [0.0]
    for stop in (*stops, 1.0):
        if (stop - kept[-1]) * length > ON_LINE:
            kept.append(stop)
    if len(kept) == 1:
        kept.append(1.0)
    kept[-1] = 1.0
    at = [(p[0] + f * (q[0] - p[0]), p[1] + f * (q[1] - p[1])) for f in kept]
    return list(pairwise(at))


def _length2(edge: tuple[Point, Point]) -> float:
    (px, py), (qx, qy) = edge
    return (px - qx) ** 2 + (py - qy) ** 2
