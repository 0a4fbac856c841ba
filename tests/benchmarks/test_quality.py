"""No mean of the samples is worse than its record; and the measures find what is put there to be found."""

import math

import pytest
from shapely import affinity
from shapely.geometry import MultiPolygon, Point, Polygon, box

from converter.model import FIGURE, Piece
from converter.polygons import rings_of
from tests.benchmarks.crests import crests, height_of, is_kept, stands_out
from tests.benchmarks.like_parts import LikeParts, like_parts
from tests.benchmarks.quality import MEASURES, SAMPLES, TOLERANCE, measured, recorded, worse_by

ROUND = Point(50, 50).buffer(40, quad_segs=32)
RING = ROUND.difference(Point(50, 50).buffer(25, quad_segs=32))


def rings(shape):
    return rings_of(MultiPolygon(getattr(shape, "geoms", [shape])))


def octagon(radius: float, turned: float = 22.5) -> Polygon:
    corners = [math.radians(turned + 45 * k) for k in range(8)]
    return Polygon([(50 + radius * math.cos(a), 50 + radius * math.sin(a)) for a in corners])


@pytest.mark.parametrize("sample", SAMPLES)
@pytest.mark.parametrize("name", MEASURES)
def test_no_mean_is_worse_than_its_record(sample, name):
    now, before = measured()[sample][name], recorded()[sample][name]
    worse = worse_by(name, now, before)
    assert worse <= TOLERANCE, (
        f"{sample}: {name} is {now:.3f}, {worse:.1%} worse than its record of {before:.3f}. If that is meant: "
        "python -m tests.benchmarks.quality --record"
    )


def test_the_record_has_every_sample_and_measure_and_no_other():
    assert {name: set(row) for name, row in recorded().items()} == {name: set(MEASURES) for name in SAMPLES}


def test_worse_is_more_of_what_costs_and_less_of_what_counts():
    assert worse_by("pieces", 11.0, 10.0) == pytest.approx(0.1)
    assert worse_by("overlap", 0.9, 1.0) == pytest.approx(0.1)
    assert worse_by("sections", 1.0, 2.0) < 0


def test_a_ring_has_four_crests_outside_and_four_inside():
    found = crests(rings(RING))
    assert len(found) == 8
    assert sum(crest.in_counter for crest in found) == 4
    # Top, foot and sides of a circle of radius 40 about (50, 50).
    outside = {(round(crest.place[0]), round(crest.place[1])) for crest in found if not crest.in_counter}
    assert outside == {(50, 10), (50, 90), (10, 50), (90, 50)}


def test_straights_and_what_goes_on_are_no_crests():
    assert crests(rings(box(10, 10, 60, 90))) == []
    # A wave's middle is level and goes on: two quarter circles that bend opposite ways.
    upper = [
        (50 - 40 * math.cos(math.radians(t)), 50 - 40 * math.sin(math.radians(t))) for t in range(50, 91, 2)
    ]
    lower = [
        (50 + 40 * math.sin(math.radians(t)), -30 + 40 * math.cos(math.radians(t))) for t in range(0, 41, 2)
    ]
    wave = Polygon([*upper, *lower[1:], (90, 90), (20, 90)])
    assert not [crest for crest in crests(rings(wave)) if abs(crest.place[1] - 10) < 1]


def test_a_crest_is_kept_by_an_edge_and_lost_to_a_point():
    outline = rings(ROUND)
    for figure, kept in ((octagon(42), 4), (octagon(42, 0), 0)):
        assert sum(is_kept(crest, rings(figure), height_of(outline)) for crest in crests(outline)) == kept


def test_what_stands_out_above_or_below_is_measured_and_what_stays_inside_is_none():
    letter = rings(box(10, 10, 60, 90))
    assert stands_out(rings(box(10, 6, 60, 90)), letter) == pytest.approx(4 / 80)
    assert stands_out(rings(box(10, 10, 60, 92)), letter) == pytest.approx(2 / 80)
    assert stands_out(rings(box(5, 12, 70, 88)), letter) == 0.0


def letter(outline, figure):
    return rings(outline), [Piece("A1", FIGURE, tuple(figure.exterior.coords[:-1]))]


def with_stem(bowl: Polygon) -> Polygon:
    """A bowl of half the height, with its right half on a stem, as D and P have them."""
    small = affinity.scale(bowl, 0.5, 0.5, origin=(50, 50))
    return box(40, 10, 50, 90).union(small.intersection(box(50, 0, 100, 100)))


@pytest.mark.parametrize("mirror", [(1, 1), (-1, 1), (1, -1), (-1, -1)])
def test_bowls_are_like_however_mirrored_and_alike_where_drawn_so(mirror):
    def mirrored(shape):
        return affinity.scale(shape, *mirror, origin=(45, 50))

    diamond = Polygon([(50, 0), (100, 50), (50, 100), (0, 50)])
    outline, drawn, pointed = (with_stem(bowl) for bowl in (ROUND, octagon(42), diamond))
    same = like_parts([letter(outline, drawn), letter(mirrored(outline), mirrored(drawn))])
    differing = like_parts([letter(outline, drawn), letter(mirrored(outline), mirrored(pointed))])
    like, alike = same.letters[0, 1]
    assert like == alike > 3
    assert differing.letters[0, 1][0] == like
    assert differing.letters[0, 1][1] < like
    # Each bowl is like itself, upside down, and drawn so; only the two beside each other differ.
    assert same.share_of_letters == 1.0
    assert not same.unlike_letters
    assert differing.unlike_letters == [(0, 1)]
    assert differing.share_of_letters == pytest.approx(2 / 3)


def test_letters_are_alike_where_more_than_four_fifths_of_their_stretches_are():
    parts = LikeParts(30, 17, {(0, 1): (10, 8), (0, 2): (10, 9), (1, 2): (10, 0)})
    assert parts.unlike_letters == [(1, 2), (0, 1)]
    assert parts.share_of_letters == pytest.approx(1 / 3)


def test_letters_without_bowls_have_no_like_parts():
    stem = box(10, 10, 30, 90)
    parts = like_parts([letter(stem, stem), letter(stem, stem)])
    assert parts.share == parts.share_of_letters == 1.0
