"""Lines moved to where the samples of the outline want them, on shapes whose answer geometry or numpy gives."""

import math
from itertools import pairwise

import numpy as np
import pytest
from shapely.geometry import Point, Polygon, box

from converter.straighten.cost.nearest import RUN_SHARE, SQUARED_WITHIN, beside, carry_runs, refitted
from converter.straighten.outline.symmetry import Symmetry, is_symmetric
from converter.straighten.search.explore import settled
from tests.straighten.shapes import NONE, drawing, drawn_lines, drawn_shape, target_of

SIZE = 100.0
CIRCLE = Point(60, 60).buffer(SIZE / 2, quad_segs=64)


def refit(found, aim, times: int):
    for _ in range(times):
        found = refitted(found, beside(found, aim), aim)
    return found


def octagon(apothem: float) -> Polygon:
    radius = apothem / math.cos(math.pi / 8)
    turns = [math.radians(22.5 + 45 * k) for k in range(8)]
    return Polygon([(60 + radius * math.cos(t), 60 + radius * math.sin(t)) for t in turns])


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
    figure = Polygon(corners * 1.03)
    weights = rng.uniform(0.5, 2.0, 4 * 36)
    aim = target_of(figure).aim()._replace(points=np.concatenate(sides), weights=weights)
    found = drawing(figure)
    before_lines, after_lines = drawn_lines(found), drawn_lines(refit(found, aim, 1))
    for side, own in zip(sides, np.split(weights, 4), strict=True):
        centre = side.mean(axis=0)
        before = min(before_lines, key=lambda line, at=centre: abs(line.side(at)))
        weight = own / (np.abs([before.side(point) for point in side]) + SQUARED_WITHIN * SIZE)
        middle = np.average(side, axis=0, weights=weight)
        normal = np.linalg.svd((side - middle) * np.sqrt(weight)[:, None])[2][1]
        line = min(after_lines, key=lambda line, at=middle: abs(line.side(at)))
        assert abs(line.side(middle)) < 1e-9
        assert abs(line.nx * normal[1] - line.ny * normal[0]) < 1e-9


def test_an_edge_across_a_curve_leaves_the_least_area_between_them():
    """Across y = x²/2 from -1 to 1 the best level line is y = 1/8, with as much of the curve above as below it: by
    calculus, since the area between them is ∫|x²/2 - y| dx. The least squares would be at the mean, y = 1/6."""
    scale = 40.0
    x = np.linspace(-1, 1, 401)
    points = np.stack([scale * x, scale * x * x / 2], axis=1)
    block = Polygon([(scale * u, scale * v) for u, v in ((-1.0, 0.3), (1.0, 0.3), (1.0, -2.0), (-1.0, -2.0))])
    aim = target_of(block).aim()._replace(points=points, weights=np.ones(401))
    top = max(line.d for line in drawn_lines(refit(drawing(block), aim, 20)) if line.nx == 0)
    assert top / scale == pytest.approx(1 / 8, abs=0.01)


@pytest.mark.parametrize("apothem", [0.95, 0.97, 1.0])
def test_an_octagon_about_a_circle_becomes_nearly_the_truest_there_is(apothem):
    """A side is best where half of it runs inside the circle: the half chord is half of the half side, a·tan 22.5°,
    so that a = r / √(1 + tan² 22.5° / 4) (elementary geometry). The least squares are at sin 22.5° / (π / 8) of r."""
    symmetry = Symmetry(x=60.0, y=60.0)
    aim = target_of(CIRCLE, symmetry).aim()
    start = drawing(octagon(apothem * SIZE / 2), symmetry)
    after = drawn_shape(refit(start, aim, 30))
    best = SIZE / 2 / math.sqrt(1 + math.tan(math.pi / 8) ** 2 / 4)
    squares = SIZE / 2 * math.sin(math.pi / 8) / (math.pi / 8)
    ring = list(after.geoms[0].exterior.coords)
    assert len(ring) == 9
    apothems = [math.dist((60, 60), ((px + qx) / 2, (py + qy) / 2)) for (px, py), (qx, qy) in pairwise(ring)]
    assert apothems == pytest.approx([best] * 8, abs=(best - squares) / 2)
    assert is_symmetric(after, symmetry)


@pytest.mark.parametrize("symmetry", [NONE, Symmetry(x=60.0, y=60.0)])
@pytest.mark.parametrize("factor", [0.93, 1.06])
def test_fits_lower_the_area_between_figure_and_outline(symmetry, factor):
    aim = target_of(CIRCLE, symmetry).aim()
    start = drawing(octagon(factor * SIZE / 2), symmetry)
    after, fit, fine, _ = settled(start, math.inf, math.inf, math.inf, aim)
    assert fine
    there = [CIRCLE.symmetric_difference(drawn_shape(each)).area for each in (start, after)]
    assert there[1] < 0.5 * there[0]
    assert fit.area_off < beside(start, aim).area_off


def test_what_is_level_and_straight_in_the_font_stays():
    house = Polygon([(10, 110), (10, 50), (60, 10), (110, 50), (110, 110)])
    askew = Polygon([(10, 110), (10, 53), (60, 14), (110, 53), (110, 110)])
    symmetry = Symmetry(x=60.0)
    aim = target_of(house, symmetry).aim()
    found = drawing(askew, symmetry)
    runs = carry_runs(found, beside(found, aim), aim, RUN_SHARE)
    assert {tuple(line[:2]) for line, run in zip(found.lines.tolist(), runs, strict=True) if run} == {
        (1, 0),
        (0, 1),
    }
    after = drawn_shape(refit(found, aim, 5))
    left, _, right, bottom = after.bounds
    assert (left, right, bottom) == (10, 110, 110)
    assert house.symmetric_difference(after).area < 0.2 * house.symmetric_difference(askew).area
    assert is_symmetric(after, symmetry)


def test_a_level_line_stays_level_and_a_slanted_one_does_not_become_nearly_so():
    hill = Polygon([(10, 110), (10, 60), (60, 40), (110, 60), (110, 110)])
    flat = Polygon([(10, 110), (10, 60), (60, 59.9), (110, 60), (110, 110)])  # slopes of a tenth of a degree
    after = refit(drawing(hill), target_of(flat).aim(), 10)
    for line in drawn_lines(after):
        assert line.is_level or min(abs(line.nx), abs(line.ny)) > 0.03
    plate = refit(drawing(box(10, 42, 110, 110)), target_of(hill).aim(), 5)
    assert all(line.is_level for line in drawn_lines(plate))
