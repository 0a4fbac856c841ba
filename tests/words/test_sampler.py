"""Samplers: rows and columns of symbols, each with its legend on the strip below it."""

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from converter.errors import InputError
from converter.pattern import to_json
from converter.words.sampler import sampler
from tests.cli.running import assert_told_in_one_line, run
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle

SVG = "{http://www.w3.org/2000/svg}"
NAMES = ("kelp", "dulse", "shell", "moss")


@pytest.fixture
def folder(tmp_path):
    makers = (letter_i(), letter_t(), triangle(), plus())
    glyphs = [replace(m, key=n, name=n, text="", codepoints=()) for m, n in zip(makers, NAMES, strict=True)]
    (tmp_path / "pattern.json").write_text(to_json(sample_pattern(*glyphs)), encoding="utf-8")
    return tmp_path


def test_each_symbol_has_its_legend_below_it_in_rows_and_columns(folder):
    (folder / "sea.txt").write_text(
        "# of the sea\nkelp = Sugar kelp\ndulse\nshell\nmoss = Irish moss\nkelp\n"
    )
    result = run("words", folder, "--sampler", folder / "sea.txt", "--columns", "3", "--no-print")
    assert result.exit_code == 0, result.output
    assert "5 blocks" in result.stdout
    assert "not pieced" in result.stdout
    root = ElementTree.parse(folder / "words/sea/layout.svg").getroot()
    legends = next(g for g in root.iter(f"{SVG}g") if g.get("id") == "legends")
    spots = {t.text: (float(t.get("x")), float(t.get("y"))) for t in legends}
    assert list(spots) == ["Sugar kelp", "dulse", "shell", "Irish moss", "kelp"]
    blocks = {
        g.get("id"): [
            tuple(map(float, corner.split(",")))
            for polygon in g.iter(f"{SVG}polygon") for corner in polygon.get("points").split()
        ]
        for g in root.iter(f"{SVG}g") if (g.get("id") or "").startswith("block-")
    }  # fmt: skip
    for (x, y), corners in zip(spots.values(), blocks.values(), strict=True):
        xs, ys = zip(*corners, strict=True)
        assert x == pytest.approx((min(xs) + max(xs)) / 2, abs=0.01)
        assert max(ys) < y < max(ys) + 0.3 * (max(ys) - min(ys))  # on the strip, a quarter of a block high
    columns = [x for x, _ in spots.values()]
    assert columns[:2] == pytest.approx(columns[3:], abs=0.01)  # below each other
    assert columns[0] < columns[1] < columns[2]


@pytest.mark.parametrize("entry", ["= Sugar kelp", "kelp = " + "x" * 61, "{kelp = a", "kelp = \x07"])
def test_what_is_no_symbol_with_a_legend_is_an_error(entry):
    with pytest.raises(InputError, match="Sugar kelp"):
        sampler([entry], 3)


def test_a_sampler_is_told_what_it_lacks(folder):
    (folder / "sea.txt").write_text("coral\n")
    assert_told_in_one_line(run("words", folder, "--sampler", folder / "sea.txt", "--no-print"))
    assert_told_in_one_line(run("words", folder, "KELP", "--sampler", folder / "sea.txt"))
    (folder / "sea.txt").write_text("\n")
    assert_told_in_one_line(run("words", folder, "--sampler", folder / "sea.txt"))
