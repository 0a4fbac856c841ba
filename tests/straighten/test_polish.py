"""The last hairs: where lines come to lie, on shapes whose answer geometry gives."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from converter.straighten.drawing import line_drawing
from converter.straighten.polish import STEPS, polished
from shapely.geometry import MultiPolygon, Point, Polygon

from converter.polygons import rings_of
from converter.straighten import polish
from converter.straighten.finish.verdict import judged
from converter.straighten.outline.symmetry import Symmetry
from tests.straighten.shapes import JUDGED_SIZE as SIZE
from tests.straighten.shapes import judge_of

CENTRE = (60.0, 60.0)
CIRCLE = MultiPolygon([Point(CENTRE).buffer(SIZE / 2, quad_segs=64)])


def octagon(apothem):
    radius = apothem / math.cos(math.pi / 8)
    turns = [math.radians(22.5 + 45 * k) for k in range(8)]
    return MultiPolygon([Polygon([(60 + radius * math.cos(t), 60 + radius * math.sin(t)) for t in turns])])


@pytest.mark.parametrize("apothem", [0.95, 0.97, 1.0])
def test_an_octagon_about_a_circle_becomes_the_truest_there_is(apothem):
    """A side is best where half of it runs inside the circle: the half chord is half of the half side, a·tan 22.5°,
    so that a = r / √(1 + tan² 22.5° / 4) (elementary geometry)."""
    judge = judge_of(CIRCLE, Symmetry(x=60.0, y=60.0))
    start = judged(rings_of(octagon(apothem * SIZE / 2)), judge)
    after = polished(start, judge)
    best = SIZE / 2 / math.sqrt(1 + math.tan(math.pi / 8) ** 2 / 4)
    (ring,) = after.figure[0]
    assert len(ring) == 8
    apothems = [math.dist(CENTRE, ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)) for p, q in pairwise(ring)]
    assert apothems == pytest.approx([best] * 7, abs=2 * min(STEPS) * SIZE)
    assert after.iou >= start.iou
    assert after.cost <= start.cost


def test_what_is_level_and_straight_in_the_font_stays():
    house = Polygon([(10, 110), (10, 50), (60, 10), (110, 50), (110, 110)])
    judge = judge_of(MultiPolygon([house]), Symmetry(x=60.0))
    askew = Polygon([(10, 110), (10, 53), (60, 14), (110, 53), (110, 110)])
    start = judged(rings_of(MultiPolygon([askew])), judge)
    after = polished(start, judge)
    assert after.iou > start.iou > 0.95
    left, _, right, bottom = Polygon(after.figure[0][0]).bounds
    assert (left, right, bottom) == (10, 110, 110)
    assert after.lopsided is False


def test_a_drawing_that_is_no_figure_stays():
    """However near to the outline edges that cross are: what they have in common with it cannot be worked out."""
    crossed = (((10.0, 10.0), (110.0, 110.0), (110.0, 10.0), (10.0, 110.0)),)
    judge = replace(judge_of(CIRCLE, Symmetry()), most_hausdorff=1000.0)
    drawing, whole = line_drawing((crossed,), Symmetry()), line_drawing(rings_of(octagon(48)), Symmetry())
    assert polish._truer(drawing, judge, set(), 0.6) is drawing
    assert polish._truer(whole, judge, set(), 0.6) is not whole
