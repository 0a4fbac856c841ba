"""What figures cost, beside each other: numbers of pieces and sections as the seam search finds them."""

import pytest
from shapely.geometry import MultiPolygon, Polygon, box

from converter.fidelity import hausdorff, iou
from converter.sewing.plan import plan_block
from converter.sewing.search import Prices
from converter.sewing.trees import PIECE
from converter.straighten.cost.drawing import corners_of
from converter.straighten.cost.evaluate import SPIKE
from converter.straighten.cost.overlap import price_of_beaks
from converter.straighten.finish import verdict
from converter.straighten.finish.verdict import UNLIKE_PRICE, Treatment, judged, samples_of
from converter.straighten.outline.crests import find_crests
from converter.verify import NotSewableError
from tests.sewing.figures import figure_of
from tests.straighten.shapes import JUDGED_SIZE, drawing, target_of

PLATE = box(20, 20, 100, 100)
# A Y, and the V that it becomes where its arms' outer edges run down to the foot.
ARMS = [(20, 10), (40, 10), (60, 50), (80, 10), (100, 10)]
Y = Polygon([*ARMS, (70, 70), (70, 110), (50, 110), (50, 70)])
V = Polygon([*ARMS, (68, 110), (52, 110)])


def planned(shape: Polygon):
    return plan_block(figure_of(shape), 120.0, 120.0, Prices.of(1.0), 400)


def judged_as(shape, outline=PLATE, **changed):
    target = target_of(outline, **changed)
    return judged(figure_of(shape), target, target.aim())


def test_a_stem_is_not_slanted_for_all_the_pieces_and_sections_that_it_saves():
    crests = find_crests(MultiPolygon([Y]), JUDGED_SIZE)
    aim = target_of(Y, crests=crests).aim()
    saved = (planned(Y).cost - planned(V).cost) / PIECE
    assert saved >= 3  # else it would be no temptation
    upright, slanted = (price_of_beaks(f, corners_of(f)[0], aim.crests) for f in (drawing(Y), drawing(V)))
    assert upright == 0
    assert slanted > saved


def test_a_verdict_has_overlap_and_distance_by_shapely_and_the_plan_s_cost():
    figure = box(22, 20, 104, 100)
    found = judged_as(figure)
    assert found.overlap == pytest.approx(figure.intersection(PLATE).area / figure.union(PLATE).area)
    assert found.overlap == pytest.approx(iou(figure, PLATE))
    assert found.distance == pytest.approx(figure.boundary.hausdorff_distance(PLATE.boundary))
    assert found.distance == pytest.approx(hausdorff(figure, PLATE))
    plan = planned(figure)
    assert (found.plan.pieces, found.plan.cost) == (plan.pieces, plan.cost)
    assert found.price == pytest.approx(plan.cost / PIECE + 12.0 * (1 - found.overlap))
    assert found.violation == 0


def test_each_limit_that_is_broken_counts_by_its_share():
    assert judged_as(box(20, 20, 110, 100)).violation == pytest.approx((1 - 80 / 90) / 0.1 - 1 + 10 / 5 - 1)
    narrow = Polygon([(20, 20), (100, 20), (100, 98.5), (60, 98.5), (60, 100), (20, 100)])
    # One piece is 1.5 mm wide, of 3: half the limit is missing.
    assert judged_as(narrow).violation == pytest.approx(0.5)
    assert judged_as(narrow, min_piece_width=1.0).violation == 0


def test_what_stands_out_of_the_line_of_letters_breaks_a_limit_sideways_it_does_not():
    line = SPIKE * JUDGED_SIZE
    assert judged_as(box(20, 20 - 2 * line, 100, 100)).violation == pytest.approx(1.0)
    assert judged_as(box(20, 20, 100, 100 + 0.9 * line)).violation == 0
    assert judged_as(box(20 - 2 * line, 20, 100, 100)).violation == 0


def test_what_is_elsewhere_than_its_treatment_costs_by_its_length():
    # The right side of the plate is to be 4 mm farther out; the whole of it counts, the other sides do not.
    points, weights = samples_of(MultiPolygon([PLATE]), JUDGED_SIZE)
    right = [(k, 104.0, float(y)) for k, (x, y) in enumerate(points) if x == 100.0]
    length = sum(weights[k] for k, _, _ in right)
    held = {"treatment": Treatment(tuple(right))}
    as_it_is, as_wanted = judged_as(PLATE, **held), judged_as(box(20, 20, 104, 100), **held)
    assert as_it_is.unlike == pytest.approx(UNLIKE_PRICE * length / JUDGED_SIZE)
    assert as_wanted.unlike == 0
    assert as_it_is.price - as_it_is.unlike == pytest.approx(judged_as(PLATE).price)


def test_a_figure_whose_rings_cross_is_none():
    target = target_of(PLATE)
    crossed = ((((20.0, 20.0), (100.0, 100.0), (100.0, 20.0), (20.0, 100.0)),),)
    assert judged(crossed, target, target.aim()) is None


def test_a_figure_with_edges_that_have_nothing_between_them_is_none(monkeypatch):
    def too_near(*_args, **_named):
        raise NotSewableError("nothing between two seams")

    assert judged_as(PLATE) is not None
    monkeypatch.setattr(verdict, "plan_block", too_near)
    assert judged_as(PLATE) is None
