"""How far the climb goes, on a plate whose corners are cut off for nothing; and from where it begins again."""

from dataclasses import replace
from pathlib import Path

import pytest
from converter.straighten.drawing import line_drawing, shape_of
from converter.straighten.improve import improved
from shapely.geometry import MultiPolygon, Polygon, box

from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.pipeline import convert
from converter.polygons import rings_of
from converter.settings import Settings
from converter.straighten import improve
from converter.straighten.finish.verdict import judged
from converter.straighten.outline.symmetry import Symmetry, is_symmetric
from tests.straighten.shapes import judge_of

SAMPLES = Path(__file__).parents[2] / "sample_fonts"
PLATE = MultiPolygon([box(20, 20, 100, 100).buffer(-4).buffer(4, quad_segs=16)])  # its corners are round
CUT = Polygon([(26, 20), (94, 20), (100, 26), (100, 94), (94, 100), (26, 100), (20, 94), (20, 26)])
COMPARED = 8**2  # the effort of comparing one figure of eight edges with another


def test_what_finds_much_does_not_tire_the_climb():
    """All four cuts go, one after the other, though the effort would do for little more than the first."""
    judge = judge_of(PLATE, Symmetry())
    start = judged(rings_of(MultiPolygon([CUT])), judge)
    after = improved(start, judge, 12 * COMPARED, [])
    ((ring,),) = after.figure
    assert len(ring) == 4
    assert Polygon(ring).normalize().equals_exact(box(20, 20, 100, 100).normalize(), 1e-6)


def test_without_effort_the_climb_stays_where_it_is():
    judge = judge_of(PLATE, Symmetry())
    start = judged(rings_of(MultiPolygon([CUT])), judge)
    assert improved(start, judge, COMPARED - 1, []) is start


def test_a_climb_ends_where_it_meets_another_but_for_hairs():
    """From nearly the same place nothing is tried again, unless a hair's difference saves a whole piece or more."""
    judge = judge_of(PLATE, Symmetry())
    start, beside = (
        judged(rings_of(MultiPolygon([shape])), judge) for shape in (CUT, CUT.buffer(0.01, join_style="mitre"))
    )
    passed = []
    after = improved(start, judge, 12 * COMPARED, passed)
    assert passed[0] is start
    assert passed[-1] is after
    ways = list(passed)
    assert improved(beside, judge, 12 * COMPARED, passed) is beside
    assert passed == ways
    assert improved(beside, judge, 12 * COMPARED, []).cost == pytest.approx(after.cost, abs=0.1)
    strict = replace(judge, least_iou=1.0)  # both break the limit
    tried = list(ways)
    improved(beside, strict, 12 * COMPARED, tried)
    assert len(tried) > len(ways)
    dear = [replace(verdict, cost=beside.cost + improve.HOPE) for verdict in passed]
    assert improved(beside, judge, 12 * COMPARED, dear) is not beside


def test_a_stretched_figure_keeps_its_symmetry():
    symmetry = Symmetry(x=60.0, y=60.0)
    figure = rings_of(MultiPolygon([CUT]))
    stretched = improve._stretched(figure)
    assert stretched != figure
    assert line_drawing(stretched, symmetry) is not None
    assert is_symmetric(shape_of(stretched), symmetry)


def test_finalists_are_unlike():
    """The same plate but for a hair is the same; the uncut one is another, and no more than were asked for are kept."""
    judge = judge_of(PLATE, Symmetry())
    cut, hair, whole, small = (
        judged(rings_of(MultiPolygon([shape])), judge)
        for shape in (CUT, CUT.buffer(0.01, join_style="mitre"), box(20, 20, 100, 100), box(24, 24, 96, 96))
    )
    assert cut.figure != hair.figure
    assert improve._unlike([cut, hair, cut, whole, small], 2) == [cut, whole]
    assert improve._unlike([cut, hair], 2) == [cut]


def plus(arm):
    return MultiPolygon([box(60 - arm, 20, 60 + arm, 100).union(box(20, 60 - arm, 100, 60 + arm))])


def plate(half):
    return MultiPolygon([box(60 - half, 60 - half, 60 + half, 60 + half)])


@pytest.mark.parametrize(
    ("outline", "starts", "sections"),
    [(plus(10), [plus(10), plus(10.5), plus(9.5)], 2), (plate(40), [plate(40), plate(40.5), plate(39.5)], 1)],
)
def test_what_comes_to_several_sections_is_moved_again_from_farther_off(outline, starts, sections, monkeypatch):
    """A plus is never one section: with the ground round it off, more than one piece lies on both sides of any seam."""
    judge = judge_of(outline, Symmetry())
    verdicts = [judged(rings_of(start), judge) for start in (*starts, plate(12))]  # the last is hopeless
    assert verdicts[-1].cost > verdicts[0].cost + improve.TOO_DEAR
    moved = []

    def stays(start, judge, effort, passed):
        if effort == improve.FIRST_EFFORT:
            moved.append(start.figure)
        return start

    monkeypatch.setattr(improve, "improved", stays)
    monkeypatch.setattr(improve, "annealed", lambda *_: None)
    best = improve.best_of(verdicts, judge)
    assert len(best[0].plan.sections) == sections
    figures = [verdict.figure for verdict in verdicts[:-1]]
    if sections == 1:
        assert moved == figures
    else:
        assert moved[:2] == figures[:2]
        (wider,) = moved[2:]
        left, top, right, bottom = shape_of(wider).bounds
        assert (right - left, bottom - top) == pytest.approx((80 * improve.STRETCH, 80))


def test_annealing_saves_what_moves_do_not(monkeypatch):
    """Sample letters, since a made outline has no other way back; one letter may come out worse, both together not."""
    file = SAMPLES / "archivo_black/archivo-black-latin-400-normal.woff2"
    font, licence = load_font(file), judge_licence(load_font(file), file.parent)
    chosen = [glyph for glyph in choose_glyphs(font).glyphs if glyph.text in "BR"]

    def found_with(annealings):
        monkeypatch.setattr(improve, "ANNEALINGS", annealings)
        glyphs = convert(font, chosen, licence, Settings()).pattern.glyphs
        assert len(glyphs) == len(chosen)
        return sum(glyph.metrics.pieces + glyph.metrics.sections for glyph in glyphs)

    assert found_with(improve.ANNEALINGS) < found_with(0)
