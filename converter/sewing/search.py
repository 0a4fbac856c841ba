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

from dataclasses import dataclass

import numpy as np

from converter.compiled import Integers
from converter.sewing.cutting import LEAF, carried_out
from converter.sewing.problem import CutProblem
from converter.sewing.spans import BITS
from converter.sewing.trees import BUDGET, ENDLESS, PIECE, STATES, best_tree, peel

FEWER_PIECES = 1  # thousandth of a piece that a section costs less, for a choice between equals
MATCH = 50  # a seam that must meet another across a join


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
        self._problem, self._prices, self._budget = problem, prices, budget

    def run(self, width: float = 0.0, height: float = 0.0, least_width: float = 0.0) -> SearchResult:
        """The best tree of cuts for a whole block of that size (mm).

        Looked for below a limit that rises from the lower bound: most trees are near it, and the nearer the limit, the
        more is ruled out (iterative deepening). What is far above it is looked for without limit in the end.
        Of the orders that a section may be sewn in, one without pieces narrower than ``least_width`` (mm) is taken, or
        the one whose narrowest piece is widest.
        """
        spans = self._problem.spans
        cost, memo = best_tree(spans, self._prices.section, self._prices.match, self._budget, ENDLESS)
        states, budget = int(memo.counters[STATES]), int(memo.counters[BUDGET])
        nodes = carried_out(spans, memo, width, height, least_width)
        columns = (nodes.line.tolist(), nodes.plus.tolist(), nodes.minus.tolist(), nodes.one_section.tolist())

        def tree(node: int) -> Cut | None:
            line, plus, minus, one_section = (column[node] for column in columns)
            return None if line == LEAF else Cut(line, tree(plus), tree(minus), bool(one_section))

        return SearchResult(tree(0), int(cost), states, states <= budget)

    def peels(self, part: int) -> list[int] | None:
        """The lines in an order in which each takes off one piece, or None if the part is not one section."""
        spans = self._problem.spans
        left = _words(part, len(spans.all))
        order = np.empty(len(spans.lines), np.int64)
        count = peel(left, spans, order)
        return None if left.any() else order[:count].tolist()


def _words(part: int, count: int) -> Integers:
    """A set of spans as a row of words."""
    return np.array([part >> (BITS * k) & ((1 << BITS) - 1) for k in range(count)], dtype=np.int64)
