"""What a move of a line does to the overlap: against the overlap of the moved drawing, by shapely."""

import math

import pytest
from converter.straighten.drawing import line_drawing
from converter.straighten.gradient import gradient
from converter.straighten.measured import measured, sample_outline
from converter.straighten.polish import _pushed
from shapely.geometry import MultiPolygon, Point, Polygon, box

from converter.fidelity import iou
from converter.geometry import Line
from converter.polygons import polygons_of, rings_of
from converter.straighten.outline.symmetry import Symmetry

HAIR = 1e-3  # mm
DISC = Point(60, 60).buffer(50, quad_segs=64)
RING = MultiPolygon([DISC.difference(Point(60, 60).buffer(24, quad_segs=64))])


def eight(radius, turned=0.0):
    turns = [(k + turned) * math.pi / 4 for k in range(8)]
    return [(60 + radius * math.cos(t), 60 + radius * math.sin(t)) for t in turns]


def drawn(shape, symmetry):
    shape = shape if isinstance(shape, MultiPolygon) else MultiPolygon([shape])
    return line_drawing(rings_of(shape), symmetry)


def slope_of(drawing, outline):
    figure = polygons_of(drawing.figure())
    return gradient(measured(drawing, sample_outline(outline, 3.0)), figure, outline, iou(figure, outline))


@pytest.mark.parametrize("symmetry", [Symmetry(), Symmetry(x=60.0)])
@pytest.mark.parametrize(
    ("outline", "figure"),
    [
        (RING, Polygon(eight(52), [eight(25)[::-1]])),
        (RING, Polygon(eight(47)[::-1], [eight(21)])),  # whichever way round the rings run
        (MultiPolygon([box(10, 10, 110, 110)]), Polygon([(12, 8), (60, 16), (108, 8), (96, 112), (24, 112)])),
    ],
)
def test_a_line_moved_by_a_hair_changes_the_overlap_as_foretold(outline, figure, symmetry):
    drawing = drawn(figure, symmetry)
    slope = slope_of(drawing, outline)
    before = iou(polygons_of(drawing.figure()), outline)
    told = seen = 0.0
    for k in range(len(drawing.lines)):
        for foretold, shift, turn in ((slope.shifted[k], HAIR, 0.0), (slope.turned[k], 0.0, HAIR)):
            moved = _pushed(drawing, k, shift, turn)
            if moved is None:  # a line that is its own image, or that is level and must not turn
                continue
            change = (iou(polygons_of(moved.figure()), outline) - before) / HAIR
            # Asked at a few places of an edge only: some of its length is taken to be on the wrong side.
            assert foretold == pytest.approx(change, abs=4e-4)
            told, seen = told + abs(foretold), seen + abs(change)
    assert told == pytest.approx(seen, rel=0.1)
    assert seen > 0.01


def test_the_sides_of_the_truest_octagon_have_no_slope():
    """A side is best where half of it runs inside the circle (see the tests of polishing)."""
    best = 50 / math.sqrt(1 + math.tan(math.pi / 8) ** 2 / 4) / math.cos(math.pi / 8)
    drawing = drawn(Polygon(eight(best, 0.5)), Symmetry())
    outline = MultiPolygon([DISC])
    slope = slope_of(drawing, outline)
    assert abs(slope.shifted).max() < 2e-4
    assert abs(slope.turned).max() < 2e-4
    farther = drawing.moved(0, Line(drawing.lines[0].nx, drawing.lines[0].ny, drawing.lines[0].d * 1.02))
    assert abs(slope_of(farther, outline).shifted[0]) > 1e-3
