"""The engine's benchmark runs an item in a process of its own, stops what takes too long, and lays out the table."""

from io import StringIO
from pathlib import Path

import pytest
from numba.core import config
from rich.console import Console

import converter.compiled  # noqa: F401  it says where what is compiled is kept
from converter.fonts.loading import load_font
from tests.benchmarks import engine
from tests.benchmarks.crafted import SHAPES, write_font
from tests.benchmarks.engine import NEW, Item, Outcome, outcome, row, table
from tests.fonts.makers import TEXT_FONTS

ITEM = Item("an I", TEXT_FONTS[1], {"text": "I"}, {"detail": "plain"})


def took(seconds: float, **more: object) -> Outcome:
    return Outcome(
        {
            "seconds": seconds, "cpu": 2 * seconds, "megabytes": 80.4, "statuses": [1, 0, 0],
            "pieces": 5.0, "sections": 1.0, "overlap": 0.9876,
        } | more
    )  # fmt: skip


@pytest.fixture
def cache():
    """Where the other tests keep what is compiled, too: compiling takes longer than all else here."""
    return Path(config.CACHE_DIR)


def test_an_item_is_converted_by_the_tree_and_counted(cache):
    found = outcome(Item("an I", ITEM.font, ITEM.chosen, ITEM.settings, profile=True), NEW, 500, cache).took
    # An I is a bar: the ground on its four sides and itself.
    assert (found["statuses"], found["pieces"], found["sections"]) == ([1, 0, 0], 5, 1)
    assert 0 < found["seconds"] < found["from_import"]
    assert found["candidates"] > 0


def test_what_takes_too_long_is_stopped_and_said(cache):
    assert outcome(ITEM, NEW, 0.1, cache) == Outcome(said="> 0.1 CPU")


def test_a_row_sets_old_beside_new():
    assert row(ITEM, took(6.0), took(1.5), 60) == [
        "an I", "6.0", "1.5", "4.0", "12.0 / 3.0", "4.0", "80 / 80", "1/0/0 / 1/0/0",
        "5.00 / 5.00", "1.00 / 1.00", "0.988 / 0.988",
    ]  # fmt: skip


def test_a_row_of_what_was_stopped_says_at_least_how_much_faster():
    cells = row(ITEM, Outcome(said="> 60 CPU"), took(1.5), 60)
    assert cells[1:6] == ["> 60 CPU", "1.5", "", "– / 3.0", "> 20.0"]
    assert row(ITEM, took(6.0), Outcome(said="> 60 CPU"), 60)[2:4] == ["> 60 CPU", ""]
    assert row(ITEM, Outcome(said=engine.FAILED), took(1.5), 60)[5] == ""


def test_the_table_has_a_cell_for_each_title():
    out = StringIO()
    rows = [row(ITEM, took(6.0), took(1.5, overlap=None), 60)]
    Console(file=out, width=220).print(table(rows))
    head, line = out.getvalue().splitlines()
    assert head.split()[0] == "work"
    assert line.split("  ")[0] == "an I"
    assert "0.988 / –" in line
    assert len(rows[0]) == len(engine.TITLES) + len(engine.MEANS)


def test_the_crafted_font_has_its_shapes(tmp_path):
    font = load_font(write_font(tmp_path))
    assert set(SHAPES) <= set(font.glyph_names)
