"""What letters have alike is found, and drawn alike."""

import math
from functools import cache

import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import MultiPolygon, Point, box

from converter.errors import InputError
from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.pipeline import Conversion, convert
from converter.polygons import polygons_of
from converter.settings import Settings, resolve_settings
from converter.straighten.together.choosing import choose, offsets, share_kept, treatment_for, unity
from converter.straighten.together.like import LENGTH, MIRRORS, POINTS, find_windows, like_windows
from converter.straighten.together.parts import find_parts, has_treatment, with_chosen
from tests.fonts.makers import TEXT_FONTS

SIZE = 100.0
# A stem with a round bowl at its right, as a letter b has, and its images as d, p and q are.
B = shapely.union(
    box(0, 0, 20, 100), shapely.difference(Point(40, 70).buffer(30, 64), Point(40, 70).buffer(12, 64))
)
D, P, Q = (affinity.scale(B, x, y, origin=(0, 50)) for x, y in ((-1, 1), (1, -1), (-1, -1)))
BOWLS = [MultiPolygon([letter]) for letter in (B, D, P, Q)]
PLATE = MultiPolygon([box(0, 0, 60, 100)])


def cut(letter: MultiPolygon, by: float) -> MultiPolygon:
    """The letter with its bowl cut off at the side, so much inwards (mm)."""
    left, top, right, foot = letter.bounds
    sign = 1 if abs(left) < abs(right) else -1
    keep = box(left, top, right - by, foot) if sign > 0 else box(left + by, top, right, foot)
    return MultiPolygon([shapely.intersection(letter, keep)])


def test_windows_are_bent_smooth_and_of_one_length():
    windows = find_windows(BOWLS, SIZE)
    assert set(windows.letters) == {0, 1, 2, 3}
    assert set(windows.counters) == {0, 1}
    steps = np.hypot(*np.diff(windows.points, axis=1).transpose(2, 0, 1))
    assert steps.sum(axis=1) == pytest.approx(LENGTH * SIZE, rel=0.01)  # chords of a flattened circle
    assert len(find_windows([PLATE], SIZE).letters) == 0
    assert len(find_windows([], SIZE).letters) == 0


def test_like_windows_are_what_shapely_moves_onto_each_other():
    windows = find_windows([*BOWLS, PLATE], SIZE)
    likeness = like_windows(windows, SIZE)
    first = np.repeat(np.arange(len(windows.letters)), np.diff(likeness.starts))
    seen = set()
    for i, j, m in list(zip(first, likeness.others, likeness.mirrors, strict=True))[::37]:
        one = shapely.LineString(windows.points[i] * MIRRORS[m])
        assert one.hausdorff_distance(shapely.LineString(windows.points[j])) <= 0.03 * SIZE
        seen.add((int(windows.letters[i]), int(windows.letters[j])))
    assert {(0, 1), (0, 2), (0, 3), (3, 0)} <= seen


def test_like_pairs_go_both_ways():
    windows = find_windows(BOWLS, SIZE)
    likeness = like_windows(windows, SIZE)
    first = np.repeat(np.arange(len(windows.letters)), np.diff(likeness.starts))
    letters = {
        (int(windows.letters[i]), int(windows.letters[j]))
        for i, j in zip(first, likeness.others, strict=True)
    }
    assert letters == {(b, a) for a, b in letters}


def test_offsets_are_signed_distances_from_the_figure():
    circle = MultiPolygon([Point(0, 0).buffer(40, 64)])
    windows = find_windows([circle], SIZE)
    off = offsets(windows, [MultiPolygon([Point(0, 0).buffer(42, 64)])])
    assert off == pytest.approx(2.0, abs=0.1)  # inside of the larger one
    assert offsets(windows, [MultiPolygon([Point(0, 0).buffer(38, 64)])]) == pytest.approx(-2.0, abs=0.1)


def test_the_treatment_that_most_letters_have_is_taken_and_the_odd_one_is_led_to_it():
    figures = [cut(BOWLS[0], 3), cut(BOWLS[1], 3), cut(BOWLS[2], 3), cut(BOWLS[3], 9)]
    windows = find_windows(BOWLS, SIZE)
    likeness = like_windows(windows, SIZE)
    off = offsets(windows, figures)
    leads = choose(windows, likeness, off, SIZE)
    assert [share_kept(leads, n, off, off, SIZE) == 1 for n in range(4)] == [True, True, True, False]
    alike = unity(windows, likeness, off, SIZE)
    assert alike[0, 1] == alike[1, 2] == 1
    assert alike[0, 3] < 1
    # The edge is wanted where the others have it: 3 mm inwards of q's side, not 9.
    treatment = treatment_for(3, BOWLS[3], figures, leads, SIZE)
    side = BOWLS[3].bounds[0]
    assert min(x for _, x, _ in treatment.places) == pytest.approx(side + 3, abs=0.3)
    assert polygons_of(treatment.model).bounds[0] == pytest.approx(side + 3, abs=0.3)


