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
from converter.model import Point, Polygons

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

ON_LINE = 1e-3  # mm: what is nearer to a line than this lies on it; a tenth of what a fine pen draws

Figure = Polygons  # what is to be sewn


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
    carriers = [line_through(p, q) for p, q in edges]
    at_start, at_end = _sides(_ends(edges), carriers)
    near = (np.abs(at_start) <= on_line) & (np.abs(at_end) <= on_line)  # shape (edges, carriers)
    carried: list[list[int]] = [[k] for k in range(len(edges))]
    for edge, carrier in np.argwhere(near).tolist():
        carried[carrier].append(edge)
    lines: list[Line] = []
    owner = [-1] * len(edges)
    for k in sorted(range(len(edges)), key=lambda k: (-_length2(edges[k]), k)):
        if owner[k] < 0:
            for edge in carried[k]:
                if owner[edge] < 0:
                    owner[edge] = len(lines)
            lines.append(carriers[k])
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
    spans: list[tuple[Point, Point]] = []
    owners: list[int] = []
    for (p, q), own, stops in zip(edges, owner, _crossed(edges, owner, lines), strict=True):
        found = _spans(p, q, stops)
        spans += found
        owners += [own] * len(found)
    if not spans:
        return CutProblem(tuple(CutLine(line, 0, 0, 0, ()) for line in lines), 0, 0)
    by_line = np.argsort(owners, kind="stable")
    cut_lines = _cut_lines(lines, _ends(spans)[:, by_line], np.array(owners)[by_line])
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


def _ends(edges: Sequence[tuple[Point, Point]]) -> Floats:
    """Where edges begin and end: their x, y of the beginning, x, y of the end; shape (4, edges)."""
    return np.array([(*p, *q) for p, q in edges]).T


def normals_of(lines: Sequence[Line]) -> Floats:
    """The coefficients nx, ny and d of all lines, shape (3, lines)."""
    # Not the lines themselves: NumPy takes named tuples apart four times as slowly as plain ones.
    return np.array(list(zip(*lines, strict=True)))


def _sides(ends: Floats, lines: Sequence[Line]) -> tuple[Floats, Floats]:
    """How far from lines edges begin, and how far they end; shape (edges, lines) each. ``ends``: of :func:`_ends`."""
    nx, ny, d = normals_of(lines)
    px, py, qx, qy = ends[..., None]
    return px * nx + py * ny - d, qx * nx + qy * ny - d


def _cut_lines(lines: Sequence[Line], ends: Floats, owners: Integers) -> tuple[CutLine, ...]:
    """The bit sets of all lines; ``ends`` of all spans, shape (4, spans), in the order of their ``owners``."""
    at_start, at_end = _sides(ends, lines)  # shape (spans, lines)
    off = owners[:, None] != np.arange(len(lines))
    plus = (at_start + at_end > 0) & off
    minus = ~plus & off
    bit = np.arange(len(owners)) + owners  # one is left free above each line's spans
    flags = [1 << k for k in bit.tolist()]
    crossings: list[dict[tuple[int, int], list[int]]] = [{} for _ in lines]
    places = np.rint(ends / (4 * ON_LINE)).astype(int).tolist()
    for xs, ys, sides in ((*places[:2], at_start), (*places[2:], at_end)):
        touching = (np.abs(sides) <= ON_LINE) & off
        found = (*np.nonzero(touching), minus[touching])
        for span, index, below in zip(*(column.tolist() for column in found), strict=True):
            both = crossings[index].setdefault((xs[span], ys[span]), [0, 0])
            both[below] |= flags[span]
    on_bits, plus_bits, minus_bits = (_bits(mask, bit) for mask in (~off, plus, minus))
    return tuple(
        CutLine(line, here, above, below, tuple([(p, m) for p, m in met.values() if p and m]))
        for line, here, above, below, met in zip(lines, on_bits, plus_bits, minus_bits, crossings, strict=True)
    )


def _bits(masks: npt.NDArray[np.bool_], bit: Integers) -> list[int]:
    """Each column of a mask, shape (spans, lines), as an integer; ``bit`` has each span's bit, rising."""
    spread = np.zeros((masks.shape[1], bit[-1] + 1), dtype=np.bool_)
    spread[:, bit] = masks.T
    packed = np.packbits(spread, axis=1, bitorder="little")
    size, data = packed.shape[1], packed.tobytes()
    return [int.from_bytes(data[k : k + size], "little") for k in range(0, len(data), size)]


def _crossed(
    edges: Sequence[tuple[Point, Point]], owner: Sequence[int], lines: Sequence[Line]
) -> list[list[float]]:
    """For each edge where lines cross it, as shares of its length, in order."""
    stops: list[list[float]] = [[] for _ in edges]
    if not edges:
        return stops
    s, t = _sides(_ends(edges), lines)
    across = ((s > ON_LINE) & (t < -ON_LINE)) | ((s < -ON_LINE) & (t > ON_LINE))
    across[np.arange(len(edges)), owner] = False
    before, after = s[across], t[across]
    for edge, share in zip(np.nonzero(across)[0].tolist(), (before / (before - after)).tolist(), strict=True):
        stops[edge].append(share)
    return [sorted(row) for row in stops]


def _spans(p: Point, q: Point, stops: Sequence[float]) -> list[tuple[Point, Point]]:
    """The parts of an edge between its stops; a part too short to sew goes to its neighbour."""
    if not stops:
        return [(p, q)]
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
