"""All formulae: common practice, no source. Sizes worked out by hand."""

import pytest

from converter.errors import InputError
from converter.fabric.buying import buy
from converter.fabric.cutting import Cutting
from converter.fabric.finishing import finish

IN = 25.4


def test_binding_of_a_banner_40_by_12_inches():
    made = finish(40 * IN, 12 * IN, Cutting())
    # 2 × (40 + 12) + 10 = 114 in; each 40 in strip yields 40 − 2 1/2 = 37 1/2 in: 3.04, so 4 strips.
    assert made.binding_length == pytest.approx(114 * IN)
    assert (made.binding.count, made.binding.width) == (4, 2.5 * IN)
    # 4 × 2 1/2 + 1 for squaring = 11 in.
    (plan,) = buy([made.binding], Cutting())
    assert plan.length == pytest.approx(11 * IN)


def test_backing_and_wadding_overhang():
    made = finish(40 * IN, 12 * IN, Cutting())
    assert made.backing_size == pytest.approx((48 * IN, 20 * IN))  # 4 in on each side
    # One panel 20 in wide along 48 in of fabric, or two of 24 1/4 in across and 20 in along (40 in): less.
    assert (made.backing.count, made.backing.joined_from) == (2, 2)
    assert made.backing.length == pytest.approx(24.25 * IN)
    assert (made.wadding.length, made.wadding.width) == pytest.approx((48 * IN, 20 * IN))
    label = finish(8 * IN, 4 * IN, Cutting())
    assert label.backing_size == pytest.approx((12 * IN, 8 * IN))  # 2 in on each side of a small piece
    assert label.backing.count == 1


def test_panels_of_a_wide_backing_reach_across_with_their_seams():
    made = finish(1500.0, 1900.0, Cutting())
    across = made.backing.count * made.backing.width - (made.backing.count - 1) * 12.7
    assert across >= 1500 + 2 * 101.6
    assert made.backing.width <= 1016
    (plan,) = buy([made.backing], Cutting())
    assert plan.length >= made.backing.count * made.backing.length


@pytest.mark.parametrize(
    ("size", "more"),
    [
        ((0.0, 100.0), {}),
        ((-5.0, 100.0), {}),
        ((100.0, 1e6), {}),
        ((100.0, 100.0), {"binding_width": 1.0}),
        ((100.0, 100.0), {"overhang": -1.0}),
    ],
)
def test_sizes_that_cannot_be_are_refused(size, more):
    with pytest.raises(InputError):
        finish(*size, Cutting(), **more)
