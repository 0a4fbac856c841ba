"""Lines and convex polygons, against shapely and sums done by hand."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Polygon

from converter.geometry import (
    Line,
    convex_width,
    corner_degrees,
    line_through,
    meet,
    signed_area,
    split_convex,
    without_flat_corners,
)

coordinates = st.floats(-100, 100, allow_nan=False).map(lambda v: round(v, 3))
points = st.tuples(coordinates, coordinates)


@st.composite
def convex_rings(draw):
    hull = MultiPoint(draw(st.lists(points, min_size=3, max_size=9))).convex_hull
    if not isinstance(hull, Polygon) or hull.area < 1 or convex_width(list(hull.exterior.coords[:-1])) < 0.1:
        return ((0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (0.0, 5.0))
    ring = tuple(hull.exterior.coords[:-1])
    return ring if draw(st.booleans()) else ring[::-1]


@given(points, points, points)
@settings(derandomize=True, deadline=None)
def test_side_is_the_distance_that_shapely_measures(p, q, r):
    if math.dist(p, q) < 0.1:
        return
    line = line_through(p, q)
    assert line == line_through(q, p)
    assert math.hypot(line.nx, line.ny) == pytest.approx(1)
    ux, uy = (q[0] - p[0]) / math.dist(p, q) * 1e4, (q[1] - p[1]) / math.dist(p, q) * 1e4
    long = shapely.LineString([(p[0] - ux, p[1] - uy), (p[0] + ux, p[1] + uy)])
    assert abs(line.side(r)) == pytest.approx(long.distance(shapely.Point(r)), abs=1e-6)


def test_level_lines_are_level_exactly():
    assert line_through((0.1, 5.3), (7.7, 5.3)) == Line(0.0, 1.0, 5.3)
    assert line_through((5.3, 9.1), (5.3, 0.7)) == Line(1.0, 0.0, 5.3)


def test_parallel_lines_do_not_meet():
    assert meet(Line(0.0, 1.0, 1.0), Line(0.0, 1.0, 2.0)) is None
    assert meet(Line(0.0, 1.0, 1.0), Line(1.0, 0.0, 2.0)) == (2.0, 1.0)


@given(convex_rings(), points, points)
@settings(derandomize=True, deadline=None)
def test_the_parts_of_a_split_tile_the_polygon_on_their_sides(ring, p, q):
    if math.dist(p, q) < 0.1:
        return
    line = line_through(p, q)
    plus, minus = split_convex(ring, line, 1e-3)
    areas = [Polygon(part).area if part else 0.0 for part in (plus, minus)]
    assert sum(areas) == pytest.approx(Polygon(ring).area, abs=1e-2)
    assert all(line.side(corner) >= -1e-3 for corner in plus)
    assert all(line.side(corner) <= 1e-3 for corner in minus)
    new = (set(plus) | set(minus)) - set(ring)
    assert new <= set(plus)
    assert not (plus and minus) or new <= set(minus)


@given(convex_rings())
@settings(derandomize=True, deadline=None)
def test_width_is_the_least_extent_over_all_directions(ring):
    def extent(angle):
        along = [x * math.cos(angle) + y * math.sin(angle) for x, y in ring]
        return max(along) - min(along)

    sampled = min(extent(k * math.pi / 720) for k in range(720))
    width = convex_width(ring)
    assert width <= sampled + 1e-9
    # Turning by half a step (1/1440 of a full turn) cannot narrow it by more than diameter × angle.
    assert width >= sampled - 300 * math.pi / 1440


@pytest.mark.parametrize(
    ("ring", "width"),
    [
        (((0, 0), (3, 0), (3, 7), (0, 7)), 3.0),
        (((0, 0), (4, 0), (0, 3)), 2.4),  # the height over the side of 5: 3 · 4 / 5
        (((0, 0), (1, 0), (0.5, math.sqrt(3) / 2)), math.sqrt(3) / 2),
    ],
)
def test_width_by_hand(ring, width):
    assert convex_width(ring) == pytest.approx(width)


@given(convex_rings())
@settings(derandomize=True, deadline=None)
def test_the_angles_of_a_polygon_add_up(ring):
    # Euclid, Elements I.32: the angles of an n-gon add up to (n − 2) · 180°.
    assert sum(corner_degrees(ring)) == pytest.approx((len(ring) - 2) * 180)


@given(convex_rings())
@settings(derandomize=True, deadline=None)
def test_signed_area_is_shapelys_with_the_sense_as_sign(ring):
    assert abs(signed_area(ring)) == pytest.approx(Polygon(ring).area)
    assert (signed_area(ring) > 0) == shapely.LinearRing(ring).is_ccw


def test_flat_corners_go_and_others_stay():
    square = ((0.0, 0.0), (5.0, 0.0), (10.0, 0.0), (10.0, 10.0), (5.0, 10.00001), (0.0, 10.0), (0.0, 5.0))
    assert set(without_flat_corners(square, 1e-3)) == {(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)}
    bent = ((0.0, 0.0), (5.0, -0.1), (10.0, 0.0), (10.0, 10.0))
    assert without_flat_corners(bent, 1e-3) == bent
