from dataclasses import replace
from math import cos, hypot, isclose, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, union_all

from converter.covering import centre_marks, piece_with_allowance, strips
from converter.drawing.cut_lines import cut_lines
from converter.errors import InputError
from converter.fabric.cutting import Cutting, cutting_for
from converter.fabric.patches import patch_cuts, patches
from converter.geometry import corner_degrees
from converter.model import Block, Piece
from converter.seams import seams
from tests.drawing.blocks import random_pattern
from tests.fabric.blocks import HEIGHT, WIDTH, one_section_blocks
from tests.fabric.blocks import glyph as block_glyph
from tests.samples import letter_i, letter_t, plus, triangle

SHARP = 20.0  # degrees; the point of a sharper corner of a section may stick out of its patch
CUTTINGS = st.builds(
    Cutting,
    units=st.sampled_from(["in", "mm"]),
    allowance=st.sampled_from([6.35, 7.0, 5.0]),
    margin=st.sampled_from([0.0, 6.35, 10.0]),
)


@settings(derandomize=True, deadline=None, max_examples=150)
@given(one_section_blocks(), CUTTINGS)
def test_a_patch_covers_its_piece_with_allowance_and_margin_as_it_is_sewn(glyph, cutting):
    by_id = {piece.id: piece for piece in glyph.pieces}
    for patch in patches(glyph, cutting):
        cover = Polygon(patch.corners)
        ring = by_id[patch.piece].polygon
        grown = piece_with_allowance(ring, cutting.allowance)
        inner = cover.buffer(-cutting.margin + 2e-3, join_style="mitre")
        assert inner.covers(grown)
        # The same without shapely's offsetting: the allowance beside each edge is covered, point by point.
        for (x, y), (end_x, end_y) in zip(ring, ring[1:] + ring[:1], strict=True):
            length = hypot(end_x - x, end_y - y)
            nx, ny = (end_y - y) / length, -(end_x - x) / length
            if Polygon(ring).exterior.is_ccw is False:
                nx, ny = -nx, -ny
            beside = [
                (px + nx * cutting.allowance, py + ny * cutting.allowance)
                for px, py in ((x, y), (end_x, end_y))
            ]
            assert cover.buffer(2e-3).covers(Polygon([(x, y), (end_x, end_y), *reversed(beside)]))
        assert isclose(cover.area, patch.along * patch.across, rel_tol=1e-9)
        assert cover.area >= grown.area
        for side in (patch.along, patch.across):
            assert abs(side / cutting.step - round(side / cutting.step)) < 1e-6


@settings(derandomize=True, deadline=None, max_examples=100)
@given(one_section_blocks(), CUTTINGS)
def test_a_patch_lies_along_the_seam_that_adds_its_piece_and_reaches_past_it(glyph, cutting):
    found = {patch.piece: patch for patch in patches(glyph, cutting)}
    assert list(found) == list(glyph.sections[0].pieces)
    for seam in seams(glyph):
        patch = found[seam.added]
        dx, dy = seam.end[0] - seam.start[0], seam.end[1] - seam.start[1]
        off = dx * sin(radians(patch.angle)) - dy * cos(radians(patch.angle))
        assert abs(off) < 0.01
        # Sewn right side down: the sewn edge must lie a whole allowance beyond the seam, all along it.
        nx, ny = -dy / seam.length, dx / seam.length
        beyond = [(x * nx + y * ny) - (seam.start[0] * nx + seam.start[1] * ny) for x, y in patch.corners]
        need = cutting.allowance + cutting.margin - 0.01
        assert max(beyond) >= need
        assert min(beyond) <= -need


