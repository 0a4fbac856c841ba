"""Moves of a drawing's lines, on shapes whose answer geometry gives."""

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiPolygon, Point, Polygon, box

from converter.geometry import Line
from converter.straighten.cost.drawing import corners_of
from converter.straighten.cost.nearest import beside
from converter.straighten.cost.overlap import price_of_beaks
from converter.straighten.outline.crests import BEAK, FOOT, NEAR, OVERSHOOT, TILT, find_crests
from converter.straighten.outline.symmetry import Symmetry, is_symmetric
from converter.straighten.search.explore import carried_out
from converter.straighten.search.moves import (
    BEVEL,
    BEVELS,
    BREAK,
    CHORD,
    DROP,
    EASE,
    LEVEL,
    LEVEL_BOTH,
    MERGE,
    SAVES,
    SNAP,
    SNAPS,
    find_moves,
    made,
)
from tests.straighten.shapes import NONE, drawing, drawn_lines, drawn_shape, target_of

SIZE = 100.0
CIRCLE = Point(60, 60).buffer(SIZE / 2, quad_segs=64)
SQUARE = box(15, 15, 105, 105)  # of 0.9 of the circle's width
STAGES = {SNAP: SNAPS, BEVEL: BEVELS, BREAK: BEVELS}


def moved(shape, kind, outline=None, symmetry: Symmetry = NONE):
    """What the moves of a kind make of a shape, before any fit."""
    aim, found = target_of(outline or shape, symmetry).aim(), drawing(shape, symmetry)
    fit = beside(found, aim)
    moves = find_moves(found, fit, aim, STAGES.get(kind, SAVES))
    results = [made(move, found, fit, aim) for move in moves if move[0] == kind]
    return [after for after, fine in results if fine]


def fitted(shape, kind, outline, symmetry: Symmetry = NONE, limit=(math.inf, math.inf), **changed):
    """The same after the fits that follow, with the measures beside the outline."""
    aim, found = target_of(outline, symmetry, **changed).aim(), drawing(shape, symmetry)
    fit = beside(found, aim)
    moves = find_moves(found, fit, aim, STAGES.get(kind, SAVES))
    results = [carried_out(move, found, fit, *limit, aim) for move in moves if move[0] == kind]
    return [(after, there) for after, there, fine, _ in results if fine]


def overlap(shape):
    return shape.intersection(CIRCLE).area / shape.union(CIRCLE).area


def octagon(radius: float, turned: float = 0.0) -> Polygon:
    turns = [math.radians(45 * k + turned) for k in range(8)]
    return Polygon([(60 + radius * math.cos(t), 60 + radius * math.sin(t)) for t in turns])


def test_a_square_about_a_circle_is_bevelled_to_an_octagon_on_all_images_at_once():
    found = fitted(SQUARE, BEVEL, CIRCLE, Symmetry(x=60.0, y=60.0))
    assert len(found) == 4  # from whichever corner
    for after, _ in found:
        assert after.rings.tolist() == [0, 8]
        # The regular octagon of a circle's area has an apothem of √(π / (8 tan 22.5°)) of the radius (elementary).
        apothem = SIZE / 2 * math.sqrt(math.pi / (8 * math.tan(math.pi / 8)))
        assert [abs(line.side((60, 60))) for line in drawn_lines(after)] == pytest.approx(
            [apothem] * 8, rel=0.02
        )
        assert overlap(drawn_shape(after)) > 0.95


def test_without_symmetry_each_corner_is_bevelled_by_itself_where_the_outline_passes():
    found = moved(SQUARE, BEVEL, CIRCLE)
    assert [len(after.edges) for after in found] == [5] * 4
    for after in found:
        shape = drawn_shape(after)
        assert overlap(shape) > overlap(SQUARE)
        # What is cut off is the triangle beyond the tangent at 45 degrees: √2 · 45 - 50 high, twice as wide.
        assert SQUARE.area - shape.area == pytest.approx((math.sqrt(2) * 45 - 50) ** 2, rel=0.05)


