import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, get_parts, node, polygonize, union_all
from shapely.geometry import box as rectangle

from converter.model import Glyph
from converter.seams import TOLERANCE, assemblies, common_side, outline, seams
from tests.drawing.blocks import random_pattern
from tests.samples import box, letter_i, letter_t, plus, triangle

fixed = settings(derandomize=True, deadline=None, max_examples=40)


def rebuilt(glyph: Glyph, width: float, height: float) -> list[Polygon]:
    """The pieces as shapely's polygonizer (GEOS) finds them from nothing but the seams and the block's edge.

    Seam ends are rounded to 1e-4 mm, so each is lengthened by 1e-3 mm to reach what it ends on.
    """
    lines = [rectangle(0, 0, width, height).exterior]
    for seam in seams(glyph):
        (ax, ay), (bx, by) = seam.start, seam.end
        dx, dy = (bx - ax) / seam.length * 1e-3, (by - ay) / seam.length * 1e-3
        lines.append(LineString([(ax - dx, ay - dy), (bx + dx, by + dy)]))
    faces = get_parts(polygonize([node(union_all(lines))]))
    return [face for face in faces if face.area > 0.01]


@pytest.mark.parametrize("make", [letter_i, letter_t, triangle, plus])
def test_one_seam_for_each_piece_but_the_first(make):
    glyph = make()
    assert len(seams(glyph)) == len(glyph.pieces) - 1  # each seam of a binary tree adds one leaf


def test_seams_come_in_sewing_order_with_joins_last():
    kinds = [(s.kind, s.section, s.step, s.added) for s in seams(plus())]
    assert kinds[:5] == [
        ("inner", "A", 2, "A2"),
        ("inner", "A", 3, "A3"),
        ("inner", "A", 4, "A4"),
        ("inner", "B", 2, "B2"),
        ("inner", "B", 3, "B3"),
    ]
    assert kinds[5] == ("join", "A+B", 1, "B")
    assert (seams(plus())[2].start, seams(plus())[2].end) == ((10, 34), (50, 34))


@fixed
@given(st.integers(0, 10_000))
def test_the_pieces_can_be_rebuilt_from_the_seams_alone(seed):
    pattern = random_pattern(seed)
    glyph = pattern.glyphs[0]
    found = rebuilt(glyph, 76.2, 101.6)
    assert len(found) == len(glyph.pieces)
    for piece in glyph.pieces:
        shape = Polygon(piece.polygon)
        assert max(shape.intersection(f).area / shape.union(f).area for f in found) > 0.998


@fixed
@given(st.integers(0, 10_000))
def test_an_outline_is_the_union_of_its_pieces(seed):
    glyph = random_pattern(seed).glyphs[0]
    for assembly in assemblies(glyph).values():
        whole = union_all([Polygon(glyph.piece(i).polygon).buffer(1e-4) for i in assembly.pieces])
        assert Polygon(outline(glyph, assembly.pieces)).symmetric_difference(whole).area < 0.2


def test_an_outline_keeps_one_of_two_corners_a_hair_apart():
    glyph = letter_i()
    nearly = ((0.0, 0.0), (10.0, 0.0), (10.0, 9.9999), (9.9999, 10.0), (0.0, 10.0))
    piece = type(glyph.pieces[0])("A1", "figure", nearly)
    ring = outline(Glyph("k", "k", (), "", "ready", pieces=(piece,)), ["A1"])
    assert len(ring) == 4
    assert Polygon(ring).area == pytest.approx(100, abs=0.01)


def test_rounded_corners_of_a_long_slanted_side_still_share_it():
    first = ((0.0, 0.0), (133.3333, 0.0), (141.1234, 399.9999), (0.0, 400.0))
    second = ((133.3333, 0.0), (300.0, 0.0), (300.0, 400.0), (141.1234, 399.9999))
    assert common_side(first, second) == ((133.3333, 0.0), (141.1234, 399.9999))


def test_shapes_apart_share_no_side():
    with pytest.raises(ValueError, match="no common straight side"):
        common_side(box(0, 0, 10, 10), box(10 + 10 * TOLERANCE, 0, 20, 10))


def test_shapes_that_touch_in_a_corner_share_no_side():
    with pytest.raises(ValueError, match="no common straight side"):
        common_side(box(0, 0, 10, 10), box(10, 10, 20, 20))
