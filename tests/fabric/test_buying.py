from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import STRtree, box

from converter.errors import InputError
from converter.fabric.buying import buy
from converter.fabric.cutting import Cut, Cutting, grouped, strip_cut, times
from converter.fabric.patches import patch_cuts
from tests.samples import letter_i, letter_t, plus, triangle

EIGHTH = 3.175


def cut(length, width, count=1, fabric="figure"):
    return Cut("patch", fabric, length * EIGHTH, width * EIGHTH, count)


sizes = st.builds(
    lambda a, b, n, f: cut(max(a, b), min(a, b), n, f),
    st.integers(6, 400),
    st.integers(6, 300),
    st.integers(1, 9),
    st.sampled_from(["figure", "background"]),
)


def assert_holds(plan, cuts, cutting):
    """A real packing: every patch placed once, none over another, none over the edge, in what is bought."""
    wanted = {
        (c.kind, c.length, c.width, c.joined_from): c.count for c in grouped(cuts) if c.fabric == plan.fabric
    }
    placed = dict.fromkeys(wanted, 0)
    boxes = []
    end = 0.0
    for strip in plan.strips:
        assert strip.start == pytest.approx(end, abs=1e-6)
        end = strip.start + strip.height
        for spot in strip.placed:
            of = plan.cuts[spot.cut]
            placed[of.kind, of.length, of.width, of.joined_from] += 1
            sides = sorted((spot.width, spot.height))
            assert sides == pytest.approx(sorted((of.length, of.width)), abs=1e-3)
            assert spot.x >= 0
            assert spot.y >= 0
            assert spot.x + spot.width <= cutting.fabric_width + 1e-6
            assert spot.y + spot.height <= strip.height + 1e-6
            boxes.append(
                box(spot.x, strip.start + spot.y, spot.x + spot.width, strip.start + spot.y + spot.height)
            )
    assert placed == wanted
    tree = STRtree(boxes)
    for index, shape in enumerate(boxes):
        for other in tree.query(shape):
            if other > index:
                assert shape.intersection(boxes[other]).area < 1e-6
    assert plan.length == pytest.approx(end + cutting.squaring)
    assert float(plan.yards) * 914.4 >= plan.length - 1e-3
    assert float(plan.metres) * 1000 >= plan.length - 1e-3
    assert 0 < plan.used <= 1


@settings(derandomize=True, deadline=None, max_examples=80)
@given(st.lists(sizes, min_size=1, max_size=25), st.sampled_from([1016.0, 1100.0, 955.0]))
def test_the_fabric_bought_holds_every_patch(cuts, width):
    cutting = Cutting(fabric_width=width)
    plans = buy(cuts, cutting)
    assert {plan.fabric for plan in plans} == {c.fabric for c in cuts}
    for plan in plans:
        assert_holds(plan, cuts, cutting)


@pytest.mark.parametrize("copies", [1, 3, 40])
def test_the_fabric_for_a_set_holds_it(copies):
    cuts = times(patch_cuts([letter_i(), letter_t(), triangle(), plus()], Cutting()), copies)
    for plan in buy(cuts, Cutting()):
        assert_holds(plan, cuts, Cutting())


def test_a_set_of_26_by_hand():
    alphabet = [replace(letter_i(), key=f"{c}_", name=c, text=c) for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"]
    background, figure = buy(patch_cuts(alphabet, Cutting()), Cutting())
    # Figure: 26 patches of 1 1/2 × 3 3/8 in. Standing in one strip 3 3/8 in high they take 26 × 1 1/2 = 39 of
    # 40 in; + 1 in squaring = 4 3/8 in, under 4 1/2 in = 1/8 yd (0.9144 m ÷ 8, agreement of 1959).
    assert [c.count for c in figure.cuts] == [26]
    assert figure.length == pytest.approx(4.375 * 25.4)
    assert figure.yards == Fraction(1, 8)
    assert figure.metres == Fraction(2, 10)  # 111.1 mm
    # Background: 52 of 2 × 3 3/8 and 52 of 1 1/2 × 3 3/8 in. Standing: 20 of the first to a strip, so two
    # full strips and 12 (24 in), where 10 of the second (15 in) fit beside; 42 are left, 26 to a strip, so
    # two more: 5 × 3 3/8 + 1 = 17 7/8 in, under 18 in = 1/2 yd.
    assert [c.count for c in background.cuts] == [52, 52]
    assert background.length <= 17.875 * 25.4 + 1e-6
    assert background.yards == Fraction(1, 2)
    assert figure.fat_quarters == 1


def test_the_same_cuts_in_another_order_make_the_same_plan():
    cuts = [cut(30, 12, 4), cut(20, 20, 7), cut(60, 9, 5), cut(30, 12, 1)]
    assert buy(cuts, Cutting()) == buy(list(reversed(cuts)), Cutting())


def test_fat_quarters_are_told_only_where_everything_fits_in_a_few():
    # Usable 20 × 17 1/2 in (common practice, no source): 5 × 7 patches of 4 × 2 1/2 in fill one exactly.
    (one,) = buy([cut(32, 20, 35)], Cutting())
    assert one.fat_quarters == 1
    (two,) = buy([cut(32, 20, 36)], Cutting())
    assert two.fat_quarters == 2
    (long,) = buy([cut(164, 20)], Cutting())
    assert long.fat_quarters is None
    (many,) = buy([cut(32, 20, 300)], Cutting())
    assert many.fat_quarters is None


def test_a_strip_longer_than_the_fabric_is_joined_from_equal_lengths():
    # 1500 × 50 mm finished: 1512.7 cut; two lengths and one join of 12.7: 1525.4 ÷ 2 = 762.7 → up to 5 mm.
    found = strip_cut("border", 1500, 50, Cutting(units="mm"))
    assert (found.count, found.joined_from, found.length, found.width) == (2, 2, 765.0, 62.7)
    assert found.count * found.length - 12.7 >= 1512.7
    short = strip_cut("border", 1000, 50, Cutting())
    assert (short.count, short.length, short.width) == (1, 1012.7, 62.7)


def test_what_is_wider_than_the_fabric_both_ways_is_refused():
    with pytest.raises(InputError, match="wider fabric"):
        buy([cut(400, 330)], Cutting())
    (plan,) = buy([cut(400, 300)], Cutting())
    assert plan.strips[0].height == pytest.approx(400 * EIGHTH)


@pytest.mark.parametrize("copies", [0, -1, 10**9])
def test_copies_must_be_a_sensible_number(copies):
    with pytest.raises(InputError):
        times([cut(10, 10)], copies)


def test_far_too_many_patches_are_refused():
    with pytest.raises(InputError, match="too many to plan"):
        buy([cut(10, 10, 10**7)], Cutting())
