"""Written and read again, a block is the same: pieces, sections, joins and metrics."""

from dataclasses import asdict, replace

import pytest
import shapely

from converter.drawing.block import block_svg
from converter.folder.keeping import Kept, parse_record, record_json
from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.model import BACKGROUND, FIGURE, Glyph, Metrics
from converter.pattern import from_json, to_json
from converter.pipeline import convert
from converter.polygons import rings_of
from converter.redesign.check import check_block
from converter.redesign.folder import new_folder
from converter.redesign.rebuild import keep_numbers
from converter.settings import Settings
from converter.sewing.recognise import recognise
from tests.fonts.makers import SLAB_FONT, TEXT_FONTS
from tests.redesign.hands import PRICES, rebuilt
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle
from tests.sewing.tilings import corners, cut_apart


def same_block(glyph, width=60.0, height=80.0):
    result = rebuilt(block_svg(sample_pattern(glyph), glyph).encode(), width, height)
    assert result.faults == ()
    plan = keep_numbers(result.plan, glyph, PRICES)
    assert [(p.id, p.fabric) for p in plan.pieces] == [(p.id, p.fabric) for p in glyph.pieces]
    assert (plan.sections, plan.joins) == (glyph.sections, glyph.joins)
    for piece, old in zip(plan.pieces, glyph.pieces, strict=True):
        shapes = [shapely.Polygon(p.polygon) for p in (piece, old)]
        # Corners nearer than 0.02 mm become one; all else is the file's rounding.
        assert shapely.hausdorff_distance(*shapes) < 0.02


@pytest.mark.parametrize("glyph", [letter_i(), letter_t(), triangle(), plus()], ids=lambda g: g.name)
def test_blocks_made_by_hand(glyph):
    same_block(glyph)


@pytest.mark.parametrize("seed", range(60))
def test_blocks_cut_at_random_and_rounded_as_in_the_file(seed):
    parts = [corners(p) for p in cut_apart(seed, 3 + seed % 12)]
    fabrics = [FIGURE if k % 2 else BACKGROUND for k in range(len(parts))]
    plan = recognise(parts, fabrics, (), 60.0, 80.0, PRICES, 4000)
    glyph = Glyph(
        "x", "x", (120,), "x", "ready", pieces=plan.pieces, sections=plan.sections, joins=plan.joins,
        metrics=Metrics(block_width=60.0, match_points=plan.match_points),
    )  # fmt: skip
    same_block(from_json(to_json(sample_pattern(glyph))).glyphs[0])


@pytest.mark.parametrize(
    ("file", "text"),
    [(TEXT_FONTS[0], "AEKOR"), (TEXT_FONTS[2], "Ge"), (SLAB_FONT, "M")],
    ids=lambda value: getattr(value, "stem", value),
)
def test_blocks_of_a_font_with_all_their_metrics(file, text):
    font = load_font(file)
    settings = Settings()
    done = convert(font, choose_glyphs(font, text=text).glyphs, judge_licence(font, file.parent), settings)
    kept = {made.glyph.key: Kept(size=made.size, outline=made.guide) for made in done.made}
    folder = new_folder(done.pattern, kept)
    kept = parse_record(folder.files["record.json"])
    assert record_json(kept) == folder.files["record.json"]
    pattern = from_json(folder.files["pattern.json"])
    for glyph in pattern.glyphs:
        drawing = folder.files[f"blocks/{glyph.key}.svg"].encode()
        again = check_block(pattern, glyph.key, drawing, kept[glyph.key], by_hand=False)
        assert again.is_sewable
        after = from_json(to_json(replace(pattern, glyphs=(again.after,)))).glyphs[0]
        assert (after.sections, after.joins, after.status) == (glyph.sections, glyph.joins, glyph.status)
        for name, value in asdict(glyph.metrics).items():
            expected = value if isinstance(value, str | None) else pytest.approx(value, abs=2e-3)
            assert getattr(after.metrics, name) == expected, name
        assert [r.id for r in after.reasons] == [r.id for r in glyph.reasons]


def test_a_letter_above_its_line_is_told_by_a_check_too_and_where_it_was_drawn_so_only_noted():
    # The bar of the T ends at 10 from the top of its block; the font's T lies 2 mm lower.
    glyph = letter_t()
    outline = shapely.union_all([shapely.box(10, 12, 50, 24), shapely.box(24, 24, 36, 72)])
    kept = Kept(size=60.0, outline=rings_of(shapely.MultiPolygon([outline])))

    def told(by_hand=False, **settings):
        pattern = replace(sample_pattern(glyph), settings=sample_pattern().settings | settings)
        after = check_block(pattern, glyph.key, block_svg(pattern, glyph).encode(), kept, by_hand).after
        return [(r.severity, r.measured, r.where) for r in after.reasons if r.id == "stands-out"]

    assert told() == [("review", pytest.approx(2.0, abs=0.02), pytest.approx((30, 10), abs=0.02))]
    assert [severity for severity, *_ in told(by_hand=True)] == ["note"]
    assert told(fit="each") == []
