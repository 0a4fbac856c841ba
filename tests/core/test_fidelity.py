"""Likeness of shapes, against shapely's own documentation and areas done by hand."""

import math
from random import Random

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from converter.fidelity import hausdorff, iou


def test_iou_by_hand():
    assert iou(box(0, 0, 2, 2), box(1, 0, 3, 2)) == pytest.approx(2 / 6)
    assert iou(box(0, 0, 2, 2), box(0, 0, 2, 2)) == pytest.approx(1)
    assert iou(box(0, 0, 2, 2), box(5, 5, 6, 6)) == 0
    assert iou(Polygon(), Polygon()) == 0


def test_iou_is_never_more_than_one_though_a_grid_moves_the_intersection():
    # shapely, `set_precision`: the grid stays with the shape, and results of overlays are rounded to it.
    gridded, inner = shapely.set_precision(box(0, 0, 10, 10), 1.0), box(0, 0, 9.6, 9.6)
    assert shapely.intersection(gridded, inner).area == 100.0
    assert iou(gridded, inner) == iou(inner, gridded) == pytest.approx(0.9216)


@given(st.floats(1e-12, 1e-3), st.floats(0.0, 90.0), st.sampled_from((0.0, 1e-4, 0.1)))
@settings(derandomize=True, deadline=None)
def test_iou_of_shapes_that_agree_but_for_rounding_is_one_at_most(off, degrees, grid):
    leaf = affinity.rotate(Polygon([(0, 0), (40, 10), (60, 50), (20, 40)]), degrees)
    other = shapely.set_precision(affinity.translate(affinity.scale(leaf, 1 + off, 1), off, -off), grid)
    assert 0.99 < iou(leaf, other) <= 1.0
    assert 0.99 < iou(other, leaf) <= 1.0


# shapely.hausdorff_distance's documentation: LINESTRING (130 0, 0 0, 0 150) and (10 10, 10 150, 130 10) are
# 14.14 apart by their corners alone, and 70.0 with densify=0.5 (which looks at the middle of each side too).
ELL, ZIG = [(130, 0), (0, 0), (0, 150)], [(10, 10), (10, 150), (130, 10)]
TRUTH = (
    10 + 120 * 7 / 13
)  # where the slanted side, (10 + 120 t, 150 − 140 t), is as far from both legs: t = 7/13


def test_what_shapely_says_of_its_own_example():
    a, b = shapely.LineString(ELL), shapely.LineString(ZIG)
    assert shapely.hausdorff_distance(a, b) == pytest.approx(math.sqrt(200), abs=1e-3)
    assert shapely.hausdorff_distance(a, b, densify=0.5) == pytest.approx(70.0)
    assert shapely.hausdorff_distance(a, b, densify=0.001) == pytest.approx(TRUTH, abs=0.1)


def test_hausdorff_sees_between_corners_and_between_their_middles():
    # The same two lines, each as the outline of a hair.
    a, b = (
        shapely.LineString(line).buffer(1e-6, cap_style="flat", join_style="mitre") for line in (ELL, ZIG)
    )
    assert hausdorff(a, b, step=0.1) == pytest.approx(TRUTH, abs=0.05)


@pytest.mark.parametrize(
    ("a", "b", "distance"),
    [
        (box(0, 0, 10, 10), box(0, 0, 10, 13), 3.0),
        (box(0, 0, 10, 10), box(2, 2, 8, 8), math.sqrt(8)),
        (box(0, 0, 30, 30), box(0, 0, 30, 30).difference(box(10, 10, 20, 20)), 10.0),  # a hole lost is seen
        (box(0, 0, 10, 10), box(0, 0, 10, 10), 0.0),
    ],
)
def test_hausdorff_by_hand(a, b, distance):
    assert hausdorff(a, b, step=0.2) == pytest.approx(distance, abs=0.1)
    assert hausdorff(a, b, step=0.2) == hausdorff(b, a, step=0.2)


def test_hausdorff_is_short_of_the_truth_by_less_than_half_a_step():
    circle, square = Point(0, 0).buffer(10, quad_segs=64), box(-10, -10, 10, 10)
    truth = 10 * math.sqrt(2) - 10
    for step in (0.4, 2.0):
        assert truth - step / 2 < hausdorff(circle, square, step) <= truth + 0.01


@pytest.mark.parametrize("step", [0.4, 3.0])
def test_hausdorff_leaves_out_no_point_that_could_be_farther(step):
    """Against the distances of all points, by shapely: on stars whose farthest points may be anywhere."""
    random, turns = Random(7), [k * math.tau / 9 for k in range(9)]
    for _ in range(40):
        radii = [[random.uniform(20, 40) for _ in turns] for _ in range(2)]
        a, b = (
            Polygon([(r * math.cos(t), r * math.sin(t)) for r, t in zip(row, turns, strict=True)])
            for row in radii
        )
        along = [
            shapely.points(shapely.get_coordinates(shapely.segmentize(s.boundary, step))) for s in (a, b)
        ]
        every = max(
            shapely.distance(along[0], b.boundary).max(), shapely.distance(along[1], a.boundary).max()
        )
        assert hausdorff(a, b, step) == every
