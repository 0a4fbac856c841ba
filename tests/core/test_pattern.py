"""The pattern file: there and back, checked by its schema, the same bytes each time."""

import json
from dataclasses import fields, replace

import pytest

from converter.errors import InputError
from converter.model import Finding, Glyph, Metrics
from converter.pattern import from_json, settled, to_json
from tests.samples import letter_i, letter_t, plus, sample_pattern


def test_there_and_back_is_the_same_pattern():
    pattern = sample_pattern()
    assert from_json(to_json(pattern)) == pattern
    assert to_json(from_json(to_json(pattern))) == to_json(pattern)


def test_a_pattern_without_glyphs_and_a_blank_glyph_survive():
    empty = replace(sample_pattern(), glyphs=())
    assert from_json(to_json(empty)) == empty
    blank = sample_pattern(
        Glyph("space", "space", (32,), " ", "blank", (Finding("no-ink", "note", "No ink."),))
    )
    assert from_json(to_json(blank)) == blank


def test_keys_come_in_the_order_of_the_format():
    data = json.loads(to_json(sample_pattern()))
    assert list(data) == ["format", "version", "unit", "source", "block", "settings", "fabrics", "glyphs"]
    assert list(data["glyphs"][0]) == [f.name for f in fields(Glyph)]
    assert (data["format"], data["version"], data["unit"]) == ("font2foundation-pattern", 1, "mm")


def test_numbers_are_rounded_to_a_ten_thousandth_and_minus_zero_is_zero():
    glyph = replace(
        letter_i(),
        metrics=Metrics(iou=0.123456789, hausdorff=-0.00000001),
        placement=(0.0123456789123, 0.0, -0.0, -0.01, 5.00005, 95.0),
    )
    data = json.loads(to_json(sample_pattern(glyph)))["glyphs"][0]
    assert data["metrics"]["iou"] == 0.1235
    assert str(data["metrics"]["hausdorff"]) == "0.0"
    assert data["placement"][0] == 0.0123456789  # a scale: fine enough for the far end of the largest em
    assert "-0.0," not in json.dumps(data["placement"])


def test_each_glyph_is_one_line():
    text = to_json(sample_pattern())
    assert sum(line.startswith('  {"key"') for line in text.splitlines()) == 4
    assert text.endswith("}\n")


def test_letters_of_any_script_stay_as_they_are():
    assert '"text":"Щ"' in to_json(sample_pattern(replace(letter_i(), text="Щ", codepoints=(0x429,))))


def damaged(change) -> str:
    data = json.loads(to_json(sample_pattern()))
    change(data)
    return json.dumps(data)


def setting(*path, value):
    def change(data):
        for step in path[:-1]:
            data = data[step]
        data[path[-1]] = value

    return change


def without(*path):
    def change(data):
        for step in path[:-1]:
            data = data[step]
        del data[path[-1]]

    return change


FAULTS = {
    "no JSON": ("{", "not a readable JSON file"),
    "nested without end": ("[" * 100_000, "not a readable JSON file"),
    "another format": ('{"format": "x"}', "not a pattern file"),
    "a list": ("[]", "not a pattern file"),
    "another version": (damaged(setting("version", value=2)), "has version 2"),
    "another unit": (damaged(setting("unit", value="in")), "unit"),
    "a key more": (damaged(setting("date", value="today")), "is damaged"),
    "a key less": (damaged(without("block")), "is damaged"),
    "a glyph's key less": (damaged(without("glyphs", 0, "sections")), "glyphs/0"),
    "a path as file": (damaged(setting("source", "file", value="/home/me/font.ttf")), "source/file"),
    "a path as key": (damaged(setting("glyphs", 0, "key", value="../A")), "glyphs/0/key"),
    "a block without height": (damaged(setting("block", "height", value=0)), "block/height"),
    "two corners": (damaged(setting("glyphs", 0, "pieces", 0, "polygon", value=[[0, 0], [1, 1]])), "polygon"),
    "a corner of three numbers": (
        damaged(setting("glyphs", 0, "pieces", 0, "polygon", 0, value=[0, 0, 0])), "polygon/0",
    ),
    "a text as number": (damaged(setting("glyphs", 0, "pieces", 0, "polygon", 0, 0, value="0")), "polygon/0/0"),
    "a piece's id": (damaged(setting("glyphs", 0, "pieces", 0, "id", value="1A")), "pieces/0/id"),
    "an empty section": (damaged(setting("glyphs", 0, "sections", 0, "pieces", value=[])), "sections/0"),
    "an unknown status": (damaged(setting("glyphs", 0, "status", value="done")), "status"),
    "an unknown severity": (damaged(setting("glyphs", 3, "reasons", 0, "severity", value="bad")), "severity"),
    "a join of one part": (damaged(setting("glyphs", 3, "joins", 0, "parts", value=["A"])), "joins/0"),
    "a colour by name": (damaged(setting("fabrics", "figure", "colour", value="blue")), "colour"),
    "no background": (damaged(without("fabrics", "background")), "fabrics"),
    "a huge fsType": (damaged(setting("source", "licence", "fs_type", value=70000)), "fs_type"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "message"), FAULTS.values(), ids=FAULTS)
def test_a_damaged_file_is_told_in_one_line_that_says_where(text, message):
    with pytest.raises(InputError) as caught:
        from_json(text, "sea/pattern.json")
    assert message in str(caught.value)
    assert str(caught.value).startswith("sea/pattern.json")
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 500


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_number_that_is_none_is_never_written(value):
    with pytest.raises(ValueError, match="schema"):
        to_json(sample_pattern(replace(plus(), metrics=Metrics(iou=value))))


def test_what_breaks_the_schema_is_never_written():
    with pytest.raises(ValueError, match="schema"):
        to_json(sample_pattern(replace(letter_i(), key="a/b")))


def test_another_layout_is_read_as_ours_is():
    text = to_json(sample_pattern(letter_i(), letter_t()))
    whole = from_json(text)
    for other in (
        json.dumps(json.loads(text)),
        text.replace("},\n  {", "}\n,{"),
        text.replace('"glyphs": [', '"glyphs":['),
        text + "\n",
    ):
        assert other != text
        assert from_json(other) == from_json(other.encode()) == whole
    for damaged in (text.replace("},\n  {", "},\n  7,\n  {"), text.replace("},\n  {", "},\n  ,{")):
        with pytest.raises(InputError):
            from_json(damaged)


def test_settled_is_what_its_file_says():
    pattern = sample_pattern(letter_i(), letter_t())
    assert settled(pattern) == from_json(to_json(pattern))
