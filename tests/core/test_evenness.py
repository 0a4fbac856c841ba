"""Ends that stand out of line and edges that jump: found where they were put, and nowhere else."""

import math
import random
from functools import cache
from string import ascii_letters, digits

import pytest
import shapely
from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box

from converter.findings.alignment import standing_out
from converter.findings.continuity import jumps
from converter.fonts.choosing import choose_glyphs
from converter.fonts.loading import load_font
from converter.fonts.outlines import read_outline
from converter.limits import LIMITS
from converter.placement import Frame, place, zones
from converter.polygons import rings_of
from tests.benchmarks.crests import height_of, stands_out
from tests.fonts.makers import SLAB_FONT, TEXT_FONTS
from tests.sewing.figures import random_shape

SIZE = 80.0
LEAST = LIMITS["stands-out"].value, LIMITS["edge-jumps"].value

BOWL = Point(40, 70).buffer(20, quad_segs=32)
STEM = box(10, 10, 25, 90)
BEE = STEM.union(BOWL).union(box(20, 65, 30, 75))  # its bowl ends at 50, its stem at 10, both at 90


def many(shape) -> MultiPolygon:
    return MultiPolygon(getattr(shape, "geoms", [shape]))


def standing(figure, outline, least=LEAST[0] * SIZE):
    """Everything that stands out by more than a limit: where, by how much, and whether above."""
    ends = standing_out(many(figure), many(outline), SIZE)
    return {(round(e.place[0]), round(e.place[1]), round(e.by, 3), e.above) for e in ends if e.by > least}


def jumping(figure, outline, least=LEAST[1] * SIZE):
    found = jumps(many(figure), many(outline), SIZE)
    return {(round(j.place[0]), round(j.place[1]), round(j.by, 3), j.is_line) for j in found if j.by > least}


def bee(top: float, at: float = 40.0) -> Polygon:
    """A b with a bowl that comes to a point at a height."""
    return STEM.union(Polygon([(20, 56), (at, top), (60, 64), (60, 76), (50, 90), (20, 90)]))


@pytest.mark.parametrize(("by", "at"), [(1.0, 40), (3.0, 36), (3.0, 46)])
def test_a_bowl_that_comes_to_a_point_above_its_crest_stands_out_though_its_stem_is_higher(by, at):
    assert standing(bee(50 - by, at), BEE) == {(at, 50 - by, by, True)}


@pytest.mark.parametrize("top", [49.5, 50.0, 52.0])
def test_a_point_at_the_crest_or_in_the_bowl_does_not(top):
    assert standing(bee(top), BEE) == set()


def test_a_level_edge_stands_out_as_a_corner_does_and_lower_ones_beside_it_do_not():
    octagon = Polygon([(20, 60), (34, 48), (46, 48), (60, 62), (60, 78), (46, 90), (34, 90), (20, 80)])
    assert standing(STEM.union(octagon), BEE) == {(40, 48, 2.0, True)}


@pytest.mark.parametrize("letter", [BEE, BOWL, STEM])
@pytest.mark.parametrize("by", [0.5, 1.0, 4.0])
def test_a_letter_that_is_moved_stands_out_by_as_much_at_every_end_on_one_side(letter, by):
    for along in (-by, by):
        ends = list(standing_out(many(affinity.translate(letter, 0, along)), many(letter), SIZE))
        assert ends
        assert all(end.by == pytest.approx(by, abs=1e-6) and end.above == (along < 0) for end in ends)


def test_a_corner_at_a_join_stands_above_the_cap_line():
    # As an R whose leg and bowl meet in a seam that runs on into its top.
    block = Polygon([(10, 10), (40, 10), (42, 7.5), (44, 10), (60, 10), (60, 90), (10, 90)])
    assert standing(block, box(10, 10, 60, 90)) == {(42, 8, 2.5, True)}


def test_a_stem_that_is_as_high_as_the_bowl_beside_it_is_in_line():
    enn = box(10, 20, 25, 90).union(Point(45, 38.5).buffer(20, quad_segs=32)).union(box(50, 38, 65, 90))
    level = box(10, 18.5, 65, 90)
    assert standing(level, enn) == set()
    assert standing(box(10, 17, 65, 90), enn) == {(38, 17, 1.5, True)}


def test_the_tip_of_a_terminal_is_on_no_line():
    ring = BOWL.difference(Point(40, 70).buffer(10, quad_segs=32))
    cut = Polygon([(40, 70), (70, 52), (70, 74)])
    cee = ring.difference(cut)
    longer = ring.difference(affinity.translate(cut, 0, -1.5)).union(cee)
    assert [end for end in standing_out(many(longer), many(cee), SIZE) if end.by > 1e-6] == []


def test_what_stands_out_of_the_whole_letter_is_never_missed():
    # Held against the measure of the benchmark, which knows the whole letter alone.
    chance = random.Random(5)
    for _ in range(300):
        figure, outline = random_shape(chance), random_shape(chance)
        whole = stands_out(rings_of(figure), rings_of(outline)) * height_of(rings_of(outline))
        assert max((end.by for end in standing_out(figure, outline, SIZE)), default=0.0) >= whole - 1e-9


