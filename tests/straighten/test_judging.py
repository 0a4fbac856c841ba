"""What figures cost, beside each other: numbers of pieces and sections as the seam search finds them."""

from shapely.geometry import MultiPolygon, Polygon

from converter.sewing.plan import plan_block
from converter.sewing.search import Prices
from converter.sewing.trees import PIECE
from converter.straighten import judging
from converter.straighten.finish.verdict import judged
from converter.straighten.outline.crests import find_crests, price_of_beaks
from converter.straighten.outline.symmetry import Symmetry
from converter.verify import NotSewableError
from tests.sewing.figures import figure_of
from tests.straighten.shapes import JUDGED_SIZE, judge_of

PLATE = Polygon([(20, 20), (100, 20), (100, 100), (20, 100)])
# A Y, and the V that it becomes where its arms' outer edges run down to the foot.
ARMS = [(20, 10), (40, 10), (60, 50), (80, 10), (100, 10)]
Y = Polygon([*ARMS, (70, 70), (70, 110), (50, 110), (50, 70)])
V = Polygon([*ARMS, (68, 110), (52, 110)])


def planned(shape: Polygon):
    return plan_block(figure_of(shape), 120.0, 120.0, Prices.of(1.0), 400)


def test_a_stem_is_not_slanted_for_all_the_pieces_and_sections_that_it_saves():
    crests = find_crests(MultiPolygon([Y]), JUDGED_SIZE)
    saved = (planned(Y).cost - planned(V).cost) / PIECE
    assert saved >= 3  # else it would be no temptation
    slanted = price_of_beaks(figure_of(V), crests, JUDGED_SIZE)
    assert price_of_beaks(figure_of(Y), crests, JUDGED_SIZE) == 0
    assert slanted > saved


def test_a_figure_that_costs_no_less_than_the_limit_is_none():
    judge = judge_of(MultiPolygon([PLATE]), Symmetry())
    figure = figure_of(PLATE)
    cost = judged(figure, judge).cost
    assert judged(figure, judge, cost) is None
    assert judged(figure, judge, cost + 1e-6).cost == cost


def test_a_figure_with_edges_that_have_nothing_between_them_is_none(monkeypatch):
    def too_near(*_args, **_named):
        raise NotSewableError("nothing between two seams")

    judge = judge_of(MultiPolygon([PLATE]), Symmetry())
    monkeypatch.setattr(judging, "plan_block", too_near)
    assert judged(figure_of(PLATE), judge) is None
