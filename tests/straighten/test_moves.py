"""Moves of a drawing's lines, on shapes whose answer geometry gives."""

import math

import numpy as np
import pytest
from converter.straighten.drawing import line_drawing, shape_of
from converter.straighten.measured import Samples, measured, sample_outline
from converter.straighten.moves import LEFT, Aim, _bevelled, _chords, _levels, bevels, moves, snaps
from converter.straighten.refit import SQUARED_WITHIN, eased, refitted
from shapely.geometry import MultiPolygon, Point, Polygon

from converter.geometry import line_through
from converter.straighten.outline.crests import BEAK, FOOT, POINT, TILT, find_crests, price_of_beaks
from converter.straighten.outline.symmetry import Symmetry
from tests.sewing.figures import figure_of

SIZE = 100.0
CIRCLE = MultiPolygon([Point(0, 0).buffer(SIZE / 2, quad_segs=64)])
SAMPLES = sample_outline(CIRCLE, SIZE / 60)


def square(half):
    return (((((-half, -half), (half, -half), (half, half), (-half, half))),),)


def all_pay(fit, left):
    return True


def drawings(kind, symmetry, pays=all_pay):
    drawing = line_drawing(square(SIZE * 0.45), symmetry)
    assert drawing is not None
    return [moved.drawing for moved in kind(drawing, Aim(SAMPLES, SIZE, SIZE, pays)) if moved is not None]


def shared(drawing):
    shape = shape_of(drawing.figure())
    return shape.intersection(CIRCLE).area / shape.union(CIRCLE).area


def test_a_square_about_a_circle_is_bevelled_to_an_octagon_on_all_images_at_once():
    (octagon,) = drawings(bevels, Symmetry(x=0.0, y=0.0))
    assert [len(row) for row in octagon.rings] == [8]
    # The regular octagon of a circle's area: its apothem is √(π / (8 tan 22.5°)) of the radius (elementary geometry).
    apothem = SIZE / 2 * math.sqrt(math.pi / (8 * math.tan(math.pi / 8)))
    assert [abs(line.d) for line in octagon.lines] == pytest.approx([apothem] * 8, rel=0.02)
    assert shared(octagon) > 0.95


def test_without_symmetry_each_corner_is_bevelled_by_itself():
    found = drawings(bevels, Symmetry())
    assert [[len(row) for row in drawing.rings] for drawing in found] == [[5]] * 4
    before = line_drawing(square(SIZE * 0.45), Symmetry())
    assert all(shared(drawing) > shared(before) for drawing in found)


def test_a_corner_at_the_outline_is_not_bevelled():
    corners = MultiPolygon([shape_of(square(40.0)).geoms[0]])
    drawing = line_drawing(figure_of(corners), Symmetry())
    assert list(bevels(drawing, Aim(sample_outline(corners, 2.0), SIZE, SIZE, all_pay))) == []


def test_a_move_that_cannot_pay_is_given_up_once_it_is_measured():
    asked = []

    def pays(fit, left):
        asked.append((fit.area_off, left))
        return False

    assert drawings(bevels, Symmetry(), pays) == []
    # A square with a corner off its bevel, beside the circle: what the four sides leave, and three corners more.
    half, radius = SIZE * 0.45, SIZE / 2
    cap = radius**2 * math.acos(half / radius) - half * math.sqrt(radius**2 - half**2)  # circular segment (elementary)
    assert [left for _, left in asked] == [LEFT[0]] * 4
    assert all(area > 4 * cap for area, _ in asked)


def test_the_area_off_is_about_what_polygons_say():
    octagon = line_drawing(((regular(8, SIZE / 2),),), Symmetry())
    fit = measured(octagon, SAMPLES)
    # shapely, a general-purpose library, as the outside check.
    exact = CIRCLE.symmetric_difference(shape_of(octagon.figure())).area
    assert fit.area_off == pytest.approx(exact, rel=0.05)


def regular(n, radius):
    return tuple((radius * math.cos(2 * math.pi * k / n), radius * math.sin(2 * math.pi * k / n)) for k in range(n))