AITCH = shapely.union_all([box(10, 10, 25, 90), box(25, 42, 50, 58), box(50, 10, 65, 90)])


def aitch(by: float) -> Polygon:
    """An H whose left stem is thicker above the bar than below it."""
    return AITCH.union(box(25, 10, 25 + by, 50))


def test_a_stem_that_jumps_behind_its_bar_is_found_beside_the_bar():
    assert jumping(aitch(2.0), AITCH) == {(25, 58, 2.0, True)}
    assert jumping(aitch(0.6), AITCH) == set()


def test_a_stem_that_turns_behind_the_bar_is_found_at_its_far_end():
    turned = AITCH.union(Polygon([(25, 42), (25, 10), (27, 10)]))
    assert jumping(turned, AITCH) == {(27, 10, 2.0, True)}


def test_a_side_that_jumps_where_two_sections_meet_along_it_is_found_and_told_once():
    stepped = box(10, 10, 25, 40).union(box(10, 40, 23, 90))
    assert jumping(stepped, STEM) == {(25, 40, 2.0, True)}


def test_diagonals_that_miss_each_other_behind_a_crossing_are_found():
    ex = shapely.union_all(
        [Polygon([(10, 10), (26, 10), (66, 90), (50, 90)]), Polygon([(50, 10), (66, 10), (26, 90), (10, 90)])]
    )
    lower = box(0, 50, 76, 101)
    shifted = ex.difference(lower).union(affinity.translate(ex.intersection(lower), 3, 0))
    # Sideways 3, across the slope of 2 in 1: 3 × sin(63.4°).
    assert {by for _, _, by, is_line in jumping(shifted, ex) if is_line} == {round(3 * 2 / math.sqrt(5), 3)}
    assert jumping(ex, ex) == set()


def test_arms_that_end_on_one_line_and_no_longer_do_are_found():
    ee = shapely.union_all([STEM, *(box(25, y, 55, y + 16) for y in (10, 42, 74))])
    assert jumping(ee.union(box(55, 74, 57, 90)), ee) == {(57, 74, 2.0, True)}
    uneven = ee.difference(box(50, 40, 60, 60))  # in this font the middle arm is shorter
    assert jumping(uneven, uneven) == set()


def test_the_side_of_a_stem_does_not_jump_where_a_serif_is_lost():
    slab = shapely.union_all([STEM, box(6, 10, 29, 20), box(6, 80, 29, 90)])
    without_head = shapely.union_all([STEM, box(6, 80, 29, 90)])
    assert jumping(without_head, slab) == set()
    assert jumping(slab.difference(box(0, 10, 8, 30)), slab) == {(8, 20, 2.0, True)}


def test_a_nick_in_a_bowl_is_found_and_one_that_the_font_has_is_not():
    octagon = Polygon([(20, 60), (34, 50), (46, 50), (60, 62), (60, 78), (46, 90), (34, 90), (20, 80)])
    nicked = octagon.difference(Polygon([(20, 60), (34, 50), (30, 46)])).difference(
        Polygon([(44.6, 90), (46, 88), (60, 76.3), (60, 90)])
    )
    assert {by > 1 and not is_line for *_, by, is_line in jumping(nicked, BOWL)} == {True}
    assert jumping(nicked, nicked) == set()
    assert jumping(octagon, BOWL) == set()


@cache
def letters(path) -> list[MultiPolygon]:
    font = load_font(path)
    outlines = [
        read_outline(font, glyph.name, font.cap_height / 4000)
        for glyph in choose_glyphs(font, text=ascii_letters + digits).glyphs
    ]
    run = zones(outlines, font.cap_height, font.ascender, font.descender)
    return [place(outline, Frame(76.2, 101.6, 6.35), run).outline for outline in outlines]


@pytest.mark.parametrize("path", [*TEXT_FONTS, SLAB_FONT], ids=lambda path: path.stem)
def test_no_letter_of_a_font_stands_out_of_itself_or_jumps(path):
    for letter in letters(path):
        assert standing(letter, letter, 1e-6) == set()
        assert jumping(letter, letter) == set()


@pytest.mark.parametrize("path", TEXT_FONTS, ids=lambda path: path.stem)
def test_a_mirrored_letter_has_the_same_findings_mirrored(path):
    def mirrored(shape, x, y):
        return affinity.scale(shape, x, y, origin=(0, 0))

    for outline in letters(path)[::6]:
        figure = many(shapely.simplify(affinity.skew(outline, 2), 2.0))
        plain = standing(figure, outline), jumping(figure, outline)
        for x, y in ((-1, 1), (1, -1)):
            ends, edges = (f(mirrored(figure, x, y), mirrored(outline, x, y)) for f in (standing, jumping))
            assert sorted((by, above == (y > 0)) for _, _, by, above in ends) == sorted(
                (by, above) for _, _, by, above in plain[0]
            )
            assert len(edges) == len(plain[1])
