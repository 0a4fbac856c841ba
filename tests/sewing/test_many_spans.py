"""Figures of more spans than fit one word of bits: against the search that tries every tree, with exact fractions."""

from random import Random

import pytest

from converter.sewing.plan import plan_block
from converter.sewing.problem import cut_problem
from converter.sewing.search import Prices, Search
from converter.sewing.spans import BITS
from converter.sewing.trees import PIECE
from converter.verify import verify_block
from tests.sewing.exhaustive import Exhaustive
from tests.sewing.figures import scaled

MM = 7.0
ENOUGH = 10**6


def squares(columns: int, rows: int, left_out: int, seed: int):
    """Squares in rows, some of them left out by chance: an edge of each is a span."""
    places = [(2 * x + 1, 2 * y + 1) for x in range(columns) for y in range(rows)]
    kept = sorted(Random(seed).sample(places, len(places) - left_out))
    figure = tuple((((x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1)),) for x, y in kept)
    return figure, 2 * columns + 1, 2 * rows + 1


@pytest.mark.parametrize(
    ("columns", "rows", "left_out", "seed"),
    [(4, 4, 0, 1), (4, 5, 3, 2), (4, 5, 4, 3), (4, 5, 4, 4), (3, 8, 4, 5)],
)
@pytest.mark.parametrize("section", [1, 2500])
def test_many_spans_cost_what_the_search_through_all_trees_finds(columns, rows, left_out, seed, section):
    figure, width, height = squares(columns, rows, left_out, seed)
    problem = cut_problem(scaled(figure, MM))
    assert len(problem.spans.all) > 1
    assert problem.all_spans.bit_count() == 4 * len(figure) > BITS
    plan = plan_block(scaled(figure, MM), width * MM, height * MM, Prices(section, 0), ENOUGH)
    assert plan.complete
    assert plan.cost == Exhaustive(figure, width, height).least_cost(PIECE, section)
    verify_block(plan.pieces, plan.sections, plan.joins, width * MM, height * MM)


@pytest.mark.parametrize("teeth", [4, 20, 45])
def test_a_stair_of_many_spans_is_one_section(teeth):
    """A stair peels from its foot, whatever its length: a cut for each of its lines, a piece more (elementary)."""
    corners = [(1.0, 1.0)]
    for k in range(teeth):
        corners += [(2.0 + k, 1.0 + k), (2.0 + k, 2.0 + k)]
    corners += [(1.0, 1.0 + teeth)]
    problem = cut_problem(((tuple((x * MM, y * MM) for x, y in corners),),))
    order = Search(problem, Prices(1000, 0), 100).peels(problem.all_spans)
    lines = 2 * teeth + 2
    assert len(problem.spans.all) > problem.all_spans.bit_count() // BITS
    assert order is not None
    assert sorted(order) == list(range(lines))
    assert Search(problem, Prices(1000, 0), 100).run().cost == (lines + 1) * PIECE + 1000


@pytest.mark.parametrize("teeth", [5, BITS + 2])
def test_a_comb_is_one_section_however_many_teeth_stand_on_a_line(teeth):
    """Ends, back and tips peel, then the back off the teeth, then tooth by tooth (elementary)."""
    corners = [(1.0, 3.0)]
    for k in range(1, 2 * teeth, 2):
        corners += [(k, 1.0), (k + 1.0, 1.0), (k + 1.0, 2.0), (k + 2.0, 2.0)]
    corners = [*corners[:-2], (2.0 * teeth, 3.0)]
    problem = cut_problem(((tuple((x * MM, y * MM) for x, y in corners),),))
    lines = 2 * teeth + 3
    assert len(problem.lines) == lines
    assert bool(problem.spans.tops[0]) == (teeth < BITS)
    assert Search(problem, Prices(1000, 0), 100).run().cost == (lines + 1) * PIECE + 1000