def test_no_other_move_adds_a_line():
    assert all(len(row) <= 4 for drawing in drawings(moves, Symmetry()) for row in drawing.rings)


def bracket(turn):
    """A [ whose two ends, to the right, slant by ``turn`` (degrees) to either side."""
    slant = math.tan(math.radians(turn)) * 5
    return (
        (
            (
                (0.0, 0.0), (40.0 - slant, 0.0), (40.0 + slant, 10.0), (10.0, 10.0),
                (10.0, 50.0), (40.0 + slant, 50.0), (40.0 - slant, 60.0), (0.0, 60.0),
            ),
        ),
    )  # fmt: skip


def ends(drawing):
    """The lines on which the two ends of a bracket lie."""
    lines = [drawing.lines[k] for row in drawing.rings for k in row]
    return {line for line in lines if abs(line.d) > 20 and line.nx}


def test_slanted_ends_are_made_level_one_by_one_and_both_on_one_line():
    figure = bracket(25)
    outline = shape_of(figure)
    drawing = line_drawing(figure, Symmetry())
    found = [
        moved.drawing
        for moved in moves(drawing, Aim(sample_outline(outline, 1.0), 60.0, 60.0, all_pay))
        if moved is not None and moved.drawing.figure() is not None
    ]
    upright = [sum(line.ny == 0.0 for line in ends(moved)) for moved in found]
    assert 1 in upright
    both = [m for m in found if len(ends(m)) == 1 and all(line.ny == 0.0 for line in ends(m))]
    # The middle of both ends lies at 40: what the upright line cuts off is what it adds.
    assert both
    assert [abs(line.d) for line in ends(both[0])] == pytest.approx([40.0], abs=0.6)
    assert shape_of(both[0].figure()).area == pytest.approx(outline.area, rel=0.01)


def test_an_end_that_slants_by_more_than_half_a_right_angle_and_some_is_left():
    drawing = line_drawing(bracket(60), Symmetry())
    assert {line.ny == 0.0 for moved in _levels(drawing, 60.0) for line in ends(moved)} == {False}


def test_a_bevel_through_the_next_corner_leaves_no_corner_twice():
    drawing = line_drawing(square(SIZE * 0.45), Symmetry())
    (ring,) = drawing.figure()[0]
    there = _bevelled(drawing, [(ring[1], line_through(ring[0], ring[2]))]).figure()[0][0]
    assert len(there) == len(set(there)) == 3


def test_a_corner_is_dropped_with_its_images_for_one_edge_in_place_of_two():
    """An octagon without one corner has the chord that cuts off a triangle: by the half product of two sides and the
    sine between them (elementary geometry)."""
    turns = [math.radians(22.5 + 45 * k) for k in range(8)]
    octagon = (((tuple((50 * math.cos(t), 50 * math.sin(t)) for t in turns)),),)
    side = 100 * math.sin(math.pi / 8)
    whole, corner = shape_of(octagon).area, side * side * math.sin(math.pi / 4) / 2
    alone = list(_chords(line_drawing(octagon, Symmetry())))
    assert [len(drawing.rings[0]) for drawing in alone] == [7] * 8
    areas = [shape_of(drawing.figure()).area for drawing in alone]
    assert areas == pytest.approx([whole - corner] * 8)
    mirrored = list(_chords(line_drawing(octagon, Symmetry(x=0.0))))
    assert [len(drawing.rings[0]) for drawing in mirrored] == [6] * 4
    # Of all four images at once only four corners are left, and a square: here twice.
    assert [len(d.rings[0]) for d in _chords(line_drawing(octagon, Symmetry(x=0.0, y=0.0)))] == [4, 4]


def test_what_is_too_far_is_brought_back_to_within_the_limit_or_given_up():
    drawing = line_drawing(square(SIZE * 0.45), Symmetry())
    fit = measured(drawing, SAMPLES)
    # The corners are √2 · 45 from the middle, the circle's radius is 50: they stand off by 13.6.
    assert fit.farthest == pytest.approx(SIZE * (0.45 * math.sqrt(2) - 0.5), abs=0.1)
    assert eased(fit, SIZE, 14.0) is None  # is near enough
    near = eased(fit, SIZE, 12.5)
    assert near.farthest <= 12.5
    far = eased(fit, SIZE, 2.0)  # no square is as near to a circle as this
    assert far is None or far.farthest > 2.0


