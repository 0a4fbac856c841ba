"""Edges that slant in the block though they are level in the font."""

import pytest
import shapely

from converter.model import FIGURE, Piece
from tests.benchmarks.looks import is_torn, tilted_edges
from tests.samples import box
from tests.sewing.figures import figure_of

CAP_HEIGHT = 90.0
BOX = ((20.0, 5.0), (60.0, 5.0), (60.0, 95.0), (20.0, 95.0))


def moved(**corners: tuple[float, float]):
    """The box with some corners (a to d) elsewhere."""
    return ((tuple(corners.get(name, own) for name, own in zip("abcd", BOX, strict=True)),),)


@pytest.mark.parametrize(
    ("figure", "tilted"),
    [
        (moved(), 0),
        (moved(b=(58.0, 5.0), c=(58.0, 95.0)), 0),  # upright as before, at another place
        (moved(b=(60.0, 9.0)), 1),
        (moved(b=(60.0, 9.0), d=(24.0, 95.0)), 2),
        ((), 0),
    ],
)
def test_only_what_slants_counts(figure, tilted):
    assert tilted_edges(moved(), figure, CAP_HEIGHT) == tilted


def test_short_edges_and_those_that_slant_in_the_font_do_not_count():
    short = ((((20.0, 5.0), (30.0, 5.0), (40.0, 95.0)),),)
    assert tilted_edges(short, ((((20.0, 5.0), (30.0, 8.0), (40.0, 95.0)),),), CAP_HEIGHT) == 0


def letter_h(bar: float):
    """The parts of an H, with its bar of this thickness."""
    return [box(10, 10, 25, 90), box(50, 10, 65, 90), box(25, 50 - bar / 2, 50, 50 + bar / 2)]


@pytest.mark.parametrize(("bar", "torn"), [(8, False), (0.3, False), (0.02, True)])
def test_a_stroke_too_thin_to_see_is_gone(bar, torn):
    outline = figure_of(shapely.union_all([shapely.Polygon(ring) for ring in letter_h(3)]))
    pieces = [Piece(f"A{k}", FIGURE, ring) for k, ring in enumerate(letter_h(bar), 1)]
    assert is_torn(outline, pieces) == torn


def test_a_counter_that_is_filled_is_missed():
    frame = figure_of(shapely.box(10, 10, 60, 90).difference(shapely.box(20, 20, 50, 80)))
    assert is_torn(frame, [Piece("A1", FIGURE, box(10, 10, 60, 90))])
