"""Cuts that are changed by chance: measured by shapely and by the seam search."""

import math
from random import Random

import pytest
import shapely
from converter.straighten.annealing import annealed
from converter.straighten.parts import (
    Halved,
    Uncut,
    decided,
    figure_of,
    halved,
    parts_of,
    places_in,
    seams_of,
    with_part,
    with_seam,
    with_side,
)
from converter.straighten.raster import LEVEL, PLACES, STEP, UPRIGHT, Raster
from shapely.geometry import MultiPolygon, Polygon, box

from converter.fidelity import iou
from converter.geometry import Line
from converter.sewing.plan import block_ring, plan_block
from converter.sewing.problem import cut_problem
from converter.straighten.finish.verdict import judged
from converter.straighten.outline.crests import Crest
from converter.straighten.outline.symmetry import Symmetry
from tests.sewing import figures
from tests.straighten.shapes import JUDGED_SIZE, judge_of

PLATE = MultiPolygon([box(20, 20, 100, 100).buffer(-4).buffer(4, quad_segs=16)])  # its corners are round
CUT = Polygon([(26, 20), (94, 20), (100, 26), (100, 94), (94, 100), (26, 100), (20, 94), (20, 26)])
# A C with square arms, an arrow, a plate with a counter.
SHAPES = {
    "C": Polygon([(20, 20), (90, 20), (90, 45), (50, 45), (50, 80), (90, 80), (90, 105), (20, 105)]),
    "arrow": Polygon([(60, 15), (100, 60), (75, 60), (80, 105), (40, 105), (45, 60), (20, 60)]),
    "ring": Polygon(CUT.exterior, [[(45, 40), (45, 80), (75, 85), (80, 42)]]),
}


def raster_of(shape, **changed):
    judge = judge_of(MultiPolygon([shape]) if isinstance(shape, Polygon) else shape, Symmetry(), **changed)
    return Raster(judge), judge


@pytest.fixture(params=SHAPES)
def cut(request):
    """A raster, its judge, the figure and the figure's parts."""
    shape = SHAPES[request.param]
    raster, judge = raster_of(shape)
    figure = figures.figure_of(shape)
    return raster, judge, figure, parts_of(figure, raster, judge.prices)


def test_a_line_divides_the_samples_as_it_divides_the_area():
    raster, _ = raster_of(PLATE)
    count = raster.all.bit_count()
    hull = shapely.box(*PLATE.bounds).buffer(0.06 * JUDGED_SIZE, join_style="mitre")
    for seam in [(10, 12.0), (LEVEL, -20.0), (UPRIGHT, 7.5), (200, 0.0)]:
        nx, ny, d = raster.line(seam)
        far = 999
        foot = nx * d, ny * d
        side = Polygon(
            [
                (foot[0] - far * ny, foot[1] + far * nx),
                (foot[0] + far * ny, foot[1] - far * nx),
                (foot[0] + far * (ny + nx), foot[1] + far * (ny - nx)),
                (foot[0] + far * (nx - ny), foot[1] + far * (nx + ny)),
            ]
        )
        assert raster.half(seam).bit_count() / count == pytest.approx(
            hull.intersection(side).area / hull.area, abs=0.01
        )


def test_a_level_line_lies_on_the_raster_exactly_and_others_nearly():
    raster, _ = raster_of(PLATE)
    for line in (Line(0.0, 1.0, 33.3), Line(1.0, 0.0, 71.7)):
        assert raster.line(raster.seam(line)) == pytest.approx(line, abs=1e-12)
        assert raster.line(raster.seam(line)).is_level
    slanted = Line(math.cos(1.0), math.sin(1.0), 80.0)
    again = raster.line(raster.seam(slanted))
    assert math.degrees(math.acos(again.nx * slanted.nx + again.ny * slanted.ny)) < 0.5
    assert again.side(raster.middle) == pytest.approx(slanted.side(raster.middle))


def test_parts_have_the_pieces_and_sections_that_the_seam_search_finds(cut):
    raster, judge, figure, block = cut
    plan = plan_block(figure, judge.width, judge.height, judge.prices, 200)
    assert (block.pieces, block.sections) == (len(plan.pieces), len(plan.sections))
    assert len(places_in(block, raster.all)) == block.pieces - 1
    assert seams_of(block) == sorted({raster.seam(line.line) for line in cut_problem(figure).lines})


def test_the_figure_of_the_parts_is_the_figure(cut):
    raster, judge, figure, block = cut
    shape = figures.shape_of(figure)
    assert isinstance(block, Halved)
    assert (block.figure ^ raster.outline).bit_count() < 0.03 * raster.outline.bit_count()
    again = figure_of(block, raster, block_ring(judge.width, judge.height))
    assert iou(figures.shape_of(again), shape) > 0.99  # slanted lines take one of the raster's directions
    assert len(again) == len(figure)
    assert [len(polygon) for polygon in again] == [len(polygon) for polygon in figure]