def test_lines_are_refitted_where_orthogonal_regression_puts_them():
    """Against numpy's singular value decomposition, on points with noise (seeded) about a slanted square's sides.

    Each point weighs less, the farther it is from the side as it was.
    """
    rng = np.random.default_rng(5)
    turn = math.radians(11)
    rotation = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    corners = np.array([(-40, -40), (40, -40), (40, 40), (-40, 40)]) @ rotation.T
    sides = [
        np.linspace(p, q, 40)[2:-2] + rng.normal(0, 1.0, (36, 2))
        for p, q in zip(corners, np.roll(corners, -1, axis=0), strict=True)
    ]
    figure = ((tuple((float(x), float(y)) for x, y in corners * 1.03),),)
    drawing = line_drawing(figure, Symmetry())
    weights = rng.uniform(0.5, 2.0, 4 * 36)
    after = refitted(measured(drawing, Samples(np.concatenate(sides), weights)), SIZE).drawing
    for side, own in zip(sides, np.split(weights, 4), strict=True):
        centre = side.mean(axis=0)
        before = min(drawing.lines, key=lambda found, at=centre: abs(found.side(at)))
        weight = own / (np.abs([before.side(point) for point in side]) + SQUARED_WITHIN * SIZE)
        middle = np.average(side, axis=0, weights=weight)
        normal = np.linalg.svd((side - middle) * np.sqrt(weight)[:, None])[2][1]
        line = min(after.lines, key=lambda found, at=middle: abs(found.side(at)))
        assert abs(line.side(middle)) < 1e-9
        assert abs(line.nx * normal[1] - line.ny * normal[0]) < 1e-9


def test_an_edge_across_a_curve_leaves_the_least_area_between_them():
    """Across y = x²/2 from -1 to 1 the best level line is y = 1/8, with as much of the curve above as below it: by
    calculus, since the area between them is ∫|x²/2 - y| dx. The least squares would be at the mean, y = 1/6."""
    scale = 40.0
    x = np.linspace(-1, 1, 401)
    points = np.stack([scale * x, scale * x * x / 2], axis=1)
    block = tuple((scale * u, scale * v) for u, v in ((-1.0, 0.3), (1.0, 0.3), (1.0, -2.0), (-1.0, -2.0)))
    fit = measured(line_drawing(((block,),), Symmetry()), Samples(points, np.ones(401)))
    for _ in range(20):
        fit = refitted(fit, SIZE)
    lines = [line for line in fit.drawing.lines if line.nx == 0]
    top = max(-line.d * line.ny if line.ny < 0 else line.d * line.ny for line in lines)
    assert top / scale == pytest.approx(1 / 8, abs=0.01)


def test_a_notch_whose_side_begins_straight_and_bends_is_brought_back_to_its_tip():
    """The tip of a narrow notch is far off where its side is drawn along the straight beginning of a curve."""
    bend = [(20.0 - 2.5 * t * t, 60.0 * (1 - t) + 20.0 * t) for t in np.linspace(0, 1, 12)]
    ring = [(0.0, 0.0), (0.0, 95.0), (20.0, 95.0), *bend, (44.0, 95.0), (60.0, 95.0), (60.0, 0.0)]
    outline = MultiPolygon([Polygon(ring)])
    samples = sample_outline(outline, 1.6)
    slope = (44.0 - 17.5) / (95.0 - 20.0)
    drawn = [(0.0, 0.0), (0.0, 95.0), (20.0, 95.0), (20.0, 20.0 + 2.5 / slope), (44.0, 95.0), (60.0, 95.0), (60.0, 0.0)]
    drawing = line_drawing(((tuple(drawn),),), Symmetry())
    assert measured(drawing, samples).farthest > 0.07 * 95
    near = [
        moved.farthest
        for moved in moves(drawing, Aim(samples, 95.0, 0.05 * 95, all_pay))
        if moved is not None and len(moved.drawing.rings[0]) == 7
    ]
    assert min(near) < 0.05 * 95


