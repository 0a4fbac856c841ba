"""How far the climb goes, on a plate whose corners are cut off for nothing; and from where it begins again."""

from pathlib import Path

import pytest
from shapely.geometry import MultiPolygon, Polygon, box

from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.pipeline import convert
from converter.settings import Settings
from converter.straighten import improve
from converter.straighten.drawing import line_drawing, shape_of
from converter.straighten.figure import rings_of
from converter.straighten.improve import improved
from converter.straighten.judging import judged
from converter.straighten.symmetry import Symmetry, is_symmetric
from tests.straighten.shapes import judge_of

SAMPLES = Path(__file__).parents[2] / "sample_fonts"
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


def test_a_stretched_figure_keeps_its_symmetry():
    symmetry = Symmetry(x=60.0, y=60.0)
    figure = rings_of(MultiPolygon([CUT]))
    stretched = improve._stretched(figure)
    assert stretched != figure
    assert line_drawing(stretched, symmetry) is not None
    assert is_symmetric(shape_of(stretched), symmetry)


@pytest.mark.parametrize(
    ("file", "letters", "stretch", "annealings"),
    [
        ("fredoka/fredoka-latin-700-normal.woff", "GQ", improve.STRETCH, 0),
        ("archivo_black/archivo-black-latin-400-normal.woff2", "GR", 1.0, improve.ANNEALINGS),
    ],
)
def test_letters_in_several_sections_gain_by_another_way_back(file, letters, stretch, annealings, monkeypatch):
    """Sample letters, since a made outline has no other way back; one letter may come out worse, all together not."""
    font = load_font(SAMPLES / file)
    licence = judge_licence(font, (SAMPLES / file).parent)
    chosen = [glyph for glyph in choose_glyphs(font).glyphs if glyph.text in letters]

    def found_with(stretch, annealings):
        monkeypatch.setattr(improve, "STRETCH", stretch)
        monkeypatch.setattr(improve, "ANNEALINGS", annealings)
        glyphs = convert(font, chosen, licence, Settings()).pattern.glyphs
        assert len(glyphs) == len(letters)
        return sum(glyph.metrics.pieces + glyph.metrics.sections for glyph in glyphs)

    assert found_with(stretch, annealings) < found_with(1.0, 0)
