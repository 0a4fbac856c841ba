"""What must hold for the letters of every font, whatever figures the straightening comes to."""

import math

import pytest
import shapely
from shapely import affinity

from converter.geometry import without_flat_corners
from converter.model import Polygons
from converter.pattern import from_json, to_json
from converter.pipeline import Made
from converter.verify import verify_glyph
from tests.letters import LETTERS, conversions
from tests.sewing.blocks import assert_sections_acyclic, assert_tiles
from tests.straighten.shapes import counters, figure, guide

EXACT = 1e-6  # mm²
ALL = [(name, text) for name, (_, row) in LETTERS.items() for text in row]


def made_of(name: str, text: str) -> Made:
    return next(made for made in conversions()[name].made if made.glyph.text == text)


def edges(rings: Polygons):
    return [(ring[k - 1], ring[k]) for polygon in rings for ring in polygon for k in range(len(ring))]


@pytest.mark.parametrize(("name", "text"), ALL)
def test_a_block_can_be_sewn_and_shows_its_figure(name, text):
    made = made_of(name, text)
    glyph = made.glyph
    width, height = glyph.metrics.block_width, 101.6
    assert made.log == ""
    verify_glyph(glyph, width, height)
    assert_tiles(glyph, figure(made), width, height)
    assert_sections_acyclic(glyph)
    for other in made.others:
        verify_glyph(other, width, height)


@pytest.mark.parametrize("name", LETTERS)
def test_blocks_can_be_sewn_as_the_file_has_them_rounded(name):
    pattern = from_json(to_json(conversions()[name].pattern))
    for glyph in pattern.glyphs:
        verify_glyph(glyph, glyph.metrics.block_width, pattern.block.height)


@pytest.mark.parametrize(("name", "text"), ALL)
def test_counters_and_parts_are_kept(name, text):
    made = made_of(name, text)
    assert counters(figure(made)) == counters(guide(made))
    assert len(figure(made).geoms) == len(guide(made).geoms)


@pytest.mark.parametrize(("name", "text"), ALL)
def test_the_status_is_honest(name, text):
    glyph = made_of(name, text).glyph
    metrics = glyph.metrics
    assert metrics.lower_bound >= metrics.distinct_lines + 1
    assert metrics.proved_minimal == (metrics.pieces == metrics.lower_bound == len(glyph.pieces))
    if glyph.status == "ready":
        assert metrics.min_piece_width >= 3.175 - 1e-6
        assert metrics.min_corner_degrees >= 14
        assert metrics.iou >= 0.9
        assert metrics.hausdorff <= 0.05 * 88.9 + 1e-6
    else:
        assert any(reason.severity == glyph.status for reason in glyph.reasons)


@pytest.mark.parametrize(("name", "text"), ALL)
def test_no_corner_of_a_figure_is_there_twice_or_flat(name, text):
    for polygon in made_of(name, text).glyph.figure:
        for ring in polygon:
            assert without_flat_corners(ring, 1e-7) == ring


def is_level(p, q) -> bool:
    return min(abs(q[0] - p[0]), abs(q[1] - p[1])) < 1e-6


@pytest.mark.parametrize(("name", "text"), ALL)
def test_what_is_level_or_upright_in_the_font_is_so_exactly(name, text):
    made = made_of(name, text)
    straight = [(p, q) for p, q in edges(made.guide) if is_level(p, q) and math.dist(p, q) > 4]
    for p, q in edges(made.glyph.figure):
        slant = min(abs(q[0] - p[0]), abs(q[1] - p[1])) / math.dist(p, q)
        stands_for = any(
            max(shapely.LineString(edge).distance(shapely.Point(end)) for end in (p, q)) < 1
            for edge in straight
        )
        if stands_for and slant < math.sin(math.radians(5)):
            assert min(abs(q[0] - p[0]), abs(q[1] - p[1])) < 1e-9


def images(shape):
    """A shape's mirror images and its half turn."""
    left, top, right, bottom = shape.bounds
    centre = ((left + right) / 2, (top + bottom) / 2)
    yield affinity.scale(shape, -1, 1, origin=centre)
    yield affinity.scale(shape, 1, -1, origin=centre)
    yield affinity.rotate(shape, 180, origin=centre)


@pytest.mark.parametrize(("name", "text"), ALL)
def test_a_symmetry_of_the_font_is_one_of_the_figure(name, text):
    made = made_of(name, text)
    asymmetry = made.glyph.metrics.asymmetry
    if asymmetry is not None:
        outline = guide(made)
        of_font = (
            min(outline.symmetric_difference(image).area for image in images(outline)) / 2 / outline.area
        )
        assert asymmetry < (1e-9 if of_font < 0.02 else of_font)


@pytest.mark.parametrize("name", ["bold sans", "rounded"])
@pytest.mark.parametrize("text", "AHIOTVYN0")
def test_symmetries_of_plain_letters_are_seen(name, text):
    if text in LETTERS[name][1]:
        assert made_of(name, text).glyph.metrics.asymmetry is not None


@pytest.mark.parametrize("name", ["bold sans", "slab"])
def test_letters_that_stand_on_the_baseline_in_the_font_do_so_in_the_figure(name):
    feet, heads = set(), set()
    for made in conversions()[name].made:
        if made.glyph.text in "EFHILT":
            feet.add(round(figure(made).bounds[3], 6))
            heads.add(round(figure(made).bounds[1], 6))
    assert len(feet) == len(heads) == 1


@pytest.mark.parametrize("name", ["bold sans", "geometric", "rounded"])
@pytest.mark.parametrize("text", "ILTEFHV")
def test_plain_letters_take_one_section(name, text):
    assert len(made_of(name, text).glyph.sections) == 1


def test_most_letters_are_proved_to_have_the_fewest_pieces():
    proved = [m.glyph.metrics.proved_minimal for c in conversions().values() for m in c.made]
    assert sum(proved) >= 0.9 * len(proved)


def test_the_figure_kept_is_not_beaten_by_its_alternatives_in_everything():
    for conversion in conversions().values():
        for made in conversion.made:
            mine = made.glyph.metrics
            for other in (o.metrics for o in made.others):
                assert not (
                    other.pieces < mine.pieces
                    and other.sections < mine.sections
                    and other.iou > mine.iou + 1e-3
                )


def test_mirror_images_are_measured_as_shapely_does():
    made = made_of("bold sans", "A")
    left, _, right, _ = guide(made).bounds
    image = affinity.scale(figure(made), -1, 1, origin=((left + right) / 2, 0))
    assert shapely.symmetric_difference(figure(made), image).area < EXACT
