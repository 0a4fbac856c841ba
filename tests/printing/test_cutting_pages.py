"""The cutting list on paper: by size and by letter, in one order of measures, rounded as asked for."""

from collections import Counter

import pytest

from converter.errors import InputError
from converter.fabric.cutting import Cutting
from converter.measures import MM_PER_YARD
from converter.printing.cutting_pages import cutting_pages, letters
from converter.printing.page import imprint_of
from converter.words.making import make_set
from tests.printing.reading import read
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle

HALF_INCH = 12.7


def test_by_letter_every_piece_stands_once_and_as_in_the_list_by_size():
    pattern = sample_pattern()
    made = make_set(pattern)
    sizes = {(sheet.label, str(row.number)): row for sheet in made.sheets for row in sheet.patches}
    for glyph, letter in zip(pattern.glyphs, letters(pattern, made.sheets), strict=True):
        pieces = [piece for row in letter["rows"] for piece in row["pieces"].split()]
        assert sorted(pieces) == sorted(piece.id for piece in glyph.pieces)
        for row in letter["rows"]:
            assert int(row["count"]) == len(row["pieces"].split())
            assert row["size"] == sizes[row["fabric"], row["number"]].size
    counted = Counter()
    for letter in letters(pattern, made.sheets):
        for row in letter["rows"]:
            counted[row["fabric"], row["number"]] += int(row["count"])
    assert counted == {key: row.count for key, row in sizes.items()}


def test_patches_rounded_up_to_half_an_inch_have_fewer_sizes_and_none_is_smaller():
    pattern = sample_pattern()
    fine, coarse = make_set(pattern), make_set(pattern, round_to=HALF_INCH)
    for one, other in zip(fine.plans, coarse.plans, strict=True):
        assert sum(cut.count for cut in one.cuts) == sum(cut.count for cut in other.cuts)
        by_use = {use: cut for cut in other.cuts for use in cut.uses}
        for cut in one.cuts:
            for use in cut.uses:
                larger = by_use[use]
                assert larger.length >= cut.length - 1e-6
                assert larger.width >= cut.width - 1e-6
        for cut in other.cuts:
            if cut.kind == "patch":
                for side in (cut.length, cut.width):
                    assert abs(side / HALF_INCH - round(side / HALF_INCH)) < 1e-6
    assert sum(len(p.cuts) for p in coarse.plans) < sum(len(p.cuts) for p in fine.plans)


@pytest.mark.parametrize("step", [0.0, 0.5, -1.0, MM_PER_YARD])
def test_a_rounding_that_makes_no_sense_is_refused(step):
    with pytest.raises(InputError, match="rounded up to"):
        Cutting(round_to=step)


def test_the_printed_list_has_both_orders_and_says_what_it_rounds_to():
    pattern = sample_pattern(letter_i(), letter_t(), triangle(), plus())
    made = make_set(pattern, round_to=HALF_INCH)
    pdf = cutting_pages(
        imprint_of(pattern, "in").named("Handmade"),
        made.made_for,
        made.sheets,
        made.plans,
        made.cutting,
        by_letter=letters(pattern, made.sheets),
    )
    pages = read(pdf)
    text = " ".join(run.text for page in pages for run in page.runs)
    assert "rounded up to 1/2 in" in text
    assert "along the seam × across it" in text
    last = " ".join(run.text for run in pages[-1].runs)
    assert "By letter" in last
    assert "A10" not in last  # no sample has ten pieces in a section
    assert "B3" in last
