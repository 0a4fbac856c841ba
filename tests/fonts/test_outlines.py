"""Outlines of shapes whose measures are known."""

import math
import pickle
from functools import reduce

import pathops
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from converter.fonts.flatten import flatten_contour
from converter.fonts.outlines import read_outline
from converter.fonts.winding import nonzero_union
from tests.fonts.makers import builder, cubic_disc, polygon, quadratic_disc, square, together


def area(polygons):
    return sum(shapely.Polygon(p[0], p[1:]).area for p in polygons)


def assert_sound(polygons):
    shapes = [shapely.Polygon(p[0], p[1:]) for p in polygons]
    for shape, rings in zip(shapes, polygons, strict=True):
        assert shape.is_valid
        assert all(ring[0] != ring[-1] for ring in rings)
        assert shapely.LinearRing(rings[0]).is_ccw
        assert not any(shapely.LinearRing(hole).is_ccw for hole in rings[1:])
    assert shapely.union_all(shapes).area == pytest.approx(sum(s.area for s in shapes))


# OpenType, glyf table: nonzero winding. Two squares 10 × 10, one direction, offset (5, 5): 175, not 150.
SQUARES = {
    "two that overlap, same direction": ([(0, 0, 10, True), (5, 5, 10, True)], 175, 1, 0),
    "two that overlap, both reversed": ([(0, 0, 10, False), (5, 5, 10, False)], 175, 1, 0),
    "one inside, opposite direction: a hole": ([(0, 0, 10, True), (2, 2, 5, False)], 75, 1, 1),
    "one inside, same direction: filled": ([(0, 0, 10, True), (2, 2, 5, True)], 100, 1, 0),
    "overlap in opposite directions cancels": ([(0, 0, 10, True), (5, 5, 10, False)], 150, 2, 0),
    "the same square twice": ([(0, 0, 10, True), (0, 0, 10, True)], 100, 1, 0),
    "the same square there and back": ([(0, 0, 10, True), (0, 0, 10, False)], 0, 0, 0),
    "apart": ([(0, 0, 10, True), (20, 0, 10, True)], 200, 2, 0),
    "side by side": ([(0, 0, 10, True), (10, 0, 10, True)], 200, 1, 0),
    "touching at a corner": ([(0, 0, 10, True), (10, 10, 10, True)], 200, 2, 0),
    "island in a hole": ([(0, 0, 30, True), (5, 5, 20, False), (10, 10, 10, True)], 600, 2, 1),
}


@pytest.mark.parametrize("name", SQUARES)
def test_squares_fill_by_nonzero_winding(load, name):
    squares, filled, parts, holes = SQUARES[name]
    font = load(builder({"A": together(*(square(*each) for each in squares))}, upem=64))
    outline = read_outline(font, "A", 0.1)
    assert area(outline.polygons) == filled  # exactly: whole numbers stay whole
    assert (len(outline.polygons), sum(len(p) - 1 for p in outline.polygons)) == (parts, holes)
    assert_sound(outline.polygons)
    assert outline.repairs == (("contours without area removed",) if not filled else ())


def test_joined_squares_lose_the_corners_inside_an_edge(load):
    font = load(builder({"A": together(square(0, 0, 10), square(10, 0, 10))}, upem=64))
    assert read_outline(font, "A", 0.1).polygons == ((((0, 0), (20, 0), (20, 10), (0, 10)),),)


@pytest.mark.parametrize(
    ("kind", "disc"), [("glyf", quadratic_disc), ("CFF", cubic_disc), ("CFF2", cubic_disc)]
)
def test_curves_keep_their_extrema_and_stay_within_the_tolerance(load, kind, disc):
    font = load(builder({"o": disc}, kind=kind))
    for tolerance in (20, 2, 0.2):
        outline = read_outline(font, "o", tolerance)
        assert outline.bounds == (0, 0, 400, 400)
        rim = shapely.Polygon(outline.polygons[0][0])
        fine = shapely.Polygon(read_outline(font, "o", 0.01).polygons[0][0])
        assert shapely.hausdorff_distance(rim, fine, densify=0.05) <= tolerance * 1.01 + 0.02
    if (
        kind != "glyf"
    ):  # the usual cubic circle is true to 0.03 % of the radius; its points are rounded to units
        assert fine.area == pytest.approx(math.pi * 200**2, rel=2e-3)


