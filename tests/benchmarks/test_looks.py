"""Edges that slant in the block though they are level in the font."""

import pytest

from tests.benchmarks.looks import tilted_edges

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
