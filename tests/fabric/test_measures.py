from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from converter.measures import (
    UNITS,
    fabric_text,
    length_text,
    measured_text,
    metres,
    natural_units,
    place_text,
    round_down,
    round_nearest,
    round_up,
    size_text,
    units_of,
    yards,
)
from tests.samples import sample_pattern


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        # 1 in = 25.4 mm exactly: international yard and pound agreement, 1959.
        (25.4, "in", "1 in"),
        (66.675, "in", "2 5/8 in"),
        (25.4 * 2.0625, "in", "2 1/16 in"),
        (6.35, "in", "1/4 in"),
        (0.0, "in", "0 in"),
        (-3.175, "in", "-1/8 in"),
        (66.675, "mm", "about 67 mm"),
        (66.0, "cm", "6.6 cm"),
        (6.35, "mm", "6.4 mm"),
        (5.0, "mm", "5 mm"),
        (76.2, "both", "3 in (about 76 mm)"),
    ],
)
def test_a_length_is_written_as_makers_write_it(mm, units, text):
    assert length_text(mm, units) == text


def test_rounding_up_never_writes_less_and_nearest_may():
    assert length_text(25.5, "in", "up") == "1 1/16 in"
    assert length_text(25.5, "in") == "about 1 in"
    assert length_text(66.1, "mm", "up") == "67 mm"
    # A pattern file rounds to 1e-4 mm, which must not cost a sixteenth.
    assert length_text(25.4001, "in", "up") == "1 in"


@pytest.mark.parametrize(
    ("mm", "in_yards", "in_metres"),
    [
        # 1 yd = 0.9144 m exactly: international yard and pound agreement, 1959. Steps of 1/8 yd and 10 cm in
        # which fabric is sold: common practice, no source.
        (914.4, Fraction(1), Fraction(1)),
        (114.3, Fraction(1, 8), Fraction(2, 10)),
        (114.4, Fraction(2, 8), Fraction(2, 10)),
        (1000.0, Fraction(9, 8), Fraction(1)),
        (1.0, Fraction(1, 8), Fraction(1, 10)),
        (0.0, Fraction(0), Fraction(0)),
    ],
)
def test_fabric_is_bought_in_eighths_of_a_yard_or_tenths_of_a_metre(mm, in_yards, in_metres):
    assert yards(mm) == in_yards
    assert metres(mm) == in_metres


def test_units_are_not_mixed_unless_both_are_asked_for():
    for units in UNITS:
        texts = length_text(70.0, units) + size_text(70.0, 80.0, units) + fabric_text(700.0, units)
        inches = "in" in texts or "yd" in texts
        metric = "mm" in texts or "cm" in texts or " m" in texts
        assert (inches and metric) == (units == "both"), texts


@settings(derandomize=True, deadline=None)
@given(st.floats(0, 1e5), st.sampled_from([3.175, 5.0, 1.0, 1.5875]))
def test_rounding_stays_within_one_step(mm, step):
    up, down, near = round_up(mm, step), round_down(mm, step), round_nearest(mm, step)
    assert mm - 2e-3 <= up < mm + step
    assert mm - step < down <= mm + 2e-3
    assert abs(near - mm) <= step / 2 + 2e-3
    for value in (up, down, near):
        assert abs(value / step - round(value / step)) < 1e-6


def test_what_is_measured_is_told_finer_than_what_is_cut():
    # 1 in = 25.4 mm exactly: international yard and pound agreement, 1959.
    assert measured_text(25.4 / 8, "in") == "0.125 in"
    assert measured_text(25.4 / 9, "in") == "0.111 in"
    assert (measured_text(12.34, "mm"), measured_text(0.456, "mm")) == ("12.3 mm", "0.46 mm")
    assert measured_text(25.4, "both") == "1 in (25.4 mm)"
    assert place_text(25.4, 0.5, "mm") == "(25.4, 0.5) mm"


@given(st.floats(0.1, 2000), st.sampled_from(("in", "mm", "cm")))
@settings(derandomize=True, deadline=None)
def test_rounding_to_the_nearest_mark_always_says_so(mm, units):
    """Read back, a length without "about" is what it was, but for a pencil line."""
    text = length_text(mm, units)
    words = text.removeprefix("about ").removesuffix(f" {units}")
    value = float(sum(Fraction(part) for part in words.split())) * {"in": 25.4, "mm": 1, "cm": 10}[units]
    assert text.startswith("about ") == (abs(value - mm) > 0.0511) or abs(abs(value - mm) - 0.051) < 1e-3
    assert not length_text(mm, units, "up").startswith("about")


def test_a_set_speaks_its_settings_units_or_those_of_its_blocks():
    pattern = sample_pattern()
    assert natural_units(76.2, 101.6) == "in"
    assert natural_units(75.0, 100.0) == "mm"
    for said in (*UNITS, "furlongs", None):
        settings = {**pattern.settings, "units": said}
        wanted = said if said in UNITS else natural_units(pattern.block.width, pattern.block.height)
        assert units_of(replace(pattern, settings=settings)) == wanted
