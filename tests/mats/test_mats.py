"""Mats for cutting machines: their DXF read back by ezdxf, their SVG by svgelements."""

from dataclasses import replace
from io import StringIO
from itertools import combinations

import ezdxf
import pytest
import shapely
from ezdxf import units
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon
from svgelements import SVG
from svgelements import Polygon as SvgPolygon

from converter.errors import InputError
from converter.mats.files import mat_dxf, mat_files, mat_svg
from converter.mats.laying import lay_on_mats
from converter.mats.shapes import PAPER, Shape, piece_shapes, section_shapes
from converter.mats.strokes import name_strokes
from tests.samples import box, letter_i, letter_t, plus, sample_pattern, triangle

PATTERN = sample_pattern(letter_i(), letter_t(), triangle(), plus())
ALLOWANCE = PATTERN.block.seam_allowance
SIZE = (300.0, 300.0)


def mats_of(shapes_of=piece_shapes, allowance=ALLOWANCE, **more):
    shapes = list(shapes_of(PATTERN, PATTERN.glyphs, allowance))
    return shapes, lay_on_mats(shapes, SIZE, 6.0, 3.0, **more)


def read_dxf(text):
    return ezdxf.read(StringIO(text))


def test_every_piece_lies_on_a_mat_of_its_fabric_once_and_apart_from_the_others():
    shapes, mats = mats_of()
    laid = [one for mat in mats for one in mat.laid]
    assert sorted(one.shape.name for one in laid) == sorted(shape.name for shape in shapes)
    assert {one.shape.fabric for mat in mats for one in mat.laid if mat.fabric != one.shape.fabric} == set()
    for mat in mats:
        inside = shapely.box(6, 6, 294, 294).buffer(1e-3)
        rings = [Polygon(one.ring) for one in mat.laid]
        assert all(inside.contains(ring) for ring in rings)
        assert min((a.distance(b) for a, b in combinations(rings, 2)), default=3.0) >= 3.0 - 1e-3


def test_pieces_are_as_large_as_asked_and_not_mirrored():
    _, plain = mats_of(allowance=0.0)
    _, grown = mats_of()
    finished = {one.shape.name: Polygon(one.ring) for mat in plain for one in mat.laid}
    for glyph in PATTERN.glyphs:
        for piece in glyph.pieces:
            assert finished[f"{glyph.name} {piece.id}"].area == pytest.approx(
                Polygon(piece.polygon).area, rel=1e-6
            )
    for mat in grown:
        for one in mat.laid:
            # An allowance adds at least its width times the edge (Steiner's formula for convex shapes, from memory).
            bare = finished[one.shape.name]
            assert Polygon(one.ring).area >= bare.area + ALLOWANCE * bare.length
    # A scalene triangle and its mirror image differ by the sense in which its sides follow by length.
    (ring,) = [s.ring for s in [Shape("x", "f", ((0, 0), (30, 0), (0, 10)))]]
    (mat,) = lay_on_mats([Shape("x", "f", ring)], SIZE, 0.0, 0.0)
    found = mat.laid[0].ring
    sides = [
        shapely.Point(a).distance(shapely.Point(b))
        for a, b in zip(found, (*found[1:], found[0]), strict=True)
    ]
    k = sides.index(max(sides))
    assert sides[(k + 1) % 3] < sides[(k + 2) % 3]  # as in the triangle above: 31.6, then 10, then 30


def test_dxf_read_back_is_in_mm_and_holds_every_shape_closed_on_its_layer():
    _, mats = mats_of()
    for mat in mats:
        document = read_dxf(mat_dxf(mat, "score"))
        assert document.units == units.MM
        assert not document.audit().has_errors
        cuts = document.modelspace().query('LWPOLYLINE[layer=="CUT"]')
        assert len(cuts) == len(mat.laid)
        assert all(line.closed for line in cuts)
        for line, one in zip(cuts, mat.laid, strict=True):
            upright = Polygon([(x, mat.height - y) for x, y in line.get_points("xy")])
            assert upright.symmetric_difference(Polygon(one.ring)).area < 0.01
        scored = document.modelspace().query('LWPOLYLINE[layer=="SCORE"]')
        assert len(scored) == sum(len(one.name) for one in mat.laid) > 0
        held = [Polygon([(x, mat.height - y) for x, y in c.get_points("xy")]) for c in cuts]
        for line in scored:
            points = shapely.MultiPoint([(x, mat.height - y) for x, y in line.get_points("xy")])
            assert any(polygon.contains(points) for polygon in held)


def test_names_can_be_layers_of_their_own():
    shapes, mats = mats_of(section_shapes)
    for mat in mats:
        document = read_dxf(mat_dxf(mat, "layer"))
        lines = document.modelspace().query("LWPOLYLINE")
        assert [line.dxf.layer.split(" ", 1)[1] for line in lines] == [one.shape.name for one in mat.laid]
        assert len({line.dxf.layer for line in lines}) == len(mat.laid)
        assert {line.dxf.layer for line in lines} <= {layer.dxf.name for layer in document.layers}
        assert f'inkscape:label="1 {mat.laid[0].shape.name}"' in mat_svg(mat, "layer", "x")
    assert {shape.fabric for shape in shapes} == {PAPER}


