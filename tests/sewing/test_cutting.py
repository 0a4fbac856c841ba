"""Parts of the block as the compiled loops cut and measure them: against the program's plain Python and shapely."""

import math
from random import Random

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Polygon

from converter.geometry import Line, convex_width, split_convex
from converter.sewing.cutting import split, width_of
from converter.sewing.spans import ON_LINE

seeds = st.integers(0, 2**32)
often = settings(derandomize=True, deadline=None, max_examples=100)


def convex(chance: Random) -> Polygon:
    """A convex polygon, some of its corners at whole millimetres."""
    digits = chance.choice((0, 3))
    while True:
        points = [
            (round(chance.uniform(0, 60), digits), round(chance.uniform(0, 90), digits)) for _ in range(9)
        ]
        hull = MultiPoint(points).convex_hull
        if isinstance(hull, Polygon) and hull.area > 5:
            return hull


def across(chance: Random, hull: Polygon) -> Line:
    """A line by chance, or through a corner, or along an edge."""
    corners = list(hull.exterior.coords[:-1])
    (px, py), (qx, qy) = chance.sample(corners, 2)
    if chance.random() < 0.5:
        qx, qy = chance.uniform(-10, 70), chance.uniform(-10, 100)
    if chance.random() < 0.3:
        px, py = chance.uniform(-10, 70), chance.uniform(-10, 100)
    length = math.hypot(qx - px, qy - py)
    nx, ny = (py - qy) / length, (qx - px) / length
    return Line(nx, ny, nx * px + ny * py)


def as_row(hull: Polygon):
    ring = np.array(hull.exterior.coords[:-1], dtype=float)
    return np.ascontiguousarray(ring), len(ring)


@given(seeds)
@often
def test_a_part_is_cut_in_two_as_in_plain_python_and_by_shapely(seed):
    chance = Random(seed)
    hull = convex(chance)
    line = across(chance, hull)
    ring, count = as_row(hull)
    plus, minus = np.full((count + 2, 2), -1.0), np.full((count + 2, 2), -1.0)
    found = split(ring, count, np.array(line), plus, minus)
    halves = [[tuple(row) for row in rows[:n].tolist()] for rows, n in zip((plus, minus), found, strict=True)]
    wanted = split_convex([tuple(p) for p in ring.tolist()], line, ON_LINE)
    assert found == tuple(map(len, wanted))
    for half, other in zip(halves, wanted, strict=True):
        assert np.array(half).reshape(-1, 2) == pytest.approx(np.array(other).reshape(-1, 2), abs=1e-12)
    far = 999.0
    foot, along, square = (
        np.array((line.nx, line.ny)) * line.d,
        np.array((-line.ny, line.nx)),
        np.array(line[:2]),
    )
    beyond = Polygon(
        [foot - far * along, foot + far * along, foot + far * (along + square), foot + far * (square - along)]
    )
    areas = [Polygon(half).area if half else 0.0 for half in halves]
    assert areas == pytest.approx([hull.intersection(beyond).area, hull.difference(beyond).area], abs=0.2)
    assert sum(areas) == pytest.approx(
        hull.area, abs=0.2
    )  # what hangs over by less than a hair belongs to both


@given(seeds)
@often
def test_a_part_is_as_wide_as_in_plain_python_and_by_its_rotating_bounds(seed):
    hull = convex(Random(seed))
    ring, count = as_row(hull)
    width = width_of(ring, count)
    assert width == pytest.approx(convex_width([tuple(p) for p in ring.tolist()]), abs=1e-9)
    # The least width of a convex polygon is between two parallel lines of which one runs along an edge: the turned
    # bounds by shapely, one edge after the other level.
    turned = [
        shapely.affinity.rotate(
            hull, -math.degrees(math.atan2(q[1] - p[1], q[0] - p[0])), origin=(0, 0)
        ).bounds
        for p, q in zip(hull.exterior.coords, hull.exterior.coords[1:], strict=False)
    ]
    assert width == pytest.approx(min(high - low for _, low, _, high in turned), abs=1e-6)


def test_what_has_no_corners_has_no_width():
    assert width_of(np.zeros((4, 2)), 0) == width_of(np.ones((4, 2)), 2) == 0.0
    assert width_of(np.array([(0.0, 0.0), (3.0, 0.0), (3.0, 4.0), (0.0, 4.0)]), 4) == 3.0
