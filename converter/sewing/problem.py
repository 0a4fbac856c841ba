"""A figure in its block as a problem on bit sets.

The lines that carry the figure's edges cut these edges into spans. A part of the block (always convex, made
by cuts along some of the lines) is known by the set of spans inside it, kept as the bits of a number:
no spans, one fabric. A cut along a line sends each span to one side, and the spans on the line itself are
done with. Whole parts of the block that differ only in shape become one state of the search.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from converter.compiled import Floats, Integers
from converter.geometry import Line, line_through
from converter.model import Point, Polygons
from converter.sewing.spans import BITS, ON_LINE, Spans, clip_to_block, find_spans


@dataclass(frozen=True, slots=True)
class CutLine:
    """One line that a cut may follow, with its sets of spans as whole numbers (see the module)."""

    line: Line
    on: int  # spans that lie on it; 0 for a line that carries no edge
    plus: int  # spans strictly on its positive side
    minus: int
    crossings: tuple[
        tuple[int, int], ...
    ]  # per point where spans leave it: those on the plus, the minus side


@dataclass(frozen=True)  # without slots, so that the lines can be kept
class CutProblem:
    """The lines and the spans of one figure."""

    spans: Spans

    @cached_property
    def lines(self) -> tuple[CutLine, ...]:
        """All lines that a cut may follow."""
        spans = self.spans
        on, plus, minus, met_plus, met_minus = (
            [_whole(row) for row in rows]
            for rows in (spans.on, spans.plus, spans.minus, spans.met_plus, spans.met_minus)
        )
        met = list(zip(met_plus, met_minus, strict=True))
        return tuple(
            CutLine(Line(*line), on[k], plus[k], minus[k], tuple(met[spans.met_at[k] : spans.met_at[k + 1]]))
            for k, line in enumerate(spans.lines.tolist())
        )

    @cached_property
    def all_spans(self) -> int:
        """The whole block."""
        return _whole(self.spans.all)

    def lines_in(self, part: int) -> int:
        """How many lines have a span in the part."""
        return sum(1 for line in self.lines if line.on & part)


def _whole(words: Integers) -> int:
    """A row of words as one number."""
    return sum(word << (BITS * k) for k, word in enumerate(words.tolist()))


def edges_of(figure: Polygons) -> list[tuple[Point, Point]]:
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
    figure: Polygons, extra_lines: Sequence[Line] = (), block: tuple[float, float] | None = None
) -> CutProblem:
    """The search problem of a figure; ``extra_lines`` may be cut along too, though they carry no edge.

    ``block``: width and height (mm) of a block whose edge the figure may reach or cross.
    """
    return CutProblem(find_spans(*cut_edges(figure, extra_lines, block)))


def cut_edges(
    figure: Polygons, extra_lines: Sequence[Line], block: tuple[float, float] | None
) -> tuple[Floats, Floats, Integers]:
    """The lines that cuts may follow, the edges, and the line of each, as :func:`.spans.find_spans` takes them.

    With a ``block`` only the edges inside it."""
    edges = np.array([(*p, *q) for p, q in edges_of(figure)], dtype=float).reshape(-1, 4)
    if block is not None:
        edges = edges[: clip_to_block(edges, np.zeros(len(edges), np.int64), *block)]
    lines, owner = distinct_lines([((px, py), (qx, qy)) for px, py, qx, qy in edges.tolist()])
    table = np.array([*lines, *extra_lines], dtype=float).reshape(-1, 3)
    return table, edges, np.array(owner, dtype=np.int64)


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


def _length2(edge: tuple[Point, Point]) -> float:
    (px, py), (qx, qy) = edge
    return (px - qx) ** 2 + (py - qy) ** 2
