"""Blocks of several fabrics: each has a hatch and a letter of its own, which need no colour."""

from dataclasses import replace
from math import atan2, degrees

import pytest
from shapely import Polygon, union_all

from converter.drawing import coloured_picture, section_map, template_svg
from converter.fabric.cutting import Cutting
from converter.fabric.patches import patches
from converter.fabric_codes import fabric_codes, has_several
from converter.model import BACKGROUND, FIGURE, Fabric, Pattern
from converter.printing.wording import cut_rows
from tests.drawing import reading
from tests.drawing.placed import sections
from tests.samples import letter_t, sample_pattern

NAMES = ("rust", "kelp", "heather", "gorse", "shell")


def several(count: int) -> Pattern:
    """The letter T with a bar, a stem and some of its background in fabrics of their own: ``count`` more than two."""
    glyph = letter_t()
    own = dict(zip(("A4", "A2", "A3", "A7", "A8"), NAMES[:count], strict=False))
    pieces = tuple(replace(piece, fabric=own.get(piece.id, piece.fabric)) for piece in glyph.pieces)
    pattern = sample_pattern(replace(glyph, pieces=pieces))
    more = {name: Fabric(name, f"#80{n}0{n}0") for n, name in enumerate(NAMES[:count])}
    return replace(pattern, fabrics={**pattern.fabrics, **more})


def test_letters_stand_for_fabrics_only_where_there_are_several():
    assert fabric_codes(sample_pattern().fabrics) == {}
    assert fabric_codes(several(2).fabrics) == {FIGURE: "a", "rust": "b", "kelp": "c"}
    many = {f"f{n}": Fabric("", "#000000") for n in range(30)}
    assert list(fabric_codes(many).values())[25:28] == ["z", "aa", "ab"]
    assert not has_several(letter_t())
    assert has_several(several(1).glyphs[0])


@pytest.mark.parametrize("count", [1, 2, 5])
def test_each_fabric_has_a_hatch_of_its_own_on_its_pieces_and_no_others(count):
    pattern = several(count)
    glyph = pattern.glyphs[0]
    seen = set()
    for _, group, _, _, back in sections(pattern):
        for path in reading.of_class(group, "figure-shade"):
            fabric = path.get("data-fabric")
            own = union_all([Polygon(p.polygon) for p in glyph.pieces if p.fabric == fabric])
            strokes = reading.strokes(path)
            assert all(own.buffer(0.01).covers(back(stroke)) for stroke in strokes)
            ways = frozenset(round(degrees(atan2(dy, dx))) % 180 for dx, dy in map(_run, strokes))
            seen.add((fabric, ways))
    assert len(seen) == count + 1
    assert len({ways for _, ways in seen}) == count + 1
    assert BACKGROUND not in {fabric for fabric, _ in seen}


def _run(stroke):
    (ax, ay), (bx, by) = stroke.coords
    return bx - ax, by - ay


def test_the_letter_of_a_fabric_stands_on_templates_pictures_and_lists():
    pattern = several(1)
    glyph = pattern.glyphs[0]
    root = reading.parse(template_svg(pattern, glyph))
    numbers = [reading.words(t) for t in reading.of_class(root, "piece-number")]
    assert numbers == ["1a", "2", "3", "4b", "5", "6", "7", "8"]
    (texts,) = reading.of_class(reading.parse(coloured_picture(pattern, glyph)), "fabric-codes")
    assert [reading.words(t) for t in texts.iter(f"{reading.SVG}text")] == ["a", "b"]
    names = reading.parse(section_map(pattern, glyph)).iter(f"{reading.SVG}text")
    assert {"A1a", "A4b", "A2"} <= {reading.words(t) for t in names}
    rows = cut_rows(pattern, patches(glyph, Cutting()), Cutting())
    assert {row["fabric"] for row in rows} == {"letter (a)", "rust (b)", "background"}


def test_a_block_of_one_fabric_and_its_background_needs_no_letters():
    pattern = several(1)
    plain = replace(pattern, glyphs=(letter_t(),))
    root = reading.parse(template_svg(plain, letter_t()))
    assert [reading.words(t) for t in reading.of_class(root, "piece-number")] == list("12345678")
