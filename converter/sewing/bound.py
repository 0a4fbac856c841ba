"""How few pieces any way of cutting a figure can have.

Each distinct line that carries an edge of the figure needs a cut of its own: lines + 1 pieces (elementary).

Two lines *cross* when each carries edges strictly on both sides of the other. If both were cut just once, each
of these cuts would happen in a part that holds the crossing in its inside; two such parts are nested, and the
inner one lies on one side of the outer one's cut, which the crossing does not. So of each crossing pair at
least one line is cut twice, and the lines cut twice cover all crossing pairs: lines + 1 + the size of the
smallest vertex cover of the crossing graph.
"""

from converter.sewing.problem import CutProblem

EXACT_PAIRS = 40  # up to here the cover is exact; beyond, a maximal matching is a lower bound of it


def lower_bound(problem: CutProblem) -> int:
    """No tree of straight cuts, along these lines or any others, has fewer pieces than this."""
    edged = [line for line in problem.lines if line.on]
    pairs = [
        (j, k)
        for k, b in enumerate(edged)
        for j, a in enumerate(edged[:k])
        if a.on & b.plus and a.on & b.minus and b.on & a.plus and b.on & a.minus
    ]
    cover = _smallest_cover(pairs) if len(pairs) <= EXACT_PAIRS else _matching(pairs)
    return len(edged) + 1 + cover


def _matching(pairs: list[tuple[int, int]]) -> int:
    used: set[int] = set()
    size = 0
    for a, b in pairs:
        if a not in used and b not in used:
            used |= {a, b}
            size += 1
    return size


def _smallest_cover(pairs: list[tuple[int, int]]) -> int:
    if not pairs:
        return 0
    degree: dict[int, int] = {}
    for a, b in pairs:
        degree[a] = degree.get(a, 0) + 1
        degree[b] = degree.get(b, 0) + 1
    node = max(degree, key=lambda n: (degree[n], -n))
    if degree[node] == 1:
        return len(pairs)
    # Either the node is in the cover, or all its neighbours are.
    neighbours = {b if a == node else a for a, b in pairs if node in (a, b)}
    with_node = 1 + _smallest_cover([pair for pair in pairs if node not in pair])
    without = [pair for pair in pairs if not neighbours.intersection(pair)]
    if len(neighbours) >= with_node:
        return with_node
    return min(with_node, len(neighbours) + _smallest_cover(without))