def test_what_a_seam_decides_is_what_changes_when_it_is_moved(cut):
    """Put together anew, the parts have the figure that was foretold."""
    raster, _, _, block = cut
    places = places_in(block, raster.all)
    random = Random(1).random
    for old in seams_of(block):
        new = old[0], old[1] + (random() - 0.5) * 20
        moved = with_seam(block, old, new, raster.half(new))
        across = (raster.half(old) ^ raster.half(new)) & decided(old, places)
        assert moved.figure == block.figure ^ across
        assert (moved.pieces, moved.sections) == (block.pieces, block.sections)
        assert with_seam(moved, new, old, raster.half(old)) == block


def test_a_part_is_put_in_its_place_and_no_other(cut):
    raster, _, _, block = cut
    places = places_in(block, raster.all)
    for number, place in enumerate(places):
        part = place.part
        assert with_part(place, part) == block
        assert with_side(place, True, part.plus) == with_side(place, False, part.minus) == block
        twice = with_part(place, halved(part.seam, part.half, part, Uncut(0)))
        assert twice.pieces == block.pieces + 1
        assert places_in(twice, raster.all)[number].part.plus == part
        other_side = with_side(place, False, Uncut(0))
        assert places_in(other_side, raster.all)[number].part == halved(part.seam, part.half, part.plus, Uncut(0))


def test_places_say_which_samples_a_part_is_cut_from(cut):
    """Each sample of the block is in a leaf once: those of the parts on both sides make up those of the whole."""
    raster, _, _, block = cut
    places = places_in(block, raster.all)
    assert (places[0].part, places[0].here, places[0].above) == (block, raster.all, None)
    for place in places[1:]:
        whole = place.above
        assert (whole.part.plus if place.side else whole.part.minus) is place.part
        assert place.here == whole.here & (whole.part.half if place.side else ~whole.part.half)


@pytest.mark.parametrize(("figure", "cheap"), [(PLATE, True), (box(20, 20, 100, 90), False), (PLATE.buffer(9), False)])
def test_the_raster_prices_what_is_untrue_and_far(figure, cheap):
    raster, _ = raster_of(PLATE)
    bits = raster._inside(figure)
    assert (raster.untruth(bits) < 1) == cheap
    assert (raster.missed(bits) == 0) == cheap


def test_places_that_are_missed_are_those_that_the_figure_stays_away_from():
    """The foot of the plate is 10 mm away, twice as far as it may be: its places are missed, and no others."""
    raster, judge = raster_of(PLATE)
    short = raster._inside(box(20, 20, 100, 90))
    places = shapely.get_coordinates(shapely.segmentize(shapely.boundary(judge.outline), PLACES * judge.size))
    away = [y > 90 + judge.most_hausdorff for _, y in places]
    missed = [bool(raster.missed(short) >> k & 1) for k in range(len(places))]
    assert sum(a != m for a, m in zip(away, missed, strict=True)) <= 2  # within a sample of the limit
    assert sum(missed) > 10


def test_what_is_missed_is_known_from_a_figure_beside_it(cut):
    raster, _, _, block = cut
    random = Random(2).random
    figure, missed = block.figure, raster.missed(block.figure)
    met = set()
    places = places_in(block, raster.all)
    for old in [*seams_of(block)] * 5:
        half = raster.half((old[0], old[1] + (random() - 0.5) * 30))
        across = (raster.half(old) ^ half) & decided(old, places)
        assert raster.missed(figure ^ across, across, missed) == raster.missed(figure ^ across)
        figure, missed = figure ^ across, raster.missed(figure ^ across)
        met.add(missed)
    assert len(met) > 3


def test_a_beak_costs_its_price_where_no_level_edge_passes():
    raster, _ = raster_of(PLATE, crests=(Crest((60.0, 20.0), True, 0.7),))
    top = LEVEL, 20.0 - raster.middle[1]
    below = LEVEL, top[1] + 10
    figure = raster._inside(PLATE)
    assert raster.beaks(figure, {top}) == 0
    assert raster.beaks(figure, {below}) == 0.7
    assert raster.beaks(raster._inside(PLATE.difference(box(0, 0, 120, 30))), {top}) == 0.7


def test_annealing_leaves_out_what_is_cut_for_nothing():
    """Four corners are cut off though the plate's own are hardly round; and chance has a seed."""
    raster, judge = raster_of(PLATE)
    start = figures.figure_of(CUT)
    found = annealed(start, raster, judge, 0)
    assert found == annealed(start, Raster(judge), judge, 0)
    assert len(judged(found, judge).plan.pieces) < len(judged(start, judge).plan.pieces)
    assert judged(found, judge).cost < judged(start, judge).cost


def test_what_cannot_be_cheaper_is_left():
    raster, judge = raster_of(PLATE)
    assert annealed(figures.figure_of(box(20, 20, 100, 100)), raster, judge, 0) is None


def test_a_raster_has_steps_of_its_size():
    raster, judge = raster_of(PLATE)
    assert raster.place(10.0) == pytest.approx(10.0, abs=judge.size * STEP / 2)