@given(
    st.lists(
        st.tuples(st.floats(-500, 500, width=32), st.floats(-500, 500, width=32)), min_size=3, max_size=4
    ),
    st.sampled_from([0.5, 5.0, 50.0]),
)
@settings(derandomize=True, deadline=None, max_examples=150)
def test_no_point_of_a_curve_is_further_from_its_chords_than_the_tolerance(curve, tolerance):
    chords = flatten_contour([tuple(curve)], tolerance)
    line = shapely.LineString([*chords, chords[0]]) if len(chords) > 1 else shapely.Point(curve[0])
    n = len(curve) - 1
    for step in range(101):
        t = step / 100
        weights = [math.comb(n, i) * t**i * (1 - t) ** (n - i) for i in range(n + 1)]
        point = [sum(w * p[axis] for w, p in zip(weights, curve, strict=True)) for axis in (0, 1)]
        assert line.distance(shapely.Point(point)) <= tolerance * 1.000001 + 1e-6


def simplified_area(path):
    """A simplified path's contours do not cross, so even-odd tells its area whatever their directions."""
    shapes = [shapely.Polygon([p for _, points in c.segments for p in points]) for c in path.contours]
    return reduce(shapely.symmetric_difference, map(shapely.make_valid, shapes), shapely.Polygon()).area


coordinate = st.integers(0, 40)
contour = st.lists(st.tuples(coordinate, coordinate), min_size=3, max_size=8)


@example([[(0, 0), (3, 0), (0, 1), (2, 0), (0, 3), (1, 0), (0, 2)]])  # a hole that touches the outer ring
@given(st.lists(contour, min_size=1, max_size=5))
@settings(derandomize=True, deadline=None, max_examples=200)
def test_random_tangles_fill_as_skia_fills_them(contours):
    # skia-pathops, nonzero (winding) fill: a general-purpose library that shares no code with this one
    path = pathops.Path(fillType=pathops.FillType.WINDING)
    for points in contours:
        pen = path.getPen()
        polygon(*points)(pen)
    path.simplify(fix_winding=True, keep_starting_points=False)
    polygons = nonzero_union(contours, 2**-12)
    assert_sound(polygons)
    assert area(polygons) == pytest.approx(simplified_area(path), abs=0.2)


def test_a_composite_is_placed_scaled_and_joined(load):
    def two_of_them(pen):
        pen.addComponent("b", (1, 0, 0, 1, 0, 0))
        pen.addComponent("b", (0.5, 0, 0, 0.5, 75, 25))

    font = load(builder({"b": square(0, 0, 100), "A": two_of_them}))
    outline = read_outline(font, "A", 1)
    assert area(outline.polygons) == 100 * 100 + 25 * 50
    assert len(outline.polygons) == 1


def test_a_component_may_hang_on_a_point_instead_of_an_offset(load):
    def chained(pen):
        pen.addComponent("b", (1, 0, 0, 1, 0, 0))
        pen.addComponent("b", (1, 0, 0, 1, 0, 0))

    font = builder({"b": square(0, 0, 100), "A": chained})
    part = font.font["glyf"]["A"].components[1]
    del part.x, part.y
    part.flags &= ~0x0002  # ARGS_ARE_XY_VALUES
    part.firstPt, part.secondPt = 2, 0  # the second square's first corner lies on the first one's top right
    outline = read_outline(load(font), "A", 1)
    assert outline.bounds == (0, 0, 200, 200)


def test_what_was_broken_is_told(load):
    bow_tie = polygon((0, 0), (100, 100), (100, 0), (0, 100))
    font = load(
        builder(
            {
                "A": together(square(0, 0, 500), square(700, 0, 1)),
                "B": bow_tie,
                "C": square(0, 0, 500),
                "D": polygon((0, 0), (100, 100)),
                "E": lambda _: None,
            }
        )
    )
    assert read_outline(font, "A", 1).repairs == ("1 speck too small to see removed",)
    assert read_outline(font, "B", 1).repairs == ("1 contour crossing itself resolved by nonzero winding",)
    assert area(read_outline(font, "B", 1).polygons) == 5000
    assert read_outline(font, "C", 1).repairs == ()
    assert read_outline(font, "D", 1).repairs == ("contours without area removed",)
    assert read_outline(font, "E", 1).kind == "blank"
    assert read_outline(font, "E", 1).bounds is None


def test_an_outline_travels_between_processes(load):
    outline = read_outline(load(builder({"o": quadratic_disc})), "o", 1)
    assert pickle.loads(pickle.dumps(outline)) == outline
    assert outline.advance == 600


def test_a_tolerance_must_be_positive(load):
    font = load(builder({"o": quadratic_disc}))
    for nonsense in (0, -1, math.nan, math.inf):
        with pytest.raises(ValueError, match="tolerance"):
            read_outline(font, "o", nonsense)
