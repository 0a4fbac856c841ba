"""Straightening on shapes made for it: what is straight stays, what is symmetric stays so exactly, nothing crashes."""

import math

import pytest
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon

from converter.placement import Frame
from converter.settings import Settings
from converter.straighten.outline.symmetry import Symmetry, find_symmetry, fundamental_part
from converter.verify import verify_glyph
from tests.sewing.blocks import assert_tiles
from tests.sewing.figures import LETTERS, drawn, shape_of
from tests.straighten.shapes import counters, figure, guide, made_of, standing
from tests.zoo import HEIGHT, WIDTH, ZOO

EXACT = 1e-6  # mm²


def difference(a, b) -> float:
    return float(a.symmetric_difference(b).area)


@pytest.mark.parametrize("letter", LETTERS)
def test_a_letter_of_level_and_upright_edges_comes_back_exactly(letter):
    figure_, _, _ = drawn(LETTERS[letter])
    made = made_of(standing(shape_of(figure_)))
    assert difference(figure(made), guide(made)) < EXACT
    assert len(shapely.get_coordinates(figure(made))) == len(shapely.get_coordinates(guide(made)))
    assert made.glyph.metrics.iou == pytest.approx(1)
    assert made.glyph.status == "ready"


@pytest.mark.parametrize(
    "corners",
    [
        [(0, 0), (400, 0), (200, 700)],
        [(0, 0), (160, 0), (280, 420), (400, 0), (560, 0), (350, 700), (210, 700)],
        [(0, 0), (200, 0), (500, 700), (300, 700)],
    ],
    ids=["triangle", "caret", "slanted bar"],
)
def test_a_letter_of_few_slanted_edges_comes_back_exactly(corners):
    made = made_of(Polygon([(x, -y) for x, y in corners]))
    assert difference(figure(made), guide(made)) < 1e-3 * guide(made).area


@pytest.mark.parametrize("off", [0.0, 0.4, -0.4, 3.0])  # font units: of a block 3 in wide, up to 0.3 mm
def test_a_notch_that_misses_the_axis_by_a_hair_stays_a_notch(off):
    saltire = [(0, 0), (230, 0), (310 + off, 150), (390, 0), (620, 0), (425, 350)]
    saltire += [(620, 700), (390, 700), (310 + off, 550), (230, 700), (0, 700), (195, 350)]
    made = made_of(Polygon([(x, -y) for x, y in saltire]))
    assert made.glyph.metrics.iou > 0.95
    assert made.glyph.metrics.hausdorff < 0.05 * 88.9
    assert made.glyph.metrics.asymmetry == pytest.approx(0, abs=1e-9)


def test_a_tip_near_the_axis_is_moved_onto_it_but_both_corners_of_a_blunt_one_stay():
    def part(*tip):
        notched = Polygon([(0, 0), (45, 0), *tip, (55, 0), (100, 0), (100, 100), (0, 100)])
        ring = shapely.get_coordinates(fundamental_part(notched, Symmetry(x=50.0)))
        return {(float(x), float(y)) for x, y in ring}

    assert (50.0, 60.0) in part((50.4, 60.0))
    assert (50.0, 60.0) in part((49.6, 60.0))
    assert (49.6, 60.0) in part((49.6, 60.0), (50.4, 60.0))


DISC = Point(0, 0).buffer(350, quad_segs=32)
RING = DISC.difference(Point(0, 0).buffer(180, quad_segs=32))
OVAL = affinity.scale(RING, 0.8, 1)
DROP = shapely.union(Point(0, 0).buffer(250, quad_segs=32), Polygon([(-235, -85), (0, -600), (235, -85)]))
ARCH = shapely.union(
    RING.intersection(shapely.box(-400, -400, 400, 0)), shapely.box(-350, -1, -180, 350)
).union(shapely.box(180, -1, 350, 350))
BOWL = RING.difference(shapely.box(100, -120, 400, 120))


@pytest.mark.parametrize(
    ("shape", "across"),
    [(DISC, "xy"), (RING, "xy"), (OVAL, "xy"), (DROP, "x"), (ARCH, "x"), (BOWL, "y")],
    ids=["disc", "ring", "oval", "drop", "arch", "bowl"],
)
def test_a_symmetric_outline_gives_a_figure_that_equals_its_mirror_image(shape, across):
    made = made_of(standing(shape))
    left, top, right, bottom = guide(made).bounds
    for axis in across:
        origin = ((left + right) / 2, (top + bottom) / 2)
        image = affinity.scale(
            figure(made), -1 if axis == "x" else 1, -1 if axis == "y" else 1, origin=origin
        )
        assert difference(figure(made), image) < EXACT
    assert counters(figure(made)) == counters(guide(made))
    assert made.glyph.metrics.asymmetry == pytest.approx(0, abs=1e-9)