@settings(derandomize=True, deadline=None, max_examples=150)
@given(one_section_blocks(), CUTTINGS, st.sampled_from([None, 3.0]))
def test_a_patch_laid_as_the_instructions_say_covers_its_piece_with_allowance(glyph, cutting, inner):
    # Its edge the allowance past the seam, its middle at the arrow, or else at the middle of the seam.
    cutting = replace(cutting, margin=6.35, piece_allowance=inner)
    inner = cutting.inner_allowance
    block = Block(WIDTH, HEIGHT, cutting.allowance, cutting.piece_allowance)
    found = {patch.piece: patch for patch in patches(glyph, cutting)}
    arrows = {mark.piece: mark for mark in centre_marks(glyph, block)}
    for seam in seams(glyph):
        patch, ring = found[seam.added], Polygon(glyph.piece(seam.added).polygon)
        (ax, ay), (bx, by) = seam.start, seam.end
        ux, uy = (bx - ax) / seam.length, (by - ay) / seam.length
        nx, ny = -uy, ux
        if (ring.centroid.x - ax) * nx + (ring.centroid.y - ay) * ny < 0:
            nx, ny = -nx, -ny
        x, y = (ax + bx) / 2, (ay + by) / 2
        if seam.added in arrows:
            x, y = arrows[seam.added].place
            assert LineString([seam.start, seam.end]).distance(Point(x, y)) < 0.01
        laid = Polygon(
            (x + su * ux * patch.along / 2 + v * nx, y + su * uy * patch.along / 2 + v * ny)
            for su, v in ((-1, -inner), (1, -inner), (1, patch.across - inner), (-1, patch.across - inner))
        )
        assert laid.buffer(0.01).covers(piece_with_allowance(tuple(ring.exterior.coords[:-1]), inner))


def test_a_patch_whose_piece_lies_to_one_side_of_its_seam_has_an_arrow():
    # The seam from (20, 40) to (60, 40) adds a piece that runs from 0 to 60: its middle is 30, the seam's 40.
    pieces = (
        Piece("A1", "figure", ((60.0, 0.0), (60.0, 40.0), (20.0, 40.0))),
        Piece("A2", "background", ((20.0, 40.0), (60.0, 40.0), (60.0, 80.0), (0.0, 80.0), (0.0, 60.0))),
        Piece("A3", "background", ((0.0, 0.0), (60.0, 0.0), (0.0, 60.0))),
    )
    (arrow,) = centre_marks(block_glyph("X", pieces), Block(60, 80, 6.35))
    assert arrow.piece == "A2"
    assert 20 < arrow.place[0] < 32
    assert arrow.place[1] == pytest.approx(40)
    assert arrow.inwards == pytest.approx((0, 1))


def test_patches_of_the_letter_i_by_hand():
    # Stem 12 × 60 mm: + 2 × 1/4 in allowance + 2 × 1/4 in margin = 37.4 × 85.4 mm
    # = 11.78 and 26.9 eighths of an inch, so 12 and 27: 1 1/2 × 3 3/8 in.
    cuts = patch_cuts([letter_i()], Cutting())
    sizes = {(c.fabric, round(c.length / 3.175), round(c.width / 3.175)): c.count for c in cuts}
    # Sides 24 × 60 → 49.4 × 85.4 → 16 × 27; ends 60 × 10 → 85.4 × 35.4 → 27 × 12.
    assert sizes == {("figure", 27, 12): 1, ("background", 27, 16): 2, ("background", 27, 12): 2}
    metric = {(c.fabric, c.length, c.width): c.count for c in patch_cuts([letter_i()], Cutting(units="mm"))}
    assert metric == {("figure", 90, 40): 1, ("background", 90, 50): 2, ("background", 90, 40): 2}


def test_slanted_pieces_are_cut_along_their_slanted_seam():
    second = patches(triangle(), Cutting())[1]
    # The seam runs from (30, 10) to (10, 70).
    assert second.angle == pytest.approx(108.4349, abs=1e-3)


@pytest.mark.parametrize("make", [letter_i, letter_t, triangle, plus])
def test_every_piece_has_one_patch(make):
    glyph = make()
    assert sorted(p.piece for p in patches(glyph, Cutting())) == sorted(p.id for p in glyph.pieces)


@pytest.mark.parametrize(
    "settings",
    [{"allowance": -1.0}, {"margin": -0.1}, {"fabric_width": 0.0}, {"fabric_width": -5.0}, {"squaring": 1e9}],
)
def test_settings_that_cannot_be_are_refused(settings):
    with pytest.raises(InputError):
        Cutting(**settings)


@pytest.mark.parametrize("seed", range(40))
def test_the_patches_of_a_section_cover_all_that_lies_within_its_cutting_line(seed):
    pattern = random_pattern(seed)
    (block,) = pattern.glyphs
    cuts, found = cut_lines(block, pattern.block), {p.piece: p for p in patches(block, cutting_for(pattern))}
    for section in block.sections:
        if min(min(corner_degrees(block.piece(i).polygon)) for i in section.pieces) < SHARP:
            continue
        covered = union_all([Polygon(found[i].corners).buffer(0.01) for i in section.pieces])
        if section.id not in strips(block, 6.35, 6.35):
            assert covered.covers(Polygon(cuts[section.id])), section.id