def test_a_spike_is_cut_off_level_and_upright():
    roof = Polygon([(20, 60), (60, 10), (100, 40), (100, 110), (20, 110)])
    flat = shapely.intersection(roof, box(0, 30, 200, 200))
    ways = {tuple(line) for after in moved(roof, BEVEL, flat) for line in drawn_lines(after) if line.is_level}
    assert any(line[0] == 0.0 and line[2] == pytest.approx(30.0, abs=0.5) for line in ways)


def test_a_level_cut_of_a_corner_and_its_image_is_one_line():
    crown = Polygon([(20, 110), (20, 60), (40, 10), (60, 60), (80, 10), (100, 60), (100, 110)])
    flat = shapely.intersection(crown, box(0, 30, 200, 200))
    found = moved(crown, BEVEL, flat, Symmetry(x=60.0))
    assert any(len(after.edges) == 9 for after in found)  # both tips are cut off
    for after in found:
        assert len({tuple(line) for line in drawn_lines(after)}) == len(after.lines)
        assert after.images.min() >= 0


def test_an_edge_is_broken_in_two_where_the_outline_bends_beside_it():
    # The arm of an r: level at its end, slanted where it leaves the stem.
    arm = Polygon(
        [(20, 20), (40, 20), (40, 50), (60, 30), (100, 30), (100, 60), (40, 60), (40, 110), (20, 110)]
    )
    flat = Polygon([(20, 20), (40, 20), (40, 36), (100, 36), (100, 60), (40, 60), (40, 110), (20, 110)])
    shapes = [drawn_shape(after) for after, _ in fitted(flat, BREAK, arm)]
    assert max(shape.intersection(arm).area / shape.union(arm).area for shape in shapes) > 0.985


def test_a_corner_at_the_outline_is_not_bevelled():
    assert moved(SQUARE, BEVEL) == []


def test_a_move_that_cannot_pay_is_given_up_once_it_is_measured():
    """No figure that keeps the limits costs less than a triangle: 3 lines, 4 pieces, a section, 5 in all. Where the
    figure so far breaks limits, one that breaks them less pays at any price (Deb 2000)."""
    assert fitted(SQUARE, BEVEL, CIRCLE, limit=(0.0, 5.0)) == []
    assert len(fitted(SQUARE, BEVEL, CIRCLE, limit=(9.0, 0.0))) == 4


@pytest.mark.parametrize("kind", [DROP, MERGE, LEVEL, LEVEL_BOTH, CHORD, SNAP])
def test_no_other_move_adds_an_edge(kind):
    shape = octagon(50, 10)
    for after in moved(shape, kind, CIRCLE):
        assert len(after.edges) <= 8


def test_an_edge_is_dropped_with_its_images_and_its_neighbours_meet():
    cut = Polygon([(26, 20), (94, 20), (100, 26), (100, 94), (94, 100), (26, 100), (20, 94), (20, 26)])
    whole = box(20, 20, 100, 100)
    alone = [drawn_shape(after) for after in moved(cut, DROP) if len(after.edges) == 7]
    # Without a level side the cuts beside it meet, too; without a cut the corner is there again: 18 mm² more.
    assert sorted(round(shape.area - cut.area, 6) for shape in alone)[:4] == [18.0] * 4
    (all_four,) = [
        shape
        for after in moved(cut, DROP, symmetry=Symmetry(x=60.0, y=60.0))
        for shape in [drawn_shape(after)]
        if len(after.edges) == 4 and shape.bounds == pytest.approx(whole.bounds)
    ]
    assert all_four.symmetric_difference(whole).area < 1e-9


def test_an_edge_is_carried_over_to_the_line_of_another():
    """Two arms, one longer by 3 mm and both 20 mm wide: either comes to end where the other does."""
    arms = [(20, 20), (97, 20), (97, 40), (50, 40), (50, 80), (100, 80), (100, 100), (20, 100)]
    found = moved(Polygon(arms), MERGE)
    assert [len(drawn_lines(after)) for after in found] == [7, 7]
    areas = [drawn_shape(after).area - Polygon(arms).area for after in found]
    assert sorted(areas) == pytest.approx([-60.0, 60.0])


def bracket(turn: float) -> Polygon:
    """A [ whose two ends, to the right, slant by ``turn`` (degrees) to either side."""
    slant = math.tan(math.radians(turn)) * 5
    corners = [
        (0.0, 0.0), (40.0 - slant, 0.0), (40.0 + slant, 10.0), (10.0, 10.0),
        (10.0, 50.0), (40.0 + slant, 50.0), (40.0 - slant, 60.0), (0.0, 60.0),
    ]  # fmt: skip
    return Polygon([(x + 20, y + 20) for x, y in corners])