ESS = shapely.LineString(
    [(100 * math.sin(t / 20 * math.pi) * 2, 17.5 * t - 350) for t in range(-20, 61)]
).buffer(70)  # a wave, which is its own image after half a turn
ZED = Polygon(
    [
        (0, 0),
        (500, 0),
        (500, 150),
        (220, 550),
        (500, 550),
        (500, 700),
        (0, 700),
        (0, 550),
        (280, 150),
        (0, 150),
    ]
)


@pytest.mark.parametrize("shape", [ESS, ZED], ids=["wave", "zed"])
def test_an_outline_that_half_a_turn_keeps_gives_a_figure_that_half_a_turn_keeps(shape):
    made = made_of(standing(shape))
    left, top, right, bottom = guide(made).bounds
    image = affinity.rotate(figure(made), 180, origin=((left + right) / 2, (top + bottom) / 2))
    assert difference(figure(made), image) < EXACT


def test_symmetries_are_found_within_tolerance_and_no_others():
    assert find_symmetry(shapely.MultiPolygon([standing(OVAL)]), 700) == Symmetry(x=0, y=-350)
    assert find_symmetry(shapely.MultiPolygon([standing(ZED)]), 700).centre == pytest.approx((0, -350))
    drop = find_symmetry(shapely.MultiPolygon([standing(DROP)]), 700)
    assert (drop.x, drop.y, drop.centre) == (pytest.approx(0), None, None)
    flag = Polygon([(0, 0), (0, -700), (400, -500), (100, -350), (100, 0)])
    assert find_symmetry(shapely.MultiPolygon([flag]), 700) == Symmetry()
    assert find_symmetry(shapely.MultiPolygon([shapely.box(0, -700, 300, 0)]), 700).order == 4


def test_a_round_edge_is_crossed_so_that_the_letter_keeps_its_weight():
    for shape in (DISC, RING):
        made = made_of(standing(shape))
        assert figure(made).area == pytest.approx(guide(made).area, rel=0.03)


def test_more_detail_is_truer_and_less_is_cheaper():
    made = [made_of(standing(BOWL), Settings(detail=detail)).glyph.metrics for detail in ("coarse", "finest")]
    assert made[0].pieces <= made[1].pieces
    assert made[0].iou <= made[1].iou


def test_the_same_shape_gives_the_same_figure_at_twice_the_size():
    small, large = (
        made_of(
            standing(BOWL), Settings(block=(k * 50.0, k * 60.0), grid=k * 1.0, min_piece_width=k * 2.0)
        ).glyph
        for k in (1, 2)
    )
    assert small.metrics.pieces == large.metrics.pieces
    assert small.metrics.iou == pytest.approx(large.metrics.iou, abs=1e-6)


@pytest.mark.parametrize(
    "name", [n for n in ZOO if n not in ("the block", "half the block", "on the border")]
)
def test_each_shape_of_the_zoo_gets_an_honest_block(name):
    shape = standing(ZOO[name])
    settings = Settings(fit="each")
    made = made_of(shape, settings)
    glyph = made.glyph
    ids = {reason.id for reason in glyph.reasons}
    assert made.log == ""
    assert not ids & {"unexpected-error", "not-sewable"}
    verify_glyph(glyph, WIDTH, HEIGHT)
    # What is merged as too thin to draw stays in the figure: no more than a strip of a tenth of a millimetre.
    slack = 0.1 * max(WIDTH, HEIGHT) if "thin-strokes" in ids else 0.02
    assert_tiles(glyph, figure(made), WIDTH, HEIGHT, slack)
    same_parts = len(figure(made).geoms) == len(guide(made).geoms)
    same_counters = counters(figure(made)) == counters(guide(made))
    assert same_parts == ("part-lost" not in ids)
    assert same_counters == ("counter-lost" not in ids)
    if glyph.status == "ready":
        assert glyph.metrics.min_piece_width >= settings.min_piece_width - 1e-6
        assert glyph.metrics.iou >= 0.9


@pytest.mark.parametrize("margin", [0.0, 0.5, 2.0])
def test_small_margins_make_blocks_that_can_be_sewn(margin):
    for shape in (RING, DROP, shape_of(drawn(LETTERS["B"])[0])):
        made = made_of(standing(shape), Settings(margin=margin))
        assert Frame(WIDTH, HEIGHT, margin).margin == margin
        assert not {r.id for r in made.glyph.reasons} & {"unexpected-error", "not-sewable"}
        verify_glyph(made.glyph, WIDTH, HEIGHT)


def test_a_ring_keeps_other_figures_with_other_counts_none_better_than_another_in_every_respect():
    made = made_of(standing(Point(0, 0).buffer(350) - Point(0, 0).buffer(100)))
    figures = [glyph.metrics for glyph in made.figures]
    assert len(figures) > 1
    for a in figures:
        for b in figures:
            if a is not b:
                assert (a.pieces, a.sections) != (b.pieces, b.sections)
                assert a.pieces < b.pieces or a.sections < b.sections or a.iou > b.iou
