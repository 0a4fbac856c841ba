"""Of ways that cost the same, the one whose narrowest piece is widest; and no way is worse for it."""

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from converter.geometry import convex_width, split_convex
from converter.sewing.plan import block_ring, plan_block
from converter.sewing.problem import cut_problem
from converter.sewing.search import Prices
from converter.sewing.spans import ON_LINE
from converter.verify import verify_block


@pytest.mark.parametrize("turned", [False, True])
def test_of_equal_ways_the_one_with_the_widest_pieces_is_taken(turned):
    # A bar 3 mm wide: only the bar itself must be narrow, not its ends (elementary).
    corners = ((20.0, 10.0), (23.0, 10.0), (23.0, 90.0), (20.0, 90.0))
    if turned:
        corners = tuple((y, x) for x, y in reversed(corners))
    plan = plan_block(((corners,),), 101.6, 101.6, Prices(1000, 50), 100, least_width=3.175)
    assert len(plan.pieces) == 5
    assert sum(convex_width(p.polygon) < 3.175 for p in plan.pieces) == 1
    verify_block(plan.pieces, plan.sections, plan.joins, 101.6, 101.6)


def least_of_all_orders(figure, width, height):
    """The widest that the narrowest piece can be in one section, by trying every order of its lines."""
    problem = cut_problem(figure, (), (width, height))
    best = 0.0
    for order in permutations(problem.lines):
        part, region, least = problem.all_spans, block_ring(width, height), float("inf")
        for line in order:
            if part & line.plus and part & line.minus:
                break
            plus, minus = split_convex(region, line.line, ON_LINE)
            piece, region = (minus, plus) if part & line.plus else (plus, minus)
            least = min(least, convex_width(piece))
            part &= ~line.on
        else:
            best = max(best, min(least, convex_width(region)))
    return best


@settings(derandomize=True, deadline=None, max_examples=30)
@given(st.lists(st.integers(4, 72), min_size=4, max_size=4, unique=True), st.integers(-3, 3))
def test_no_order_has_a_wider_narrowest_piece(numbers, lean):
    left, right = sorted(numbers[:2])
    top, bottom = sorted(numbers[2:])
    corners = ((left + lean, top), (right + lean, top), (right, bottom), (left, bottom))
    figure = ((tuple((float(x), float(y)) for x, y in corners),),)
    plan = plan_block(figure, 80.0, 80.0, Prices(1000, 50), 1000, least_width=80.0)
    assert len(plan.sections) == 1
    assert min(convex_width(p.polygon) for p in plan.pieces) == pytest.approx(
        least_of_all_orders(figure, 80.0, 80.0)
    )
    verify_block(plan.pieces, plan.sections, plan.joins, 80.0, 80.0)