def ends(after) -> set[Line]:
    """The lines on which the two ends of a bracket lie."""
    return {line for line in drawn_lines(after) if line.nx and abs(line.side((20.0, 50.0))) > 20}


def test_slanted_ends_are_made_level_one_by_one_and_both_on_one_line():
    shape = bracket(25)
    single = [ends(after) for after in moved(shape, LEVEL)]
    assert sorted(sum(line.ny == 0.0 for line in lines) for lines in single) == [1, 1]
    both = moved(shape, LEVEL_BOTH)
    # The middle of both ends lies at 60: what the upright line cuts off is what it adds.
    ((line,),) = [ends(after) for after in both]
    assert line == pytest.approx((1.0, 0.0, 60.0))
    assert drawn_shape(both[0]).area == pytest.approx(shape.area)


def test_an_end_that_slants_by_more_than_half_a_right_angle_and_some_is_left():
    assert all(line.ny != 0.0 for after in moved(bracket(60), LEVEL) for line in ends(after))


def test_a_corner_is_dropped_with_its_images_for_one_edge_in_place_of_two():
    """An octagon without one corner has the chord that cuts off a triangle: by the half product of two sides and the
    sine between them (elementary geometry)."""
    shape = octagon(50, 22.5)
    side = 100 * math.sin(math.pi / 8)
    corner = side * side * math.sin(math.pi / 4) / 2
    alone = moved(shape, CHORD)
    assert [len(after.edges) for after in alone] == [7] * 8
    assert [drawn_shape(after).area for after in alone] == pytest.approx([shape.area - corner] * 8)
    mirrored = moved(shape, CHORD, symmetry=Symmetry(x=60.0))
    assert [len(after.edges) for after in mirrored] == [6] * 8
    assert all(is_symmetric(drawn_shape(after), Symmetry(x=60.0)) for after in mirrored)
    # Of all four images at once only four corners are left.
    fourfold = moved(shape, CHORD, symmetry=Symmetry(x=60.0, y=60.0))
    assert {len(after.edges) for after in fourfold} == {4}


def test_what_is_too_far_is_brought_back_to_within_the_limit_or_stays_too_far():
    aim, found = target_of(CIRCLE).aim(), drawing(SQUARE)
    # The corners are √2 · 45 from the middle, the circle's radius is 50: they stand off by 13.6.
    assert beside(found, aim).farthest == pytest.approx(SIZE * (0.45 * math.sqrt(2) - 0.5), abs=0.1)
    near = [there.farthest for _, there in fitted(SQUARE, EASE, CIRCLE, farthest=12.5)]
    assert near
    assert max(near) <= 12.5
    # No square is as near to a circle as this: it would have to be 49.5 from the middle and √2 · 36.
    far = [there.farthest for _, there in fitted(SQUARE, EASE, CIRCLE, farthest=2.0)]
    assert min(far) > 2.0
    left = [after for after, _ in fitted(SQUARE, EASE, CIRCLE, farthest=14.0)]
    assert all(drawn_shape(after).equals_exact(drawn_shape(found), 1e-9) for after in left)  # is near enough


def test_a_notch_whose_side_begins_straight_and_bends_is_brought_back_to_its_tip():
    """The tip of a narrow notch is far off where its side is drawn along the straight beginning of a curve."""
    bend = [(20.0 - 2.5 * t * t, 60.0 * (1 - t) + 20.0 * t) for t in np.linspace(0, 1, 12)]
    outer = [(0.0, 0.0), (0.0, 95.0), (20.0, 95.0)]
    outline = Polygon([*outer, *bend, (44.0, 95.0), (60.0, 95.0), (60.0, 0.0)])
    slope = (44.0 - 17.5) / (95.0 - 20.0)
    figure = Polygon([*outer, (20.0, 20.0 + 2.5 / slope), (44.0, 95.0), (60.0, 95.0), (60.0, 0.0)])
    changed = {"size": 95.0, "farthest": 0.05 * 95}
    assert beside(drawing(figure), target_of(outline, **changed).aim()).farthest > 0.07 * 95
    kinds = (EASE, DROP, MERGE, LEVEL, CHORD)
    near = [
        there.farthest
        for kind in kinds
        for after, there in fitted(figure, kind, outline, **changed)
        if len(after.edges) == 7
    ]
    assert min(near) < 0.05 * 95


