"""Lengths as makers write them, against the agreement that fixes the inch."""

import doctest
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from converter import units
from converter.errors import InputError
from converter.units import parse_length, parse_size


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        # 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
        ("1in", 25.4),
        ("3in", 76.2),
        ("4 in", 101.6),
        ("1/4in", 6.35),
        ("1/8in", 3.175),
        ("1/16in", 1.5875),
        ("2 5/8in", 66.675),
        ("2-5/8in", 66.675),
        (".5in", 12.7),
        ('1.5"', 38.1),
        ("1.5″", 38.1),
        ("6.35mm", 6.35),
        ("7.5cm", 75.0),
        ("2CM", 20.0),
        ("0in", 0.0),
        ("  3in  ", 76.2),
    ],
)
def test_a_length_is_exactly_its_millimetres(text, mm):
    assert parse_length(text) == mm


def test_an_inch_is_72_points():
    # CSS Values and Units, absolute lengths: 1 in = 72 pt; so do PDF user space units (ISO 32000-1, 8.3.2.3).
    assert parse_length("1in") * units.POINTS_PER_MM == pytest.approx(72, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("3x4in", (76.2, 101.6)),
        ("3in x 4in", (76.2, 101.6)),
        ("1.5x2in", (38.1, 50.8)),
        ("75x100mm", (75.0, 100.0)),
        ("7.5cm × 4in", (75.0, 101.6)),
        ("3 1/2 x 4 1/4 in", (88.9, 107.95)),
    ],
)
def test_a_size_is_exactly_its_millimetres(text, size):
    assert parse_size(text) == size


@pytest.mark.parametrize(
    "text",
    [
        "",
        "3",
        "in",
        "3 feet",
        "-1in",
        "1/0in",
        "1e3mm",
        "nan mm",
        "inf in",
        "3x4in",
        "1,5in",
        "1//2in",
    ],
)
def test_what_is_no_length_is_told(text):
    with pytest.raises(InputError) as caught:
        parse_length(text)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("text", ["", "3in", "3x4", "3x4x5in", "x4in", "3xin", "0/0x4in", "axbin"])
def test_what_is_no_size_is_told(text):
    with pytest.raises(InputError):
        parse_size(text)


@given(st.integers(0, 40), st.integers(0, 63), st.sampled_from((2, 4, 8, 16, 32, 64)))
@settings(derandomize=True, deadline=None)
def test_eighths_and_sixteenths_are_the_nearest_float_to_the_truth(whole, part, parts):
    assert parse_length(f"{whole} {part}/{parts}in") == float(
        (whole + Fraction(part, parts)) * Fraction("25.4")
    )


def test_the_examples_in_the_module_run():
    assert doctest.testmod(units).failed == 0
    assert doctest.testmod(units).attempted > 0
