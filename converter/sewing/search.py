"""The exact search for the best tree of cuts.

State: a part of the block, as the set of figure spans inside it (see :mod:`converter.sewing.problem`).

One section. A cut that takes off a single piece is a *peel*: no span lies on one of its sides. A peel uses up
one line for one piece and takes nothing from the other peels, so peels can be made in any order: a part is
one section if and only if peeling it until nothing is left succeeds, and then it has as many pieces as lines
plus one, which is the least possible.

Several sections. Every cut along a line with a span inside splits the part in two, each made in its best way;
dynamic programming over the parts, with memo, tries them all, less those that a lower bound rules out.

The price of a tree: pieces, plus ``section`` for each section, plus ``match`` for each seam that must meet
another across a join. All in thousandths, so that sums are exact.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from converter.sewing.problem import CutProblem

PIECE = 1000
FEWER_PIECES = 1  # thousandth of a piece that a section costs less, for a choice between equals
MATCH = 50  # a seam that must meet another across a join
ENDLESS = 1 << 60  # more than any tree costs

EdgedLine = tuple[int, int, int, int]  # a line's number, and its spans: on it, on the plus and the minus side
LockingLines = tuple[Sequence[EdgedLine], int]  # lines, and all spans on them


@dataclass(frozen=True, slots=True)
class Prices:
    """What a tree of cuts costs, in thousandths of a piece."""

    section: int
    match: int

    @classmethod
    def of(cls, section: float) -> "Prices":
        """The prices of a run where a section costs as much as that many pieces.

        Of two trees that cost the same then, the one of fewer pieces is cheaper: their number can be proved least.
        """
        return cls(max(0, round(section * PIECE) - FEWER_PIECES), MATCH)


@dataclass(frozen=True, slots=True)
class Cut:
    """A cut along line number ``line`` of the problem; a side that is None is a single piece."""

    line: int
    plus: "Cut | None"
    minus: "Cut | None"
    one_section: bool


@dataclass(frozen=True, slots=True)
class SearchResult:
    """The best tree found (None: the block is one piece), its cost, and how far the search got."""

    tree: Cut | None
    cost: int
    states: int
    complete: bool  # every alternative was tried or ruled out


class Search:
    """One search; ``budget`` is the number of states after which only the most promising cut is followed."""

    def __init__(self, problem: CutProblem, prices: Prices, budget: int) -> None:
        self._problem = problem
        self._edged = [(k, line.on, line.plus, line.minus) for k, line in enumerate(problem.lines) if line.on]
        self._lines = [(k, li.on, li.plus, li.minus, li.crossings) for k, li in enumerate(problem.lines)]
        self._all = problem.all_spans
        self._prices = prices
        self._budget = budget
        self._cost: dict[int, int] = {}
        self._choice: dict[int, int] = {}  # the line to cut first; -1: peel, the part is one section
        self._least: dict[int, int] = {}
        # Of each part that is not one section: the lines that lock it, and all spans on them.
        self._stuck: dict[int, LockingLines] = {}
        self._patience = ENDLESS  # states after which a part for which no cut was found yet is given up
        self.states = 0

    def run(self) -> SearchResult:
        """The best tree of cuts for the whole block.

        Looked for below a limit that rises from the lower bound: most trees are near it, and the nearer the limit, the
        more is ruled out (iterative deepening). What is far above it is looked for without limit in the end.
        """
        cost = self.cost_below(0)
        self._patience = self._budget // 2
        while self._all not in self._cost and self.states <= self._patience:
            cost = self._best(self._all, cost + 2 * PIECE + self._prices.section)
        self._patience = ENDLESS
        cost = self._best(self._all, ENDLESS)
        return SearchResult(self._tree(self._all), cost, self.states, self.states <= self._budget)

    def cost_below(self, limit: int) -> int:
        """The cost of the best tree if it is below the limit; else what it costs at least, as far as was looked."""
        self._lower_bound(self._all, (self._edged, self._all))
        return self._best(self._all, limit)

    def peels(self, part: int) -> list[int] | None:
        """The lines in an order in which each takes off one piece, or None if the part is not one section."""
        order, stuck = self._peeling(part, self._edged)
        return None if stuck else order

    def _peeling(self, part: int, lines: Sequence[EdgedLine]) -> tuple[list[int], list[EdgedLine]]:
        """Which of the lines take off one piece each, in such an order, and the lines that are left after them."""
        order: list[int] = []
        waiting = [line for line in lines if part & line[1]]
        while waiting:
            rest = []
            for line in waiting:
                if part & line[2] and part & line[3]:
                    rest.append(line)
                else:
                    order.append(line[0])
                    part &= ~line[1]
            if len(rest) == len(waiting):
                break
            waiting = rest
        return order, waiting

    def _lower_bound(self, part: int, locking: LockingLines) -> int:
        """No tree for the part costs less: a cut for each line, and a second section where peeling fails.

        ``locking``: the lines that are left when a part that holds this one is peeled. All others can be peeled off
        this one, too.
        """
        known = self._least.get(part)
        if known is None:
            lines, on_lines = locking
            _, left = self._peeling(part & on_lines, lines)
            known = (self._problem.lines_in(part) + 1) * PIECE + (2 if left else 1) * self._prices.section
            self._least[part] = known
            if left:
                self._stuck[part] = left, sum([line[1] for line in left])
            else:
                self._cost[part], self._choice[part] = known, -1
        return known

    def _best(self, part: int, limit: int) -> int:
        known = self._cost.get(part)  # one section: the bound is met
        if known is not None:
            return known
        if self._least[part] >= limit:
            return self._least[part]
        self.states += 1
        best, choice = self._best_cut(part, limit)
        if choice >= 0:
            self._cost[part], self._choice[part] = best, choice
        elif self.states <= self._patience:
            self._least[part] = best
        return best

    def _best_cut(self, part: int, limit: int) -> tuple[int, int]:
        """The least cost and the line to cut first, -1 if no cut costs less than the limit."""
        options = []
        locking = self._stuck[part]
        least, match = self._least, self._prices.match
        spans, free = self._problem.all_spans, self._problem.free
        two = 2 * (PIECE + self._prices.section)
        for k, on, on_plus, on_minus, crossings in self._lines:
            plus, minus = part & on_plus, part & on_minus
            if not (plus and minus) and not part & on:
                continue
            # As in `CutProblem.lines_in`: what takes no call rules out most cuts.
            lines = ((plus + spans) & free).bit_count() + ((minus + spans) & free).bit_count()
            if lines * PIECE + two >= limit:
                continue
            bound = least.get(plus) or self._lower_bound(plus, locking)
            bound += least.get(minus) or self._lower_bound(minus, locking)
            fixed = 0
            for p, m in crossings:
                if part & p and part & m:
                    fixed += match
            options.append((bound + fixed, k, plus, minus, fixed))
        options.sort()
        best, choice = limit, -1
        for bound, k, plus, minus, fixed in options:
            if bound >= best or self.states > (self._budget if choice >= 0 else self._patience):
                break
            cost = self._best(plus, limit - fixed - self._least[minus]) + fixed
            if cost + self._least[minus] >= best:
                continue
            cost += self._best(minus, limit - cost)
            if cost < best:
                best, choice = cost, k
        return best, choice

    def _tree(self, part: int) -> Cut | None:
        if not part:
            return None
        k = self._choice[part]
        if k >= 0:
            above, below = self._halves(part, k)
            return Cut(k, self._tree(above), self._tree(below), False)
        return self._peeled(part)

    def _peeled(self, part: int) -> Cut | None:
        order = self.peels(part)
        if not order:
            return None
        k = order[0]
        above, below = self._halves(part, k)
        return Cut(k, self._peeled(above), self._peeled(below), True)

    def _halves(self, part: int, k: int) -> tuple[int, int]:
        _, _, plus, minus, _ = self._lines[k]
        return part & plus, part & minus
