"""A block cut anew from its straight-edged figure. Areas, and what is seen of shapes over each other, are shapely's."""

import math
import random
from dataclasses import replace

import pytest
import shapely

from converter.folder.keeping import Kept, parse_record, record_json
from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.model import BACKGROUND, FIGURE, Fabric
from converter.pattern import from_json, to_json
from converter.pipeline import convert
from converter.polygons import polygons_of
from converter.redesign.figure.cutting import cut_figure
from converter.redesign.ground import Ground
from converter.settings import Settings
from converter.verify import verify_glyph
from tests.fonts.makers import SLAB_FONT, TEXT_FONTS
from tests.samples import box, letter_i, letter_t, sample_pattern

WIDTH, HEIGHT = 60.0, 80.0
ELL = ((20.0, 10.0), (32.0, 10.0), (32.0, 58.0), (50.0, 58.0), (50.0, 70.0), (20.0, 70.0))
EXACT = 1e-6  # mm²


def ground(glyph=None):
    """The ground of a block of the samples, or of one that has never been drawn."""
    pattern = sample_pattern(*([glyph] if glyph else []))
    return Ground.of(pattern, glyph.key if glyph else "new")


def cut(*figures, on=None):
    return cut_figure(
        [(fabric, tuple((ring,) for ring in rings)) for fabric, *rings in figures], on or ground()
    )


def cloth(glyph, fabric=FIGURE):
    return shapely.union_all([shapely.Polygon(p.polygon) for p in glyph.pieces if p.fabric == fabric])


def off(glyph, shape, fabric=FIGURE):
    """The area in which the pieces of a fabric differ from what they ought to be."""
    return cloth(glyph, fabric).symmetric_difference(shape).area


def fault(glyph, kind):
    assert not glyph.pieces
    assert glyph.status == "redesign"
    return next(reason for reason in glyph.reasons if reason.id == kind)


@pytest.mark.parametrize("glyph", [letter_i(), letter_t()], ids=lambda g: g.name)
def test_a_block_made_by_hand_comes_out_of_its_figure_with_its_own_numbers(glyph):
    again = cut_figure([(FIGURE, glyph.figure)], ground(glyph))
    assert [(p.id, p.fabric) for p in again.pieces] == [(p.id, p.fabric) for p in glyph.pieces]
    assert (again.sections, again.joins) == (glyph.sections, glyph.joins)


def test_a_figure_that_was_never_drawn_is_cut_measured_and_judged():
    # Seven pieces: six lines carry its edges, and each needs a cut (DEVELOPERS, the lower bound).
    glyph = cut((FIGURE, ELL))
    verify_glyph(glyph, WIDTH, HEIGHT)
    assert (glyph.metrics.pieces, glyph.metrics.sections, glyph.metrics.proved_minimal) == (7, 1, True)
    assert glyph.status == "ready"
    assert off(glyph, shapely.Polygon(ELL)) < EXACT
    assert {r.id for r in glyph.reasons} == {"not-compared", "edited"}


def test_edges_stay_where_they_are_drawn():
    glyph = cut((FIGURE, ((10.1235, 70.0), (30.0001, 10.9877), (49.9, 70.0))))
    for corner in ((10.1235, 70.0), (30.0001, 10.9877), (49.9, 70.0)):
        assert corner in glyph.figure[0][0]
        assert min(math.dist(corner, p) for piece in glyph.pieces for p in piece.polygon) < 1e-9  # mm


def test_where_the_ring_begins_and_which_way_it_runs_changes_nothing():
    once = cut((FIGURE, ELL))
    for ring in (ELL[2:] + ELL[:2], ELL[::-1]):
        assert cut((FIGURE, ring)) == once


def test_edges_that_miss_a_line_by_a_hair_lie_on_it():
    level = cut((FIGURE, box(10, 20, 30, 60), box(35, 20, 50, 60)))
    rough = cut((FIGURE, box(10, 20, 30, 60), ((35, 20.012), (50, 19.991), (50, 60), (35, 60))))
    assert rough.metrics.distinct_lines == level.metrics.distinct_lines
    assert rough.metrics.pieces == level.metrics.pieces


def test_what_lies_beyond_the_block_is_left_out():
    glyph = cut((FIGURE, box(-5, 30, 70, 50)))
    assert off(glyph, shapely.box(0, 30, WIDTH, 50)) < EXACT
    assert len(glyph.pieces) == 3
    assert all(0 <= x <= WIDTH for polygon in glyph.figure for ring in polygon for x, _ in ring)


def test_what_lies_on_top_is_seen():
    glyph = cut(
        (FIGURE, box(10, 10, 50, 70)), ("sand", box(10, 40, 50, 60)), (BACKGROUND, box(20, 10, 30, 70))
    )
    band, hole = shapely.box(10, 40, 50, 60), shapely.box(20, 10, 30, 70)
    assert off(glyph, shapely.box(10, 10, 50, 70) - band - hole) < EXACT
    assert off(glyph, band - hole, "sand") < EXACT
    assert polygons_of(glyph.figure).symmetric_difference(shapely.box(10, 10, 50, 70) - hole).area < EXACT
    verify_glyph(glyph, WIDTH, HEIGHT)


def test_fabrics_that_meet_on_a_slant_have_one_seam_between_them():
    left, right = ((10, 20), (35, 20), (25, 60), (10, 60)), ((35, 20), (50, 20), (50, 60), (25, 60))
    glyph = cut((FIGURE, left), ("sand", right))
    assert (off(glyph, shapely.Polygon(left)), off(glyph, shapely.Polygon(right), "sand")) < (EXACT, EXACT)
    assert len(glyph.pieces) == 6  # four lines round both, one between them


