"""Joins in words."""

from dataclasses import replace

from converter.fabric.cutting import Cutting
from converter.printing.sewing_words import join_sentences, strip_sentences
from tests.drawing.test_meetings import rows
from tests.samples import letter_i, plus


def test_what_must_match_is_named_by_its_pieces():
    glyph = rows([("A2", 20), ("A1", 40), ("A3", 60)], [("B1", 20), ("B2", 60)])
    assert join_sentences(glyph) == [
        "Sew section B to section A. Match A2/A1 with B1/B2. Press towards section B."
    ]


def test_where_nothing_must_match_it_is_said_and_no_mark_is_named_on_a_strip_that_has_no_paper():
    assert join_sentences(plus())[:2] == [
        "Sew section B to section A. No seams to match: pin the ends. Press towards section A.",
        "Sew section C to the joined sections A and B. No seams to match: pin the ends. Press towards section C.",
    ]


def test_a_border_is_laid_on_the_mark_of_a_section_with_paper():
    glyph = rows([("A1", 60)], [("B1", 60)], more="C")
    two = replace(glyph.sections[2], pieces=("C1", "C2"))
    pieces = (*glyph.pieces[:-1], *(replace(glyph.pieces[-1], id=i, polygon=r) for i, r in _halves()))
    joins = (replace(glyph.joins[0], parts=("A", "B")), glyph.joins[1])
    upright = replace(
        glyph, pieces=(*_upright(), *pieces[2:]), sections=(*glyph.sections[:2], two), joins=joins
    )
    assert join_sentences(upright)[1] == (
        "Sew section C to the joined sections A and B. Lay A1/B1 on the mark of section C. Press towards section C."
    )


def _halves():
    return ("C1", ((0.0, 40.0), (60.0, 40.0), (60.0, 60.0), (0.0, 60.0))), (
        "C2",
        ((0.0, 60.0), (60.0, 60.0), (60.0, 80.0), (0.0, 80.0)),
    )


def _upright():
    left = replace(plus().pieces[0], id="A1", polygon=((0.0, 0.0), (30.0, 0.0), (30.0, 40.0), (0.0, 40.0)))
    return left, replace(left, id="B1", polygon=((30.0, 0.0), (60.0, 0.0), (60.0, 40.0), (30.0, 40.0)))


def test_a_strip_is_told_with_the_size_to_cut():
    # C is 10 × 40 mm, E 60 × 20 mm; 1/4 in more on every side: 22.7 × 52.7 and 72.7 × 32.7 mm.
    found = strip_sentences(plus(), Cutting())
    assert found[0] == (
        "Section C is a strip and needs no paper. Cut a strip of 2 1/8 × 15/16 in and trim it to its template."
    )
    assert found[2] == (
        "Section E is a strip and needs no paper. Cut a strip of 2 7/8 × 1 5/16 in and trim it to its template."
    )
    metric = strip_sentences(plus(), Cutting(units="mm", allowance=7.0, piece_allowance=4.0))
    # C: 10 + 7 + 4 wide; 40 + 2 · 4 high, for E and F are joined to it.
    assert metric[0] == "Section C is a strip and needs no paper. Cut it 48 × 21 mm."
    assert strip_sentences(letter_i(), Cutting()) == []
