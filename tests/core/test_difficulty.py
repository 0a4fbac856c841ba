"""The score never falls as a block gets harder; levels come in their order."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from converter.difficulty import LEVELS, difficulty_score, level

counts = st.integers(1, 60)
lengths = st.floats(0.01, 200, allow_nan=False)
areas = st.floats(1.0, 1e6, allow_nan=False)
angles = st.floats(0.1, 179, allow_nan=False)
profile = settings(derandomize=True, deadline=None)


@given(counts, counts, counts, lengths, angles, areas, st.integers(0, 5), st.integers(1, 20))
@profile
def test_the_score_never_falls_as_any_one_thing_gets_worse(
    pieces, sections, matches, narrow, sharp, area, which, more
):
    before = [pieces, sections, matches, narrow, sharp, area]
    after = list(before)
    after[which] = after[which] + more if which < 3 else after[which] / (1 + more / 10)
    assert difficulty_score(*after) >= difficulty_score(*before)


@given(counts, counts, counts, lengths, angles, areas, st.integers(0, 2))
@profile
def test_a_piece_a_section_or_a_match_point_more_costs_something(
    pieces, sections, matches, narrow, sharp, area, which
):
    before = [pieces, sections, matches, narrow, sharp, area]
    after = list(before)
    after[which] += 1
    assert difficulty_score(*after) > difficulty_score(*before)


def test_the_formula_by_hand():
    # 1 + 16/8 + 0.9 · 2 + 0.25 · 4 + (6.35/3.175 − 0.5) · 0.6 + (45/22.5 − 1) · 0.5
    assert difficulty_score(16, 3, 4, 3.175, 22.5, 1e6) == pytest.approx(1 + 2 + 1.8 + 1 + 0.9 + 0.5)
    assert difficulty_score(8, 1, 0, 50.0, 90.0, 1e6) == pytest.approx(2)
    # Sixteen pieces in a block of 40 × 40 mm: a mean side of 10 mm. (25.4/10 − 1) · 2
    assert difficulty_score(16, 1, 0, 50.0, 90.0, 1600.0) == pytest.approx(1 + 2 + 3.08)


def test_the_level_takes_the_real_size_into_account():
    # Common practice, no source: sixteen pieces in 1.5 × 2 in are nothing for a confident beginner.
    large, small = 76.2 * 101.6, 38.1 * 50.8
    assert level(difficulty_score(16, 1, 0, 8.0, 45.0, large)) == "confident beginner"
    assert level(difficulty_score(16, 1, 0, 4.0, 45.0, small)) == "intermediate"
    assert level(difficulty_score(11, 1, 0, 8.0, 45.0, large)) == "beginner"
    assert level(difficulty_score(11, 1, 0, 4.0, 45.0, small)) == "intermediate"
    assert level(difficulty_score(5, 1, 0, 8.0, 90.0, small)) == "beginner"


def test_levels_rise_with_the_score():
    # The words that craft teaching uses: common practice, no source.
    names = [level(score) for score in (1.0, 2.99, 3.0, 4.49, 4.5, 6.49, 6.5, 1e9)]
    assert names == [
        "beginner", "beginner", "confident beginner", "confident beginner",
        "intermediate", "intermediate", "advanced", "advanced",
    ]  # fmt: skip
    assert [limit for limit, _ in LEVELS] == sorted(limit for limit, _ in LEVELS)