def test_edges_that_cross_are_told_with_their_place():
    # The diagonals of a square of 40 mm meet in its middle.
    glyph = cut((FIGURE, ((10, 20), (50, 60), (50, 20), (10, 60))))
    assert fault(glyph, "edges-cross").where == pytest.approx((30.0, 40.0))
    assert glyph.figure


def test_a_figure_that_touches_itself_in_a_point_can_be_sewn():
    glyph = cut((FIGURE, ((10, 20), (30, 40), (50, 20), (50, 60), (30, 40), (10, 60))))
    verify_glyph(glyph, WIDTH, HEIGHT)


def test_a_sliver_is_told_with_its_place():
    glyph = cut((FIGURE, box(10, 10, 50, 70), box(10, 70.3, 50, 75)))
    sliver = fault(glyph, "piece-sliver")
    assert sliver.where[1] == pytest.approx(70.15)
    assert sliver.measured == pytest.approx(0.3)


def test_nothing_drawn_is_no_letter():
    glyph = cut()
    assert "figure-gone" in {reason.id for reason in glyph.reasons}
    assert len(glyph.pieces) == 1


def test_more_edges_than_can_be_worked_out_end_in_one_line():
    ring = tuple((30 + 20 * math.cos(k / 64.1), 40 + 20 * math.sin(k / 64.1)) for k in range(201))
    assert "201 edges" in fault(cut((FIGURE, ring)), "shape-intricate").message


@pytest.mark.parametrize("edges", [100, 200])
def test_any_number_of_edges_below_that_is_answered_in_bounded_time(edges):
    dice = random.Random(edges)
    turns = sorted(dice.uniform(0, 2 * math.pi) for _ in range(edges))
    glyph = cut(
        (FIGURE, tuple((30 + dice.uniform(8, 28) * math.cos(t), 40 + 20 * math.sin(t)) for t in turns))
    )
    assert glyph.reasons


@pytest.mark.parametrize(
    ("file", "text"),
    [(TEXT_FONTS[0], "AEKORS"), (TEXT_FONTS[2], "Ge"), (SLAB_FONT, "M")],
    ids=lambda value: getattr(value, "stem", value),
)
def test_what_was_converted_is_cut_anew_as_the_same_block(file, text):
    font = load_font(file)
    settings = Settings(effort="draft")
    done = convert(font, choose_glyphs(font, text=text).glyphs, judge_licence(font, file.parent), settings)
    pattern = from_json(to_json(done.pattern))
    kept = parse_record(record_json({m.glyph.key: Kept("", m.size, m.guide) for m in done.made}))
    for glyph in pattern.glyphs:
        on = Ground.of(pattern, glyph.key, kept[glyph.key])
        again = cut_figure([(FIGURE, glyph.figure)], on)
        before, after = glyph.metrics, again.metrics
        assert after.distinct_lines == before.distinct_lines
        assert off(again, polygons_of(glyph.figure)) < 0.01
        # A draft has no seams added that save a section.
        if after.sections == before.sections:
            assert (after.pieces, after.match_points) == (before.pieces, before.match_points)
        else:
            assert after.sections < before.sections


def test_what_only_rounding_tells_apart_is_cut_in_the_same_way():
    # An A is its own image: whichever leg goes on to the apex, the block costs the same.
    legs = ((10, 70), (26, 10), (34, 10), (50, 70), (40, 70), (30, 26), (20, 70))
    once = cut((FIGURE, legs))
    dice = random.Random(1)
    for _ in range(5):
        rough = tuple((x + dice.uniform(-4e-5, 4e-5), y + dice.uniform(-4e-5, 4e-5)) for x, y in legs)
        assert cut((FIGURE, rough)) == once


@pytest.mark.parametrize("seed", range(60))
def test_whatever_is_shown_as_sewable_passes_the_replay_and_shows_the_figure(seed):
    dice = random.Random(seed)
    fabrics = {"sand": Fabric("sand", "#d9c7a0")}
    pattern = sample_pattern(letter_t())
    pattern = replace(pattern, fabrics={**pattern.fabrics, **fabrics})
    on = Ground.of(pattern, "T_")
    figures, seen = [], {}
    for _ in range(dice.randint(1, 3)):
        turns = sorted(dice.uniform(0, 2 * math.pi) for _ in range(dice.randint(3, 7)))
        x, y = dice.uniform(5, 55), dice.uniform(5, 75)
        ring = tuple(
            (x + dice.uniform(5, 30) * math.cos(t), y + dice.uniform(5, 30) * math.sin(t)) for t in turns
        )
        shape = shapely.Polygon(ring)
        if not shape.is_valid:
            continue
        fabric = dice.choice([FIGURE, FIGURE, "sand", BACKGROUND])
        figures.append((fabric, ((ring,),)))
        seen = {name: other - shape for name, other in seen.items()}
        seen[fabric] = seen.get(fabric, shapely.Polygon()) | shape
    glyph = cut_figure(figures, on)
    if not glyph.pieces:
        assert any(r.severity == "redesign" for r in glyph.reasons)
        return
    verify_glyph(glyph, WIDTH, HEIGHT)
    for fabric in {FIGURE, "sand"} & set(seen):
        # Hairs, as wide as cloth does not show, are merged into what they are sewn to.
        within = seen[fabric] & shapely.box(0, 0, WIDTH, HEIGHT)
        assert off(glyph, within, fabric) < 0.05 * (within.length + 1)