def test_svg_read_by_another_program_has_the_same_shapes_at_true_size():
    _, mats = mats_of()
    for mat in mats:
        svg = SVG.parse(
            StringIO(mat_svg(mat, "score", "letter, mat 1")), ppi=25.4
        )  # so that its unit is 1 mm
        assert (float(svg.width), float(svg.height)) == pytest.approx((mat.width, mat.height))
        found = [e for e in svg.elements() if isinstance(e, SvgPolygon)]
        assert len(found) == len(mat.laid)
        for element, one in zip(found, mat.laid, strict=True):
            ring = Polygon([(float(p.x), float(p.y)) for p in element])
            assert (
                ring.symmetric_difference(Polygon(one.ring)).area < 0.1
            )  # svgwrite keeps three decimals of a mm


def test_sections_are_mirrored_as_templates_are():
    shapes = list(section_shapes(PATTERN, [plus()], 0.0))
    assert sum(Polygon(s.ring).area for s in shapes) == pytest.approx(60 * 80)
    pieces = {piece.id: piece for piece in plus().pieces}
    for section, shape in zip(plus().sections, shapes, strict=True):
        own = shapely.union_all([Polygon(pieces[piece].polygon) for piece in section.pieces])
        mirrored = shapely.transform(own, lambda p: p * [-1, 1] + [60, 0])
        assert mirrored.symmetric_difference(Polygon(shape.ring)).area < 0.01


def test_along_the_grain_nothing_lies_sideways():
    long = [Shape(f"I A{n}", "f", box(0, 0, 20, 120)) for n in range(4)]
    for mat in lay_on_mats(long, SIZE, 0.0, 2.0, (0, 180)):
        for one in mat.laid:
            assert max(y for _, y in one.ring) - min(y for _, y in one.ring) == pytest.approx(120)
    with pytest.raises(InputError, match="larger than the mat"):
        lay_on_mats(long, (300.0, 100.0), 0.0, 2.0, (0, 180))
    assert lay_on_mats(long, (300.0, 100.0), 0.0, 2.0)


def test_a_name_stands_upright_and_in_the_middle():
    lines = name_strokes("L", (10.0, 20.0), 10.0)
    points = [p for line in lines for p in line]
    low, high = min(y for _, y in points), max(y for _, y in points)
    assert (low + high) / 2 == pytest.approx(20.0, abs=0.01)
    assert high - low == pytest.approx(7.3, abs=0.01)
    foot = [x for x, y in points if y > high - 0.01]  # y down: an L has its bar at the foot
    head = [x for x, y in points if y < low + 0.01]
    assert max(foot) - min(foot) > max(head) - min(head)
    assert max(head) < 10.0  # and its stem at the left


def test_the_same_mats_are_the_same_bytes_and_the_list_names_all():
    shapes, mats = mats_of()
    labels = {"figure": "old net", "background": "sand"}
    files = mat_files(mats, "score", "mm", labels)
    assert files == mat_files(mats_of()[1], "score", "mm", labels)
    assert {"old-net-1.svg", "old-net-1.dxf", "sand-1.svg", "list.csv"} <= set(files)
    assert len(files["list.csv"].splitlines()) == 1 + len(shapes)
    same = mat_files(mats, "score", "mm", {"figure": "sand", "background": "sand"})
    assert len(same) == len(files)


@settings(derandomize=True, deadline=None, max_examples=25)
@given(
    sizes=st.lists(st.tuples(st.floats(2, 140), st.floats(2, 140)), min_size=1, max_size=30),
    gap=st.floats(0, 10),
    margin=st.floats(0, 20),
)
def test_nothing_overlaps_whatever_the_shapes(sizes, gap, margin):
    shapes = [Shape(f"X A{n}", "f", box(0, 0, *size)) for n, size in enumerate(sizes)]
    mats = lay_on_mats(shapes, (200.0, 200.0), margin, gap)
    assert sum(len(mat.laid) for mat in mats) == len(shapes)
    for mat in mats:
        rings = [Polygon(one.ring) for one in mat.laid]
        assert all(a.intersection(b).area < 1e-2 for a, b in combinations(rings, 2))


@pytest.mark.parametrize("gap", [0.0, 5e-324, 2.2227587494850775e-162, 1e-30, 1e-12, 1e-6])
def test_next_to_no_gap_is_none(gap):
    (mat,) = lay_on_mats([Shape("X A1", "f", box(0, 0, 2, 2))] * 2, (200.0, 200.0), 0.0, gap)
    assert len(mat.laid) == 2


@pytest.mark.parametrize(
    ("size", "margin", "gap", "message"),
    [
        ((0.0, 100.0), 0.0, 0.0, "give sides"),
        ((300.0, 9000.0), 0.0, 0.0, "give sides"),
        ((300.0, 300.0), 150.0, 0.0, "leaves no room"),
        ((300.0, 300.0), 0.0, -1.0, "leaves no room"),
        ((30.0, 30.0), 0.0, 0.0, r"I A\d \(.*larger --mat"),
    ],
)
def test_a_mat_that_cannot_be_is_told(size, margin, gap, message):
    shapes = list(piece_shapes(PATTERN, PATTERN.glyphs, ALLOWANCE))
    with pytest.raises(InputError, match=message):
        lay_on_mats(shapes, size, margin, gap)


def test_far_too_many_shapes_are_told():
    shape = Shape("I A1", "f", box(0, 0, 1, 1))
    with pytest.raises(InputError, match="too many"):
        lay_on_mats([shape] * 20_001, SIZE, 0.0, 0.0)


def test_a_name_beyond_ascii_is_the_glyphs():
    leaf = replace(letter_i(), name="leaf", text="\ue000", codepoints=(0xE000,))
    assert {s.name.split()[0] for s in piece_shapes(PATTERN, [leaf], 0.0)} == {"leaf"}
