from math import cos, pi, sin

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from converter.printing.nesting import fits, nest, sheets_by_area
from converter.printing.placing import turned_ring
from tests.samples import box

WIDTH, HEIGHT, GAP = 197.0, 255.5, 0.4


@st.composite
def convex(draw):
    corners = draw(st.integers(3, 7))
    angles = [2 * pi * (k + draw(st.floats(0, 0.8))) / corners for k in range(corners)]
    w, h = draw(st.floats(10, 90)), draw(st.floats(10, 60))
    return tuple((round(w * cos(a), 4), round(h * sin(a), 4)) for a in angles)


def laid(rings, placed):
    return [
        (p.sheet, shapely.affinity.translate(Polygon(turned_ring(rings[p.item], p.turn)), p.x, p.y))
        for p in placed
    ]


@settings(max_examples=25, derandomize=True, deadline=None)
@given(st.lists(convex(), min_size=1, max_size=9))
def test_shapes_lie_on_their_sheets_and_apart(rings):
    placed = nest(rings, WIDTH, HEIGHT, GAP)
    assert [p.item for p in placed] == list(range(len(rings)))
    shapes = laid(rings, placed)
    for n, (sheet, shape) in enumerate(shapes):
        assert shapely.box(0, 0, WIDTH, HEIGHT).buffer(2e-3).contains(shape)
        for other_sheet, other in shapes[:n]:
            if sheet == other_sheet:
                assert shape.distance(other) >= GAP - 2e-3
    assert 1 + max(p.sheet for p in placed) >= sheets_by_area(rings, WIDTH, HEIGHT)


def test_turning_saves_a_sheet():
    rings = [box(0, 0, 190, 60), box(0, 0, 60, 190), box(0, 0, 190, 60), box(0, 0, 60, 190)]
    assert {p.sheet for p in nest(rings, WIDTH, HEIGHT, GAP)} == {0}
    assert len({p.sheet for p in nest(rings, WIDTH, HEIGHT, GAP, turns=(0,))}) > 1


def test_triangles_share_rectangles():
    """Six right triangles lie where four rectangles round them would: by their boxes they need two sheets."""
    triangle = ((0.0, 0.0), (95.0, 0.0), (0.0, 125.0))
    assert {p.sheet for p in nest([triangle] * 6, WIDTH, HEIGHT, GAP)} == {0}
    assert len({p.sheet for p in nest([box(0, 0, 95, 125)] * 6, WIDTH, HEIGHT, GAP)}) == 2


def test_groups_lie_together_where_it_costs_nothing():
    rings = [box(0, 0, 95, 125)] * 8
    groups = [0, 1, 0, 1, 0, 1, 0, 1]
    placed = nest(rings, WIDTH, HEIGHT, GAP, groups)
    assert len({(groups[p.item], p.sheet) for p in placed}) == 2


def test_too_large_a_shape_is_refused():
    assert not fits(box(0, 0, 300, 300), WIDTH, HEIGHT)
    assert fits(box(0, 0, 250, 190), WIDTH, HEIGHT)
    with pytest.raises(ValueError, match="does not fit"):
        nest([box(0, 0, 300, 300)], WIDTH, HEIGHT, GAP)


def test_nothing_takes_no_sheet():
    assert nest([], WIDTH, HEIGHT, GAP) == ()
    assert sheets_by_area([], WIDTH, HEIGHT) == 0


def test_what_belongs_together_lies_on_one_sheet_where_it_costs_none():
    # Eight rectangles of which four fill a sheet. Largest first, as they are sorted, parts every pair.
    rings = [box(0, 0, 95 - k / 10, 125 - k / 10) for k in range(8)]
    families = [0, 1, 2, 3, 0, 1, 2, 3]

    def split(placed):
        return sum(len({p.sheet for p in placed if families[p.item] == f}) > 1 for f in range(4))

    assert split(nest(rings, WIDTH, HEIGHT, GAP)) == 4
    placed = nest(rings, WIDTH, HEIGHT, GAP, families=families)
    assert {p.sheet for p in placed} == {0, 1}
    assert split(placed) == 0
