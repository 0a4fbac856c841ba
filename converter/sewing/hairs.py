"""Pieces too thin to be drawn or cut, merged into what they are sewn to.

A figure at a small size can ask for pieces a hundredth of a millimetre wide. No needle sews them, no pen draws
them, and other programs that read the pattern stumble over them. A plan is a tree of cuts, so a piece is merged by
leaving out the cut that takes it off: what was on the other side of that cut, with all its own cuts, gets its place.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from converter.fidelity import HAIR
from converter.geometry import Line, centroid, convex_width, deepest, line_through
from converter.model import Point, Ring
from converter.sewing.plan import Builder, Plan, block_ring
from converter.sewing.problem import normals_of
from converter.sewing.search import Cut
from converter.sewing.spans import ON_LINE
from converter.verify import NotSewableError, verify_block

THINNEST = 2 * HAIR  # mm: no cloth shows a strip as narrow
_EXACT = 1e-6  # mm; the lines that made the pieces are known to this
_Gone = Literal["gone"]  # in place of a tree: nothing is left of it


def without_hairs(plan: Plan, width: float, height: float) -> Plan:
    """The plan of a block of that size (mm) without pieces thinner than ``THINNEST``; itself where it has none.

    Raises :class:`NotSewableError` where it does not pass the replay of its sewing, or would not without them.
    """
    verify_block(plan.pieces, plan.sections, plan.joins, width, height)
    hairs = {piece.id for piece in plan.pieces if convex_width(piece.polygon) < THINNEST}
    if not hairs:
        return plan
    thick = [piece for piece in plan.pieces if piece.id not in hairs]
    if not thick:
        raise NotSewableError(f"every piece is thinner than {THINNEST:g} mm")
    trees = _Trees(plan, hairs)
    rings = [piece.polygon for piece in thick]
    builder = Builder(trees.lines, lambda ring: thick[deepest(centroid(ring), rings)].fabric, ON_LINE)
    builder.assemble(trees.whole(), block_ring(width, height))
    pieces, sections, joins = tuple(builder.pieces), tuple(builder.sections), tuple(builder.joins)
    if any(convex_width(piece.polygon) < THINNEST for piece in pieces):
        raise NotSewableError(f"a piece thinner than {THINNEST:g} mm could not be merged")
    verify_block(pieces, sections, joins, width, height)
    # What was proved of the figure with its hairs says nothing about this one.
    return replace(plan, pieces=pieces, sections=sections, joins=joins, lower_bound=1)


class _Trees:
    """The cuts of a plan, found again from its pieces and orders, without those that take off a hair."""

    def __init__(self, plan: Plan, hairs: set[str]) -> None:
        self._plan = plan
        self._hairs = hairs
        self._rings = {piece.id: piece.polygon for piece in plan.pieces}
        self.lines: list[Line] = []

    def whole(self) -> Cut | None:
        """The tree of the block."""
        made: dict[str, tuple[Cut | _Gone | None, list[Ring]]] = {
            section.id: self._section(section.pieces) for section in self._plan.sections
        }
        for join in self._plan.joins:
            (first, some), (second, others) = made.pop(join.parts[0]), made.pop(join.parts[1])
            if first == "gone":
                tree = second
            elif second == "gone":
                tree = first
            else:
                tree = self._cut(first, some, second, others, one_section=False)
            made[join.makes] = tree, [*some, *others]
        ((tree, _),) = made.values()
        return None if tree == "gone" else tree

    def _section(self, ids: Sequence[str]) -> tuple[Cut | _Gone | None, list[Ring]]:
        tree: Cut | _Gone | None = "gone"
        there: list[Ring] = []
        for piece_id in ids:
            ring = self._rings[piece_id]
            if piece_id not in self._hairs:
                tree = None if tree == "gone" else self._cut(tree, there, None, [ring], one_section=True)
            there.append(ring)
        return tree, there

    def _cut(
        self, first: Cut | None, some: list[Ring], second: Cut | None, others: list[Ring], one_section: bool
    ) -> Cut:
        line = _between(some, others)
        self.lines.append(line)
        is_plus = line.side(_middle(some)) > line.side(_middle(others))
        plus, minus = (first, second) if is_plus else (second, first)
        return Cut(len(self.lines) - 1, plus, minus, one_section)


def _middle(rings: list[Ring]) -> Point:
    return centroid([corner for ring in rings for corner in ring])


def _between(some: list[Ring], others: list[Ring]) -> Line:
    """The line along a side of a piece that has two convex shapes, told by their pieces, on its two sides."""
    sides = [(ring[k - 1], ring[k]) for ring in (*some, *others) for k in range(len(ring))]
    lines = [line_through(p, q) for p, q in sides if p != q]
    nx, ny, d = normals_of(lines)[..., None]
    corners = [p for ring in (*some, *others) for p in ring]
    x, y = np.array(corners).T
    above = x * nx + y * ny - d  # shape (lines, corners)
    first = sum(map(len, some))
    this, that = above[:, :first], above[:, first:]
    one_way = np.maximum(this.max(axis=1), -that.min(axis=1))
    other_way = np.maximum(-this.min(axis=1), that.max(axis=1))
    off = np.minimum(one_way, other_way)
    best = int(off.argmin())
    # Told best by the corners on it that are farthest apart.
    on = [corners[k] for k in np.flatnonzero(np.abs(above[best]) <= _EXACT).tolist()]
    return line_through(min(on), max(on)) if on and min(on) != max(on) else lines[best]
