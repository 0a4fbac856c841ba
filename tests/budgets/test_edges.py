"""Every budget but those of drawings, which have tests of their own: as much as it allows is read, one more is not."""

import json
import time
from pathlib import Path

import pytest

import converter
from converter.budgets import KINDS, fonts, words
from converter.budgets.budget import Budget
from converter.errors import InputError
from converter.fabric import buying
from converter.fabric.cutting import cutting_for
from converter.fabric.patches import set_cuts
from converter.fonts.errors import GlyphError
from converter.fonts.winding import nonzero_union
from converter.mats.laying import lay_on_mats
from converter.mats.shapes import piece_shapes
from tests.budgets import table
from tests.budgets.edges import EDGES
from tests.samples import letter_i, sample_pattern

SECONDS = 5.0  # of processor time
SCHEMA = {  # said by the pattern's schema, where the path leads
    "files.GLYPHS": ("properties", "glyphs", "maxItems"),
    "files.PIECES": ("$defs", "glyph", "properties", "pieces", "maxItems"),
    "files.RING": ("$defs", "ring", "maxItems"),
    "files.REASONS": ("$defs", "glyph", "properties", "reasons", "maxItems"),
}
RECKONED = {
    "fonts.DELTAS",
    "fonts.CROSSINGS",
    "fonts.NEAR_PAIRS",
    "fonts.RAY_WORK",
    "words.PATCHES",
    "words.ON_MATS",
}
ALL = {f"{kind}.{name}": budget for kind, budgets in KINDS.items() for name, budget in budgets.items()}


def test_every_budget_has_a_reason_and_is_tried():
    assert all(budget.reason and budget.of and budget.most > 0 for budget in ALL.values())
    others = {name for name in ALL if not name.startswith("drawings.")}  # ``tests/redesign/test_budgets.py``
    assert others == EDGES.keys() | SCHEMA.keys() | RECKONED


def test_the_table_for_contributors_is_this_table():
    told = (Path(converter.__file__).parents[1] / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert table() in told, "put what `python -m tests.budgets` prints into DEVELOPERS.md"


@pytest.mark.parametrize("name", EDGES)
def test_at_the_edge(name, tmp_path):
    for count, is_over in ((ALL[name].most, False), (ALL[name].most + 1, True)):
        folder = tmp_path / str(count)
        folder.mkdir()
        start = time.process_time()
        assert EDGES[name](count, folder) == is_over, count
        assert time.process_time() - start < SECONDS
        for path in folder.rglob("*"):
            if path.is_file():
                path.unlink()  # some are large


@pytest.mark.parametrize("name", SCHEMA)
def test_what_the_schema_says(name):
    place = json.loads((Path(converter.__file__).parent / "pattern.schema.json").read_text(encoding="utf-8"))
    for step in SCHEMA[name]:
        place = place[step]
    assert place == ALL[name].most


def bars(count: int) -> list[list[tuple[float, float]]]:
    """Bars one way and across them."""
    upright = [
        [(2.0 * k, -1.0), (2.0 * k + 1, -1.0), (2.0 * k + 1, 99.0), (2.0 * k, 99.0)] for k in range(count)
    ]
    return upright + [[(y, x) for x, y in bar] for bar in upright]


@pytest.mark.parametrize("name", ["CROSSINGS", "NEAR_PAIRS", "RAY_WORK"])
def test_work_on_a_glyph_s_edges_is_reckoned_before_it_is_done(name, monkeypatch):
    def is_over(most: int) -> bool:
        monkeypatch.setattr(fonts, name, Budget(most, "", ""))
        try:
            nonzero_union(bars(4), 1.0)
        except GlyphError:
            return True
        return False

    low, high = 0, ALL[f"fonts.{name}"].most
    assert is_over(low)
    assert not is_over(high)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if is_over(middle) else (low, middle)
    crossings = 4 * 16  # each of 16 pairs of bars meets at four corners
    assert low >= crossings - 1


def test_shapes_on_mats_and_patches_are_counted_before_they_are_laid(monkeypatch):
    pattern = sample_pattern(letter_i())
    shapes = list(piece_shapes(pattern, pattern.glyphs, 0.0))
    monkeypatch.setattr(words, "ON_MATS", Budget(len(shapes), "", ""))
    assert lay_on_mats(shapes, (500.0, 500.0), 1.0, 1.0)
    with pytest.raises(InputError, match="too many at once"):
        lay_on_mats([*shapes, shapes[0]], (500.0, 500.0), 1.0, 1.0)
    cutting = cutting_for(pattern, "mm", None, None, None)
    cuts = set_cuts(pattern, cutting, 1)
    total = sum(cut.count for cut in cuts)
    monkeypatch.setattr(buying, "PATCHES", Budget(total, "", ""))
    assert buying.buy(cuts, cutting)
    monkeypatch.setattr(buying, "PATCHES", Budget(total - 1, "", ""))
    with pytest.raises(InputError, match="too many to plan"):
        buying.buy(cuts, cutting)
