"""The search against every tree of cuts, tried out by a separate program with exact fractions."""

from itertools import pairwise

import pytest
from shapely.geometry import Polygon

from converter.geometry import line_through
from converter.sewing.bound import lower_bound
from converter.sewing.plan import Builder, plan_block
from converter.sewing.problem import cut_problem
from converter.sewing.search import Cut, Prices, Search
from converter.sewing.spans import ON_LINE
from converter.sewing.trees import PIECE, cost_below
from converter.verify import NotSewableError, verify_block
from tests.sewing.exhaustive import NEVER, Exhaustive
from tests.sewing.figures import LETTERS, drawn, figure_of, lines_through_corners, random_whole_figure, scaled

MM = 7.0  # a square of the grid
ENOUGH = 10**6

# All trees of axis-parallel cuts on the grid, tried out: pieces, and whether one foundation will do.
LEAST = {
    "L": (3, True), "T": (4, True), "U": (4, True), "O": (5, True), "H": (5, True), "F": (5, True),
    "E": (6, True), "P": (6, True), "B": (7, True), "+": (7, False), "S": (7, False),
}  # fmt: skip


def planned(figure, width, height, section=1, match=0, **more):
    return plan_block(scaled(figure, MM), width * MM, height * MM, Prices(section, match), ENOUGH, **more)


@pytest.mark.parametrize("letter", LETTERS)
@pytest.mark.parametrize("margin", [0, 1])
def test_a_letter_on_a_grid_has_the_fewest_pieces_that_exhaustive_search_finds(letter, margin):
    figure, width, height = drawn(LETTERS[letter], margin)
    pieces, one = LEAST[letter]
    plan = planned(figure, width, height)
    assert len(plan.pieces) == pieces + 4 * margin  # a margin on four sides is four strips more
    assert (len(plan.sections) == 1) == one
    assert plan.complete
    verify_block(plan.pieces, plan.sections, plan.joins, width * MM, height * MM)


@pytest.mark.parametrize("letter", LETTERS)
def test_the_table_of_fewest_pieces_is_what_exhaustive_search_says(letter):
    figure, width, height = drawn(LETTERS[letter])
    every = Exhaustive(figure, width, height)
    pieces, one = LEAST[letter]
    assert every.least_pieces() == pieces
    assert (every.least_in_one_section() == pieces) == one
    assert (every.least_in_one_section() < NEVER) == one


@pytest.mark.parametrize("section", [300, 2500])
@pytest.mark.parametrize("seed", range(20))
def test_a_search_below_a_limit_finds_the_least_cost_or_a_bound_between_limit_and_least(seed, section):
    figure, width, height = random_whole_figure(seed)
    least = Exhaustive(figure, width, height).least_cost(PIECE, section)
    problem = cut_problem(scaled(figure, MM), (), (width * MM, height * MM))
    for limit in (0, least - PIECE, least - 1, least, least + 1, least + 5 * PIECE):
        found, _ = cost_below(limit, problem.spans, section, 0, ENOUGH)
        assert found == least if limit > least else limit <= found <= least


@pytest.mark.parametrize("section", [1, 300, 2500, 20000])
@pytest.mark.parametrize("seed", range(30))
def test_cost_is_the_least_of_all_trees(seed, section):
    figure, width, height = random_whole_figure(seed)
    every = Exhaustive(figure, width, height)
    plan = planned(figure, width, height, section)
    assert plan.complete
    assert plan.cost == every.least_cost(PIECE, section)
    assert plan.cost == len(plan.pieces) * PIECE + len(plan.sections) * section


@pytest.mark.parametrize("seed", range(100, 115))
def test_cost_is_the_least_with_seams_through_corners_too(seed):
    figure, width, height = random_whole_figure(seed, most_lines=5)
    more = lines_through_corners(figure)[:4]
    every = Exhaustive(figure, width, height, more)
    extra = []
    for a, b, c in more:
        if (a, b, c) in every.edge_lines:
            continue
        p = (float(c / a), 0.0) if not b else (0.0, float(c / b))
        q = (p[0] + float(b), p[1] - float(a))
        extra.append(line_through((p[0] * MM, p[1] * MM), (q[0] * MM, q[1] * MM)))
    plan = planned(figure, width, height, 2500, extra_lines=extra)
    assert plan.cost == every.least_cost(PIECE, 2500)


@pytest.mark.parametrize("seed", range(200, 240))
def test_the_lower_bound_is_never_above_what_any_seams_reach(seed):
    figure, width, height = random_whole_figure(seed, most_lines=6)
    bound = lower_bound(cut_problem(scaled(figure, MM)))
    every = Exhaustive(figure, width, height)
    assert len(every.edge_lines) + 1 <= bound <= every.least_pieces()
    assert bound <= Exhaustive(figure, width, height, lines_through_corners(figure)[:3]).least_pieces()
    plan = planned(figure, width, height)
    assert plan.proved_minimal == (len(plan.pieces) == bound)


def test_two_crossing_bars_prove_a_cut_made_twice():
    cross, width, height = drawn(LETTERS["+"], 1)
    lines = len(Exhaustive(cross, width, height).edge_lines)
    # Each of the two sides of the upright crosses each side of the bar: two lines must be cut twice.
    assert lower_bound(cut_problem(scaled(cross, MM))) == lines + 1 + 2
    assert planned(cross, width, height).proved_minimal


