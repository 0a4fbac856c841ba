"""How far the climb goes, on a plate whose corners are cut off for nothing."""

from shapely.geometry import MultiPolygon, Polygon, box

from converter.straighten.figure import rings_of
from converter.straighten.improve import improved
from converter.straighten.judging import judged
from converter.straighten.symmetry import Symmetry
from tests.straighten.shapes import judge_of

PLATE = MultiPolygon([box(20, 20, 100, 100).buffer(-4).buffer(4, quad_segs=16)])  # its corners are round
CUT = Polygon([(26, 20), (94, 20), (100, 26), (100, 94), (94, 100), (26, 100), (20, 94), (20, 26)])
COMPARED = 8**2  # the effort of comparing one figure of eight edges with another


def test_what_finds_much_does_not_tire_the_climb():
    """All four cuts go, one after the other, though the effort would do for little more than the first."""
    judge = judge_of(PLATE, Symmetry())
    start = judged(rings_of(MultiPolygon([CUT])), judge)
    after = improved(start, judge, 12 * COMPARED, set())
    ((ring,),) = after.figure
    assert len(ring) == 4
    assert Polygon(ring).normalize().equals_exact(box(20, 20, 100, 100).normalize(), 1e-6)


def test_without_effort_the_climb_stays_where_it_is():
    judge = judge_of(PLATE, Symmetry())
    start = judged(rings_of(MultiPolygon([CUT])), judge)
    assert improved(start, judge, COMPARED - 1, set()) is start
