"""What holds for every drawing: well formed, harmless, tidy numbers, the same bytes each time."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from converter.drawing import (
    blank_picture,
    block_svg,
    coloured_picture,
    section_map,
    step_picture,
    template_svg,
)
from converter.drawing.labels import Sizes, beside, extent, inside, tag
from converter.drawing.svg import number, xml_id
from converter.model import Glyph, Pattern
from tests.drawing import reading
from tests.drawing.blocks import random_pattern
from tests.samples import box, plus, sample_pattern

MAKERS = [
    block_svg,
    template_svg,
    coloured_picture,
    blank_picture,
    section_map,
    lambda pattern, glyph: step_picture(pattern, glyph, 0),
]
HOSTILE = '"><script>alert(1)</script><!--&\x00\x1b]]>\ud800'


def drawings(pattern: Pattern, glyph: Glyph) -> list[str]:
    return [make(pattern, glyph) for make in MAKERS]


@pytest.mark.parametrize("seed", range(5))
def test_ids_are_unique_and_numbers_are_short(seed):
    pattern = random_pattern(seed)
    for svg in drawings(pattern, pattern.glyphs[0]):
        ids = [e.get("id") for e in reading.parse(svg).iter() if e.get("id")]
        assert len(ids) == len(set(ids))
        assert all(re.fullmatch(r"[A-Za-z_][A-Za-z0-9_.-]*", i) for i in ids)
        values = re.findall(r'(?:points|x1?|x2|y1?|y2|d|font-size|viewBox|stroke-width|r|cx)="([^"]*)"', svg)
        for value in re.findall(r"-?\d+(?:\.(\d+))?(?:e-?\d+)?", " ".join(values)):
            assert len(value) <= 4
            assert not value.endswith("0")
        assert not re.search(r"\de-\d|nan|inf", " ".join(values))


def test_the_same_pattern_makes_the_same_bytes():
    one, other = random_pattern(7), random_pattern(7)
    assert drawings(one, one.glyphs[0]) == drawings(other, other.glyphs[0])


def test_nothing_is_fetched_or_run_and_names_from_fonts_stay_text():
    glyph = replace(plus(), name=HOSTILE, text=HOSTILE, key="k")
    for svg in drawings(sample_pattern(glyph), glyph):
        root = reading.parse(svg)  # well formed, whatever the name holds
        tags = {e.tag.rsplit("}", 1)[-1] for e in root.iter()}
        assert not tags & {"script", "image", "use", "style", "foreignObject", "a"}
        assert "alert(1)" in "".join(root.itertext())  # said, not run
        assert all(not name.endswith("href") for e in root.iter() for name in e.attrib)
        svg.encode("utf-8")


@pytest.mark.parametrize(
    ("text", "name", "codepoints", "expected"),
    [
        ("A", "A", (65,), "A"),
        ("É", "Eacute", (0xC9,), "É"),
        ("o", "o", (111,), "o small"),
        ("0", "zero", (48,), "0 zero"),
        (",", "comma", (44,), ", comma"),
        (" ", "space", (32,), "space"),
        ("\u00ad", "uni00AD", (0xAD,), "uni00AD"),
        ("\ue001", "leaf", (0xE001,), "leaf"),
        ("\ue001", "", (0xE001,), "U+E001"),
        ("", "a.alt", (), "a.alt"),
        ("葉", "uni8449", (0x8449,), "uni8449"),
        ("ffi", "f_f_i", (102, 102, 105), "ffi"),
    ],
)
def test_a_tag_is_printable_and_cannot_be_mixed_up(text, name, codepoints, expected):
    assert tag(Glyph("key", name, codepoints, text, "ready")) == expected


def test_tags_of_all_ascii_characters_differ_even_if_case_is_lost_on_paper():
    names = {chr(c): f"name{c}" for c in range(33, 127)}
    tags = [tag(Glyph("k", n if not t.isalpha() else t, (ord(t),), t, "ready")) for t, n in names.items()]
    assert len({t.casefold() for t in tags}) == len(tags)


def test_a_label_takes_the_largest_size_that_fits_and_shrinks_no_further_than_the_least():
    sizes = Sizes(5, 1.8)
    assert inside("1", box(0, 0, 40, 40), sizes).size == 5
    assert 1.8 <= inside("1", box(0, 0, 40, 3.4), sizes).size < 4
    assert inside("1", box(0, 0, 40, 2), sizes) is None


def test_a_label_beside_its_piece_has_a_leader_that_ends_in_it():
    sliver, room = box(0, 0, 20, 1), box(0, 1, 20, 10)
    label = beside("7", sliver, [(room, None)], 2, [], [])
    assert 1 < label.middle[1] < 4  # as near as can be
    assert 0 < label.leader[1][1] < 1
    assert beside("7", sliver, [(box(0, 1, 20, 2), None)], 2, [], []) is None


@pytest.mark.parametrize("file", ["DejaVuSans.ttf", "DejaVuSans-Bold.ttf"])
def test_texts_are_never_wider_than_they_are_taken_to_be(file):
    path = Path("/usr/share/fonts/truetype/dejavu") / file
    if not path.exists():
        pytest.skip("needs Debian's fonts-dejavu-core")
    font = TTFont(path)
    widths, glyphs = font["hmtx"], font.getBestCmap()
    texts = ["A1", "W12", "MM88", "M section M", "W section AA", "o small section B", "mwm", "% percent"]
    for text in [*texts, "uniE001 section C", *([] if "Bold" in file else ["0", "88"])]:
        em = sum(widths[glyphs[ord(c)]][0] for c in text) / font["head"].unitsPerEm
        assert em <= extent(text, 1.0)[0]
    assert font["glyf"]["H"].yMax / font["head"].unitsPerEm == pytest.approx(0.729, abs=0.001)


def test_numbers_have_four_decimals_at_most():
    assert [number(v) for v in (1.0, 0.30000000000000004, 1 / 3, -1e-9)] == [1, 0.3, 0.3333, 0]
    assert str(number(-0.00001)) == "0"


def test_ids_hold_any_name():
    assert xml_id("piece-A1") == "piece-A1"
    assert xml_id("1 b") == "_1_20_b"
    assert xml_id('"<') == "_22__3C_"