def test_parts_have_their_letters_and_treatments_and_a_designer_may_choose_another():
    figures = [cut(BOWLS[0], 3), cut(BOWLS[1], 3), cut(BOWLS[2], 9), cut(BOWLS[3], 3)]
    windows = find_windows(BOWLS, SIZE)
    likeness = like_windows(windows, SIZE)
    off = offsets(windows, figures)
    parts = find_parts(windows, likeness, off, SIZE)
    bowl = next(part for part in parts if part.name == "curve-1")
    assert set(bowl.members) == {0, 1, 2, 3}
    assert bowl.treatments == ((0, 1, 3), (2,))
    assert any(part.name.startswith("counter") for part in parts)
    assert has_treatment(bowl, 1, off, 0, off, SIZE)
    assert not has_treatment(bowl, 2, off, 0, off, SIZE)
    other = with_chosen(choose(windows, likeness, off, SIZE), parts, {"curve-1": 2})
    right = BOWLS[0].bounds[2]
    places = treatment_for(0, BOWLS[0], figures, other, SIZE).places
    assert max(x for _, x, _ in places) == pytest.approx(right - 9, abs=0.3)
    assert (
        with_chosen(other, parts, {"curve-1": 99}).leader.tolist() == other.leader.tolist()
    )  # the last there is


@cache
def converted(text: str, chosen: int = 0) -> Conversion:
    font = load_font(TEXT_FONTS[1])
    settings = Settings(parts={"curve-1": chosen} if chosen else {})
    return convert(
        font, choose_glyphs(font, text=text).glyphs, judge_licence(font, TEXT_FONTS[1].parent), settings
    )


def test_letters_of_a_run_are_drawn_more_alike_than_each_alone():
    together = converted("bdpqco").made
    alone = [converted(letter).made[0] for letter in "bdpqco"]
    outlines = [polygons_of(made.guide) for made in together]
    windows = find_windows(outlines, together[0].size)
    likeness = like_windows(windows, together[0].size)

    # Alone they stand elsewhere in their blocks' height; their figures are compared where they stand together.
    def shared(blocks):
        figures = []
        for made, outline in zip(blocks, outlines, strict=True):
            own = polygons_of(made.guide)
            factor = (outline.bounds[3] - outline.bounds[1]) / (own.bounds[3] - own.bounds[1])
            figure = affinity.scale(
                polygons_of(made.figures[0].figure), factor, factor, origin=own.bounds[:2]
            )
            figures.append(affinity.translate(figure, *np.subtract(outline.bounds[:2], own.bounds[:2])))
        return unity(windows, likeness, offsets(windows, figures), together[0].size).mean()

    assert shared(together) > 0.8
    assert shared(together) > shared(alone)


def test_the_pattern_tells_the_parts_and_their_treatments():
    parts = converted("bdpqco").pattern.settings["parts"]
    names = [part["name"] for part in parts]
    assert len(names) == len(set(names))
    assert "curve-1" in names
    for part in parts:
        assert 1 <= part["treatment"] <= len(part["treatments"])
        letters = [letter for one in part["treatments"] for letter in one["found"]]
        assert len(letters) == len(set(letters)) >= 2  # each found one of them by itself
        for one in part["treatments"]:
            left, top, right, foot = one["box"]
            for polygon in (*one["figure"], *one["outline"]):
                for x, y in polygon[0]:
                    assert left - 0.01 <= x <= right + 0.01
                    assert top - 0.01 <= y <= foot + 0.01


def test_what_does_not_keep_the_hand_is_noted_on_alternatives_too():
    noted = [
        any(reason.id == "unlike" for reason in figure.reasons)
        for made in converted("bdpqco").made
        for figure in made.figures
    ]
    assert not all(noted)
    for made in converted("bdpqco").made:
        for figure in made.figures:
            for reason in figure.reasons:
                if reason.id == "unlike":
                    assert reason.severity == "note"
                    assert "keep the hand" in reason.message


@pytest.mark.parametrize("text", ["treatment = 0", "treatment = 'a'", "treatment = true", "other = 1", ""])
def test_a_part_s_table_has_a_treatment_and_nothing_else(tmp_path, text):
    file = tmp_path / "alphabet.toml"
    file.write_text(f"[part.curve-1]\n{text}\n")
    with pytest.raises(InputError, match="curve-1"):
        resolve_settings(file, {})


def test_a_part_s_treatment_is_read(tmp_path):
    file = tmp_path / "alphabet.toml"
    file.write_text("[part.curve-1]\ntreatment = 2\n")
    assert resolve_settings(file, {}).parts == {"curve-1": 2}


def test_the_mirrors_turn_a_window_back_where_the_ink_would_change_sides():
    # The kernels know by number which mirrorings do: here it is worked out from the mirrors themselves.
    assert [m for m, mirror in enumerate(MIRRORS) if math.prod(mirror) < 0] == [1, 2]
    assert POINTS % 2 == 1  # there is a middle one
