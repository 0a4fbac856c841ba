"""Pieces too thin to be drawn or cut, merged into what they are sewn to.

A figure at a small size can ask for pieces a hundredth of a millimetre wide. No needle sews them, no pen draws
them, and other programs that read the pattern stumble over them. A plan is a tree of cuts, so a piece is merged by
leaving out the cut that takes it off: what was on the other side of that cut, with all its own cuts, gets its place.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from converter.fidelity import HAIR
from converter.geometry import Line, centroid, convex_width, deepest, line_through
from converter.model import Point
from converter.sewing.plan import Builder, Plan, block_ring
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
        made: dict[str, tuple[Cut | _Gone | None, list[Point]]] = {
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

    def _section(self, ids: Sequence[str]) -> tuple[Cut | _Gone | None, list[Point]]:
        tree: Cut | _Gone | None = "gone"
        there: list[Point] = []
        for piece_id in ids:
            ring = list(self._rings[piece_id])
            if piece_id not in self._hairs:
                tree = None if tree == "gone" else self._cut(tree, there, None, ring, one_section=True)
            there += ring
        return tree, there

    def _cut(
        self, first: Cut | None, some: list[Point], second: Cut | None, others: list[Point], one_section: bool
    ) -> Cut:
        line = _between(some, others)
        self.lines.append(line)
        is_plus = line.side(centroid(some)) > line.side(centroid(others))
        plus, minus = (first, second) if is_plus else (second, first)
        return Cut(len(self.lines) - 1, plus, minus, one_section)


def _between(some: list[Point], others: list[Point]) -> Line:
    """The line along a side of either of two convex shapes, given by corners, that has them on its two sides."""
    best: tuple[bool, float, float, Line] | None = None
    for points in (some, others):
        for k, q in enumerate(points):
            for p in points[:k]:
                if p == q:
                    continue
                line = line_through(p, q)
                off = min(
                    max(*(sign * line.side(a) for a in some), *(-sign * line.side(b) for b in others))
                    for sign in (1, -1)
                )
                length = (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2
                rank = (off > _EXACT, max(off - _EXACT, 0.0), -length, line)
                if best is None or rank < best:
                    best = rank
    assert best is not None
    return best[3]
