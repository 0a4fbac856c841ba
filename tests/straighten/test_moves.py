"""Moves of a drawing's lines, on shapes whose answer geometry gives."""

import math

import pytest
from shapely.geometry import MultiPolygon, Point

from converter.straighten.drawing import line_drawing, shape_of
from converter.straighten.moves import bevels, moves
from converter.straighten.refit import sample_outline
from converter.straighten.symmetry import Symmetry
from tests.sewing.figures import figure_of

SIZE = 100.0
CIRCLE = MultiPolygon([Point(0, 0).buffer(SIZE / 2, quad_segs=64)])
SAMPLES = sample_outline(CIRCLE, SIZE / 60)


def square(half):
    return (((((-half, -half), (half, -half), (half, half), (-half, half))),),)


def drawings(kind, symmetry):
    drawing = line_drawing(square(SIZE * 0.45), symmetry)
    assert drawing is not None
    return [moved for moved in kind(drawing, SAMPLES, SIZE, SIZE) if moved is not None]


def shared(drawing):
    shape = shape_of(drawing.figure())
    return shape.intersection(CIRCLE).area / shape.union(CIRCLE).area


def test_a_square_about_a_circle_is_bevelled_to_an_octagon_on_all_images_at_once():
    (octagon,) = drawings(bevels, Symmetry(x=0.0, y=0.0))
    assert [len(row) for row in octagon.rings] == [8]
    # The regular octagon of a circle's area: its apothem is √(π / (8 tan 22.5°)) of the radius (elementary geometry).
    apothem = SIZE / 2 * math.sqrt(math.pi / (8 * math.tan(math.pi / 8)))
    assert [abs(line.d) for line in octagon.lines] == pytest.approx([apothem] * 8, rel=0.02)
    assert shared(octagon) > 0.95


def test_without_symmetry_each_corner_is_bevelled_by_itself():
    found = drawings(bevels, Symmetry())
    assert [[len(row) for row in drawing.rings] for drawing in found] == [[5]] * 4
    before = line_drawing(square(SIZE * 0.45), Symmetry())
    assert all(shared(drawing) > shared(before) for drawing in found)


def test_a_corner_at_the_outline_is_not_bevelled():
    corners = MultiPolygon([shape_of(square(40.0)).geoms[0]])
    drawing = line_drawing(figure_of(corners), Symmetry())
    assert list(bevels(drawing, sample_outline(corners, 2.0), SIZE, SIZE)) == []


def test_no_other_move_adds_a_line():
    assert all(len(row) <= 4 for drawing in drawings(moves, Symmetry()) for row in drawing.rings)
