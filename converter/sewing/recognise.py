"""Whether a block that is cut into pieces already, by a person's hand, can be sewn by straight seams; the best way.

State: a part of the block, as the set of its pieces (see :mod:`converter.sewing.tiling`).

Can it be sewn? Where the whole can be cut apart, so can any convex part of it, by the same cuts; so no cut is
ever a mistake, and cutting wherever possible ends either at single pieces or at parts in which no seam runs
through: these lock.

One section: every cut takes off a single piece. Such a cut stays possible when others are made first, so
taking off pieces in any order finds out.

Several sections: dynamic programming over the parts, with memo, tries each cut, less those that a lower bound
rules out. The price is the search's: pieces (given here), sections, and seams that must meet across a join.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from converter.errors import InputError
from converter.geometry import centroid, deepest, signed_area
from converter.model import Polygons, Ring
from converter.sewing.bound import lower_bound
from converter.sewing.locked import Lock, locks_of
from converter.sewing.plan import Builder, Plan, block_ring
from converter.sewing.problem import cut_problem
from converter.sewing.search import Cut, Prices
from converter.sewing.tiling import SAME, SeamLine, seam_lines
from converter.sewing.trees import PIECE

MOST_PIECES = 400  # no block is sewn from so many; the recursion goes one deep a piece at the most


@dataclass(frozen=True, slots=True)
class Locked:
    """The pieces cannot be sewn by straight seams; each lock is a smallest set of pieces that hold each other."""

    locks: tuple[Lock, ...]


def recognise(
    rings: Sequence[Ring],
    fabrics: Sequence[str],
    figure: Polygons,
    width: float,
    height: float,
    prices: Prices,
    budget: int,
) -> Plan | Locked:
    """The cheapest way of sewing exactly these pieces, or what locks.

    ``rings``: convex pieces (mm) that tile the block; ``fabrics``: one a piece. ``figure``: what stands out
    from the background, for the lower bound only. ``budget`` bounds the states of the search.

    Raises :class:`InputError` for more than ``MOST_PIECES`` pieces.
    """
    if len(rings) > MOST_PIECES:
        raise InputError(f"{len(rings)} pieces are more than the {MOST_PIECES} that can be worked out.")
    rings = [ring if signed_area(ring) > 0 else ring[::-1] for ring in rings]
    lines = seam_lines(rings, fabrics)
    search = _Search(lines, prices, budget)
    everything = (1 << len(rings)) - 1
    stuck = search.stuck(everything)
    if stuck:
        return Locked(tuple(lock for part in stuck for lock in locks_of(part, rings, lines)))
    cost = search.best(everything)
    tree = search.tree(everything)

    def fabric_of(ring: Ring) -> str:
        return fabrics[deepest(centroid(ring), rings)]

    builder = Builder([line.line for line in lines], fabric_of, SAME)
    builder.assemble(tree, block_ring(width, height))
    problem = cut_problem(figure)
    return Plan(
        pieces=tuple(builder.pieces),
        sections=tuple(builder.sections),
        joins=tuple(builder.joins),
        match_points=search.match_points(tree, everything),
        distinct_lines=sum(1 for line in problem.lines if line.on),
        lower_bound=lower_bound(problem),
        states=search.states,
        complete=search.states <= budget,
        cost=len(rings) * PIECE + cost,
    )


class _Search:
    """``budget`` is the number of states after which only the most promising cut is followed."""

    def __init__(self, lines: Sequence[SeamLine], prices: Prices, budget: int) -> None:
        self._lines = lines
        self._prices = prices
        self._budget = budget
        self._cost: dict[int, int] = {}
        self._choice: dict[int, int] = {}  # the line to cut first; -1: the part is one section
        self._peels: dict[int, list[tuple[int, bool]] | None] = {}
        self.states = 0

    def stuck(self, part: int) -> list[int]:
        """The parts that are left when every possible cut is made, but for single pieces."""
        waiting, found = [part], []
        while waiting:
            part = waiting.pop()
            if part.bit_count() == 1:
                continue
            halves = next((cut for line in self._lines if (cut := line.cuts(part))), None)
            if halves:
                waiting += halves
            else:
                found.append(part)
        return sorted(found)

    def best(self, part: int) -> int:
        """The least price of the part's sections and meeting seams. The part must be sewable."""
        known = self._cost.get(part)
        if known is not None:
            return known
        self.states += 1
        best, choice = self._least(part), -1
        if self.peels(part) is None:
            best, choice = self._best_cut(part)
        self._cost[part] = best
        self._choice[part] = choice
        return best

    def peels(self, part: int) -> list[tuple[int, bool]] | None:
        """The lines in an order in which each takes off one piece (True: the one on its plus side), or None."""
        if part not in self._peels:
            self._peels[part] = self._try_to_peel(part)
        return self._peels[part]

    def _try_to_peel(self, part: int) -> list[tuple[int, bool]] | None:
        order: list[tuple[int, bool]] = []
        while part.bit_count() > 1:
            before = part
            for k, line in enumerate(self._lines):
                halves = line.cuts(part)
                if halves is None:
                    continue
                plus, minus = halves
                if plus.bit_count() == 1 or minus.bit_count() == 1:
                    single = plus.bit_count() == 1
                    order.append((k, single))
                    part = minus if single else plus
            if part == before:
                return None
        return order

    def _least(self, part: int) -> int:
        return self._prices.section * (1 if self.peels(part) is not None else 2)

    def _best_cut(self, part: int) -> tuple[int, int]:
        options = []
        for k, line in enumerate(self._lines):
            halves = line.cuts(part)
            if halves is not None:
                plus, minus = halves
                fixed = line.matches(part) * self._prices.match
                options.append((self._least(plus) + self._least(minus) + fixed, k, plus, minus, fixed))
        options.sort()
        best, choice = 0, -1
        for bound, k, plus, minus, fixed in options:
            if choice >= 0 and (bound >= best or self.states > self._budget):
                break
            cost = self.best(plus) + fixed
            if choice >= 0 and cost + self._least(minus) >= best:
                continue
            cost += self.best(minus)
            if choice < 0 or cost < best:
                best, choice = cost, k
        return best, choice

    def tree(self, part: int) -> Cut | None:
        """The best tree of cuts of a part that :meth:`best` has seen; None for a single piece."""
        k = self._choice[part]
        if k >= 0:
            line = self._lines[k]
            return Cut(k, self.tree(part & line.plus), self.tree(part & line.minus), False)
        tree: Cut | None = None
        for k, single in reversed(self.peels(part) or []):
            tree = Cut(k, None if single else tree, tree if single else None, True)
        return tree

    def match_points(self, tree: Cut | None, part: int) -> int:
        """How many seams between two fabrics must meet another across the tree's joins."""
        if tree is None or tree.one_section:
            return 0
        line = self._lines[tree.line]
        return (
            line.matches(part)
            + self.match_points(tree.plus, part & line.plus)
            + self.match_points(tree.minus, part & line.minus)
        )
