"""How far the search goes, on a plate whose corners are cut off for nothing; what it keeps; and what it must keep."""

import math

import pytest
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from converter.straighten.cost.evaluate import KEPT, Cost
from converter.straighten.finish import alternatives
from converter.straighten.finish.alternatives import EFFORTS
from converter.straighten.outline.symmetry import Symmetry, is_symmetric
from converter.straighten.search import pool
from converter.straighten.search.candidate import Candidate, candidate
from converter.straighten.search.pool import best_of
from tests.straighten.shapes import NONE, drawing, drawn_lines, drawn_shape, target_of

PLATE = box(20, 20, 100, 100).buffer(-4).buffer(4, quad_segs=16)  # its corners are round
CUT = Polygon([(26, 20), (94, 20), (100, 26), (100, 94), (94, 100), (26, 100), (20, 94), (20, 26)])
WORK, STATES = 2_000_000, 60


def searched(start, outline, symmetry: Symmetry = NONE, work: int = WORK, **changed) -> list[Candidate]:
    aim = target_of(outline, symmetry, **changed).aim()
    first = candidate(drawing(start, symmetry), (1,), aim, STATES)
    assert first is not None
    return best_of([first], aim, work, STATES)


def test_what_is_cut_for_nothing_is_left_out():
    best = searched(CUT, PLATE)[0]
    assert len(drawn_lines(best.drawing)) == 4
    assert (best.cost.pieces, best.cost.sections) == (5, 1)
    assert (
        drawn_shape(best.drawing).geoms[0].normalize().equals_exact(box(20, 20, 100, 100).normalize(), 1e-6)
    )


def test_without_work_the_search_stays_where_it_is():
    aim = target_of(PLATE).aim()
    first = candidate(drawing(CUT), (1,), aim, STATES)
    assert best_of([first], aim, 0, STATES) == [first]


def test_what_is_found_is_in_order_and_the_same_each_time():
    one, two = (searched(CUT, CUT.buffer(3, quad_segs=16)) for _ in range(2))
    assert [(c.key, c.cost) for c in one] == [(c.key, c.cost) for c in two]
    ranks = [c.rank for c in one]
    assert ranks == sorted(ranks)
    assert len({c.key for c in one}) == len(one)


def test_more_work_finds_nothing_worse():
    outline = disc(128) - box(60, 50, 120, 70)
    start = outline.simplify(1.0)
    ranks = [searched(start, outline, work=work)[0].rank for work in (0, 300_000, WORK)]
    assert ranks == sorted(ranks, reverse=True)
    assert ranks[-1] < ranks[0]


def disc(corners: int) -> Polygon:
    return Point(60, 60).buffer(45, quad_segs=corners // 4)


GATE = box(45, 60, 75, 120)
BOLT = Polygon([(20, 20), (80, 20), (80, 70), (100, 70), (100, 100), (40, 100), (40, 50), (20, 50)])


@pytest.mark.parametrize(
    ("outline", "start", "symmetry"),
    [
        (disc(128), disc(12), Symmetry(x=60.0, y=60.0)),
        (disc(128) - GATE, disc(12) - GATE, Symmetry(x=60.0)),
        (BOLT.buffer(2, quad_segs=8), BOLT, Symmetry(centre=(60.0, 60.0))),
    ],
)
def test_all_that_is_found_has_the_outline_s_symmetry_exactly(outline, start, symmetry):
    found = searched(start, outline, symmetry)
    assert len(found) > 1
    for one in found:
        assert is_symmetric(drawn_shape(one.drawing), symmetry)


def test_a_piece_that_is_too_narrow_is_given_up_for_one_that_is_not():
    """A plate with a step of 1.5 mm, where 3 mm are the least."""
    outline = Polygon([(20, 20), (100, 20), (100, 98.5), (60, 98.5), (60, 100), (20, 100)])
    found = searched(outline, outline)
    assert candidate(drawing(outline), (1,), target_of(outline).aim(), STATES).cost.violation > 0.1
    assert found[0].cost.violation <= KEPT
    assert found[0].cost.pieces == 5


def test_what_is_too_far_off_is_brought_back():
    found = searched(box(20, 20, 100, 100), disc(128), Symmetry(x=60.0, y=60.0))
    # The corners are √2 · 40 from the middle, 11.6 mm off, where 5 mm are the most.
    assert found[0].cost.violation <= KEPT
    assert found[0].cost.distance <= 5.0 * (1 + KEPT)
    assert found[0].cost.overlap >= 0.9 - KEPT


def test_an_upright_stem_stays_upright_for_all_that_a_slant_saves():
    """A Y keeps its stem though the V of its outer edges takes fewer pieces."""
    arms = [(20, 10), (40, 10), (60, 50), (80, 10), (100, 10)]
    why = Polygon([*arms, (70, 70), (70, 110), (50, 110), (50, 70)])
    best = searched(why, why, Symmetry(x=60.0))[0]
    lines = drawn_lines(best.drawing)
    assert {round(line.d, 6) for line in lines if line.ny == 0} == {50.0, 70.0}
    assert drawn_shape(best.drawing).symmetric_difference(why).area < 0.02 * why.area


@pytest.mark.parametrize("wider", pool.STRETCHES)
def test_a_stretched_figure_keeps_its_symmetry(wider):
    symmetry = Symmetry(x=60.0, y=60.0)
    aim, found = target_of(CUT, symmetry).aim(), drawing(CUT, symmetry)
    stretched = drawn_shape(found._replace(lines=pool._stretched(found.lines, aim, *wider)))
    assert is_symmetric(stretched, symmetry)
    expected = affinity.scale(CUT, *wider, origin=(60, 60))
    assert stretched.symmetric_difference(expected).area < 1e-6


def test_alternatives_are_unlike():
    """Kept are those that none before beats in pieces, sections and truth at once, and no more than were asked for."""

    def one(pieces, sections, overlap, violation=0.0):
        return Candidate(drawing(CUT), (1,), Cost(violation, math.nan, pieces, sections, overlap, 0.0))

    best, same, fewer, truer, worse = (
        one(8, 1, 0.95),
        one(8, 1, 0.95),
        one(7, 2, 0.9),
        one(9, 1, 0.97),
        one(9, 2, 0.9),
    )
    kept = alternatives._unlike([best, same, worse, fewer, truer], EFFORTS["normal"])
    assert [any(k is c for k in kept) for c in (best, same, worse, fewer, truer)] == [
        True,
        False,
        False,
        True,
        True,
    ]
    assert len(alternatives._unlike([best, fewer, truer], EFFORTS["draft"])) == 1