# Two slanted bars that cross: each side of one crosses both sides of the other.
CROSS = (
    ((6, 6), (12, 6), (18, 14), (24, 6), (30, 6), (21, 18), (30, 30), (24, 30), (18, 22), (12, 30), (6, 30), (15, 18)),
)  # fmt: skip


def test_an_x_is_proved_although_lines_are_cut_twice():
    every = Exhaustive((CROSS,), 36, 36)
    plan = planned((CROSS,), 36, 36)
    assert len(plan.pieces) == every.least_pieces() == plan.lower_bound
    assert plan.lower_bound == len(every.edge_lines) + 1 + 2
    assert plan.proved_minimal


@pytest.mark.parametrize("seed", range(300, 320))
def test_a_part_peels_into_one_section_if_and_only_if_some_order_of_cuts_does(seed):
    figure, width, height = random_whole_figure(seed)
    one = Exhaustive(figure, width, height).least_in_one_section()
    problem = cut_problem(scaled(figure, MM))
    order = Search(problem, Prices(1, 0), ENOUGH).peels(problem.all_spans)
    assert (order is not None) == (one < NEVER)
    if order is not None:
        assert len(order) + 1 == one


@pytest.mark.parametrize("seed", range(400, 420))
def test_one_addition_counts_the_lines_of_a_part(seed):
    figure, _, _ = random_whole_figure(seed)
    problem = cut_problem(scaled(figure, MM))
    sides = [side for line in problem.lines for side in (line.plus, line.minus, line.on)]
    parts = [problem.all_spans, 0, *sides, *(a & b for a, b in pairwise(sides))]
    assert [problem.lines_in(part) for part in parts] == [
        sum(1 for line in problem.lines if line.on & part) for part in parts
    ]


@pytest.mark.parametrize("budget", [0, 1, 4, 10, 40])
@pytest.mark.parametrize("seed", range(10))
def test_what_a_short_search_finds_is_the_least_where_it_says_so_and_never_less(seed, budget):
    figure, width, height = random_whole_figure(seed)
    least = Exhaustive(figure, width, height).least_cost(PIECE, 1000)
    problem = cut_problem(scaled(figure, MM), (), (width * MM, height * MM))
    found = Search(problem, Prices(1000, 0), budget).run()
    assert found.cost == least if found.complete else found.cost >= least


def test_of_two_trees_that_cost_the_same_the_one_of_fewer_pieces_is_taken():
    """Two crossing strokes: a section costs as much as the piece that it saves, but only fewest pieces are proved."""
    down = Polygon([(20, 20), (32, 20), (100, 104), (88, 104)])
    up = Polygon([(100, 20), (88, 20), (20, 104), (32, 104)])
    few, cheap = (
        plan_block(figure_of(down.union(up)), 120.0, 124.0, prices, ENOUGH)
        for prices in (Prices.of(1.0), Prices(PIECE + 1, Prices.of(1.0).match))
    )
    assert len(few.pieces) + len(few.sections) == len(cheap.pieces) + len(cheap.sections)
    assert len(few.pieces) < len(cheap.pieces)
    assert few.proved_minimal


def test_without_budget_there_still_is_a_plan_that_can_be_sewn():
    figure, width, height = drawn(LETTERS["S"], 1)
    plan = plan_block(scaled(figure, MM), width * MM, height * MM, Prices(2500, 50), 0)
    assert not plan.complete
    verify_block(plan.pieces, plan.sections, plan.joins, width * MM, height * MM)


def test_a_match_point_costs_its_price_and_is_avoided_where_that_is_dear():
    def points(match):
        plan = planned((CROSS,), 36, 36, 2500, match)
        assert plan.cost == len(plan.pieces) * PIECE + len(plan.sections) * 2500 + plan.match_points * match
        return plan.match_points

    assert points(50) >= points(500) >= points(50_000)


def test_edges_that_run_on_across_a_join_must_meet():
    # Two steps: an edge from the left meets the upright line from both sides at one point.
    flags = (((2, 2), (6, 2), (6, 6), (2, 6)),), (((6, 6), (10, 6), (10, 10), (6, 10)),)
    plan = planned((*flags,), 12, 12, 2500, 50)
    assert len(plan.sections) > 1
    assert plan.match_points == 1


SLAB_H = ("XXX.XXX", ".X...X.", ".XXXXX.", ".X...X.", "XXX.XXX")


def test_no_slab_h_is_sewn_on_one_foundation():
    """Its serifs lie in rows of three at the head and at the foot: all cuts along its edges tried."""
    figure, width, height = drawn(SLAB_H)
    assert Exhaustive(figure, width, height).least_in_one_section() == NEVER
    assert len(planned(figure, width, height, 20000).sections) == 3


def test_a_cut_that_leaves_nothing_on_one_side_is_told_with_its_place():
    block = ((0.0, 0.0), (40.0, 0.0), (40.0, 60.0), (0.0, 60.0))
    builder = Builder([line_through((40.0005, 0.0), (40.0005, 60.0))], lambda ring: "background", ON_LINE)
    for one_section in (True, False):
        with pytest.raises(NotSewableError, match=r"near \(20\.0, 30\.0\) mm"):
            builder.assemble(Cut(0, None, None, one_section), block)