def test_a_line_that_just_misses_a_corner_is_moved_on_to_it_by_a_kind_of_moves_of_its_own():
    """The long side of a wedge passes a square's corner at √2 mm: shifted, or turned about its far end, it meets it."""
    figure = MultiPolygon([box(0, 0, 30, 30), Polygon([(32.0, 30.0), (60.0, 2.0), (70.0, 40.0)])])

    def sides(kind):  # of the wedge's long side, where it meets the corner
        lines = [
            line for after in moved(figure, kind) for line in drawn_lines(after) if line.nx * line.ny > 0.2
        ]
        return [line for line in lines if abs(line.side((30.0, 30.0))) < 1e-9]

    slopes = {round(math.degrees(math.atan2(line.ny, line.nx)) % 180, 6) for line in sides(SNAP)}
    turned = math.degrees(
        math.atan2(30.0, 28.0)
    )  # the normal of the line from the corner to the far end (60, 2)
    assert slopes == {45.0, round(turned, 6)}
    assert [sides(kind) for kind in (DROP, MERGE, LEVEL, CHORD)] == [[]] * 4


def test_counters_are_as_level_as_their_bowls():
    ring = MultiPolygon(
        [Point(0, 0).buffer(50, quad_segs=32).difference(Point(0, 0).buffer(20, quad_segs=32))]
    )
    prices = [(math.hypot(*crest.point) < 30, crest.price) for crest in find_crests(ring, 100.0)]
    # A point to the left or right is dear, one at the top or the foot, where the line of text is, dearer.
    assert sorted(prices) == [(False, BEAK)] * 2 + [(False, FOOT)] * 2 + [(True, BEAK)] * 4


def test_a_round_letter_stands_in_line_with_flat_ones():
    circle = MultiPolygon([Point(0, 0).buffer(50, quad_segs=32)])
    free = {(crest.along_x, crest.reach) for crest in find_crests(circle, 100.0)}
    held = {(crest.along_x, crest.reach) for crest in find_crests(circle, 100.0, [-49.0, 48.0])}
    assert held == {(True, OVERSHOOT), (False, NEAR)}
    assert free == {(True, NEAR), (False, NEAR)}


def test_a_bowl_ends_in_a_short_straight_but_a_corner_does_not():
    """A half ring with a flat of a twelfth of the size at its foot, and a wedge that ends as narrow."""
    turns = np.linspace(0, math.pi / 2, 24)
    right = [(4.0 + 40 * math.cos(t), 40 + 40 * math.sin(t)) for t in turns]
    bowl = [*right, *((-x, y) for x, y in reversed(right)), (-44, -20), (44, -20)]
    feet = [
        c.price for c in find_crests(MultiPolygon([Polygon(bowl)]), 100.0) if math.dist(c.point, (0, 80)) < 1
    ]
    assert feet == [FOOT]
    wedge = Polygon([(-40, 0), (-4, 80), (4, 80), (40, 0)])
    assert [c for c in find_crests(MultiPolygon([wedge]), 100.0) if math.dist(c.point, (0, 80)) < 1] == []


def test_a_straight_foot_stays_on_the_line_of_text_but_a_bar_may_shift():
    """A plate with a window: its foot a fortieth of the size too high, or the window's lower edge as much."""

    def plate(foot, sill):
        return Polygon(
            [(0, 0), (60, 0), (60, foot), (0, foot)], [[(15, 15), (45, 15), (45, sill), (15, sill)]]
        )

    outline = MultiPolygon([plate(100, 80)])
    aim = target_of(outline, crests=find_crests(outline, 100.0)).aim()
    figures = [drawing(plate(*at)) for at in ((100, 80), (99, 80), (97.5, 80), (100, 77.5))]
    assert [price_of_beaks(figure, corners_of(figure)[0], aim.crests) for figure in figures] == [
        0,
        0,
        TILT,
        0,
    ]
