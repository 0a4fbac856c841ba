"""The greedy convex partition that the benchmark compares with."""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from converter.geometry import signed_area
from tests.benchmarks.partitions import convex_pieces, triangles
from tests.sewing.figures import LETTERS, drawn, shape_of
from tests.zoo import HEIGHT, WIDTH, ZOO

BLOCK = box(0, 0, WIDTH, HEIGHT)
AREAS = {name: shape for name, shape in ZOO.items() if shape.area > 1} | {
    f"ground of {name}": BLOCK.difference(shape) for name, shape in ZOO.items() if shape.area > 1
}


def reflex_corners(area) -> int:
    """Corners of the area at which it is wider than a half turn."""
    count = 0
    for polygon in shapely.get_parts(area):
        for ring in (polygon.exterior, *polygon.interiors):
            corners = ring.coords[:-1]
            if (signed_area(corners) > 0) != (ring is polygon.exterior):
                corners = corners[::-1]
            count += sum(
                signed_area((corners[k - 2], corners[k - 1], corners[k])) < 0 for k in range(len(corners))
            )
    return count


def assert_convex_partition(area) -> None:
    pieces = [Polygon(ring) for ring in convex_pieces(area)]
    assert shapely.union_all(pieces).symmetric_difference(area).area < 1e-6
    assert sum(piece.area for piece in pieces) == pytest.approx(area.area)
    for piece in pieces:
        assert piece.convex_hull.area == pytest.approx(piece.area)
    # At most two diagonals stay for each reflex corner: Hertel and Mehlhorn 1983, as lemma 2.5.2 in O'Rourke,
    # "Computational Geometry in C". The number of pieces follows from it: a diagonal more, a piece more.
    parts = len(shapely.get_parts(area))
    assert len(pieces) <= 2 * reflex_corners(area) + parts
    assert len(pieces) <= len(triangles(area))


@pytest.mark.parametrize("name", AREAS)
def test_pieces_are_convex_tile_the_area_and_are_few(name):
    assert_convex_partition(AREAS[name])


@pytest.mark.parametrize(("letter", "least"), {"L": 2, "T": 2, "U": 3, "H": 3, "O": 4, "+": 3}.items())
def test_letters_drawn_on_a_grid_take_as_many_pieces_as_a_hand_finds(letter, least):
    # The least by the letter's own corners, found by hand; the greedy way may need more, never fewer.
    assert least <= len(convex_pieces(shape_of(drawn(LETTERS[letter])[0]))) <= least + 1


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.lists(st.tuples(*[st.integers(0, 9)] * 4), min_size=1, max_size=6))
def test_any_union_of_boxes(boxes):
    area = shapely.union_all([box(x, y, x + 1 + w, y + 1 + h) for x, y, w, h in boxes])
    assert_convex_partition(shapely.simplify(area, 0))


@pytest.mark.parametrize("name", AREAS)
def test_no_two_pieces_are_convex_together(name):
    pieces = [Polygon(ring) for ring in convex_pieces(AREAS[name])]
    for k, one in enumerate(pieces):
        for other in pieces[:k]:
            if one.intersection(other).length > 1e-6:
                union = one.union(other)
                assert union.convex_hull.area > union.area + 1e-9
