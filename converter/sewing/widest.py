"""The order of peeling that keeps pieces widest. A part that is one section can be peeled in any order: the pieces
are as many, but not of the same shape. A thin bar whose long sides are cut first leaves its ends as thin as itself.
"""

from collections.abc import Iterator
from dataclasses import replace

from converter.geometry import convex_width, split_convex
from converter.model import Ring
from converter.sewing.problem import ON_LINE, CutProblem
from converter.sewing.search import Cut

MOST_PEELS = 12  # beyond, the orders are too many to try


def widest_peeling(
    problem: CutProblem, tree: Cut | None, part: int, region: Ring, least: float
) -> Cut | None:
    """The tree, with other orders of peeling in the sections that have a piece narrower than ``least`` (mm).

    ``part`` and ``region`` are what the tree cuts: its spans and its outline. Each such section has as few narrow
    pieces as any order makes, and then the narrowest is as wide as can be.
    """
    if tree is None:
        return None
    line = problem.lines[tree.line]
    if tree.one_section:
        count = _depth(tree)
        if count > MOST_PEELS or _least_width(problem, tree, region) >= least:
            return tree
        return _Peeling(problem, part, least).tree(part, region)
    plus, minus = split_convex(region, line.line, ON_LINE)
    return replace(
        tree,
        plus=widest_peeling(problem, tree.plus, part & line.plus, plus, least),
        minus=widest_peeling(problem, tree.minus, part & line.minus, minus, least),
    )


def _depth(tree: Cut | None) -> int:
    return 0 if tree is None else 1 + _depth(tree.plus) + _depth(tree.minus)


def _least_width(problem: CutProblem, tree: Cut | None, region: Ring) -> float:
    if tree is None:
        return convex_width(region)
    plus, minus = split_convex(region, problem.lines[tree.line].line, ON_LINE)
    return min(_least_width(problem, tree.plus, plus), _least_width(problem, tree.minus, minus))


Merit = tuple[
    int, float
]  # minus the count of narrow pieces, and the width of the narrowest (mm): more is better


class _Peeling:
    """The best order for one section, by dynamic programming over what is left of it."""

    def __init__(self, problem: CutProblem, part: int, least: float) -> None:
        self._problem, self._least = problem, least
        # A letter's other lines are many: they are left out once, and not at every peel.
        self._lines = [(k, line) for k, line in enumerate(problem.lines) if part & line.on]
        self._best: dict[int, tuple[Merit, int]] = {}  # by spans left: the merit, and the line to peel first

    def tree(self, part: int, region: Ring) -> Cut | None:
        """The section's cuts in the best order."""
        if not part:
            return None
        _, k = self._peel(part, region)
        line = self._problem.lines[k]
        plus, minus = split_convex(region, line.line, ON_LINE)
        return Cut(k, self.tree(part & line.plus, plus), self.tree(part & line.minus, minus), True)

    def _peel(self, part: int, region: Ring) -> tuple[Merit, int]:
        if not part:
            return self._merit(region), -1
        if part not in self._best:
            self._best[part] = max(self._peels(part, region), key=lambda found: (found[0], -found[1]))
        return self._best[part]

    def _peels(self, part: int, region: Ring) -> Iterator[tuple[Merit, int]]:
        for k, line in self._lines:
            if not part & line.on or (part & line.plus and part & line.minus):
                continue
            plus, minus = split_convex(region, line.line, ON_LINE)
            piece, rest = (minus, plus) if part & line.plus else (plus, minus)
            (narrow, width), (others, least) = self._merit(piece), self._peel(part & ~line.on, rest)[0]
            yield (narrow + others, min(width, least)), k

    def _merit(self, piece: Ring) -> Merit:
        width = convex_width(piece)
        return -(width < self._least), width