def test_a_line_that_just_misses_a_corner_is_moved_on_to_it_by_a_kind_of_moves_of_its_own():
    """The long side of a wedge passes a square's corner at √2 mm: shifted, or turned about its far end, it meets it."""
    square_corners = ((0.0, 0.0), (30.0, 0.0), (30.0, 30.0), (0.0, 30.0))
    wedge = ((32.0, 30.0), (60.0, 2.0), (70.0, 40.0))
    corner = (30.0, 30.0)
    figure = ((square_corners,), (wedge,))
    drawing = line_drawing(figure, Symmetry())
    samples = sample_outline(shape_of(figure), 2.0)

    def sides(kind):  # of the wedge's long side, where it meets the corner
        found = [m.drawing.lines for m in kind(drawing, Aim(samples, SIZE, SIZE, all_pay)) if m is not None]
        lines = [line for lines in found for line in lines if line.nx * line.ny > 0.2]
        return [line for line in lines if abs(line.side(corner)) < 1e-9]

    met = sides(snaps)
    slopes = {round(math.degrees(math.atan2(line.ny, line.nx)) % 180, 6) for line in met}
    turned = math.degrees(math.atan2(30.0, 28.0))  # the normal of the line from the corner to the far end (60, 2)
    assert slopes == {45.0, round(turned, 6)}
    assert sides(moves) == []


def test_only_a_round_counter_may_be_pointed_at_little_cost():
    round_counter = Point(0, 0).buffer(20, quad_segs=32)
    ring = MultiPolygon([Point(0, 0).buffer(50, quad_segs=32).difference(round_counter)])
    prices = [(math.hypot(*crest.point) < 30, crest.price) for crest in find_crests(ring, 100.0)]
    # A point to the left or right is dear, one at the top or the foot, where the line of text is, dearer.
    assert sorted(prices) == [(False, BEAK)] * 2 + [(False, FOOT)] * 2 + [(True, POINT)] * 4
    half = round_counter.intersection(Polygon([(0, -30), (30, -30), (30, 30), (0, 30)]))
    with_corners = MultiPolygon([Point(0, 0).buffer(50, quad_segs=32).difference(half)])
    inside = [c.price for c in find_crests(with_corners, 100.0) if math.hypot(*c.point) < 30]
    assert POINT not in inside


def test_a_bowl_ends_in_a_short_straight_but_a_corner_does_not():
    """A half ring with a flat of a twelfth of the size at its foot, and a wedge that ends as narrow."""
    turns = np.linspace(0, math.pi / 2, 24)
    right = [(4.0 + 40 * math.cos(t), 40 + 40 * math.sin(t)) for t in turns]
    bowl = [*right, *((-x, y) for x, y in reversed(right)), (-44, -20), (44, -20)]
    feet = [c.price for c in find_crests(MultiPolygon([Polygon(bowl)]), 100.0) if math.dist(c.point, (0, 80)) < 1]
    assert feet == [FOOT]
    wedge = Polygon([(-40, 0), (-4, 80), (4, 80), (40, 0)])
    assert [c for c in find_crests(MultiPolygon([wedge]), 100.0) if math.dist(c.point, (0, 80)) < 1] == []


def test_a_straight_foot_stays_on_the_line_of_text_but_a_bar_may_shift():
    """A plate with a window: its foot a fortieth of the size too high, or the window's lower edge as much."""

    def plate(foot, sill):
        return Polygon([(0, 0), (60, 0), (60, foot), (0, foot)], [[(15, 15), (45, 15), (45, sill), (15, sill)]])

    crests = find_crests(MultiPolygon([plate(100, 80)]), 100.0)
    prices = [
        price_of_beaks(figure_of(plate(*at)), crests, 100.0)
        for at in ((100, 80), (99, 80), (97.5, 80), (100, 77.5))
    ]
    assert prices == [0, 0, TILT, 0]
