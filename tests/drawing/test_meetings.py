"""What must match on a join, and to which side it is pressed."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from converter.drawing.joins import join_edges
from converter.drawing.meetings import meetings
from converter.model import Glyph, Join, Piece, Section
from converter.seams import assemblies, seams
from tests.drawing.blocks import random_pattern
from tests.samples import box, plus


def rows(top: list[tuple[str, float]], foot: list[tuple[str, float]], more: str = "") -> Glyph:
    """A block 60 × 80 mm of two sections, one above the other, each of pieces side by side: id and right end.

    A section's pieces are sewn in the order of their numbers. ``more``: a third section, in a strip at the foot.
    """
    pieces, height = [], 20 if more else 40
    for row, y in ((top, 0), (foot, height)):
        left = 0.0
        for piece, right in row:
            pieces.append(Piece(piece, "figure", box(left, y, right, y + height)))
            left = right
    parts = [Section(n, tuple(sorted(p.id for p in pieces if p.id[0] == n))) for n in "AB"]
    joins = [Join(1, ("A", "B"), "A+B")]
    if more:
        pieces.append(Piece(f"{more}1", "figure", box(0, 40, 60, 80)))
        parts.append(Section(more, (f"{more}1",)))
        joins.append(Join(2, ("A+B", more), f"A+B+{more}"))
    return replace(plus(), pieces=tuple(pieces), sections=tuple(parts), joins=tuple(joins))


def test_seams_that_end_at_one_place_are_matched_and_others_are_not():
    (meeting,) = meetings(rows([("A1", 20), ("A2", 40), ("A3", 60)], [("B1", 20), ("B2", 60)]))
    assert [(m.first, m.second) for m in meeting.matches] == [(("A1", "A2"), ("B1", "B2"))]
    (none,) = meetings(rows([("A1", 20), ("A2", 60)], [("B1", 30), ("B2", 60)]))
    assert none.matches == ()


# Common practice, no source: press to the flatter side, and open where layers would pile up.
@pytest.mark.parametrize(
    ("top", "foot", "towards"),
    [
        ([("A1", 20), ("A2", 60)], [("B1", 60)], "B"),
        ([("A1", 60)], [("B1", 20), ("B2", 40), ("B3", 60)], "A"),
        # They nest: A's seam lies to the left, B's to the right. Fewer seams end on B's side.
        ([("A2", 20), ("A1", 40), ("A3", 60)], [("B1", 20), ("B2", 60)], "B"),
        # Both lie to the right.
        ([("A1", 20), ("A2", 40), ("A3", 60)], [("B1", 20), ("B2", 60)], ""),
        # As many on either side.
        ([("A1", 20), ("A2", 60)], [("B1", 30), ("B2", 60)], ""),
        ([("A1", 60)], [("B1", 60)], "B"),
    ],
)
def test_a_join_is_pressed_to_the_flatter_side_and_open_where_seams_would_pile_up(top, foot, towards):
    (meeting,) = meetings(rows(top, foot))
    assert meeting.towards == towards


def test_of_two_ways_that_are_as_flat_the_one_is_taken_whose_layers_do_not_pile_up_later():
    # A|B is sewn first and ends on C where a seam of C ends, too. C's seam lies to the piece that is sewn on last.
    def block(left: str, right: str) -> Glyph:
        pieces = (
            Piece("A1", "figure", box(0, 0, 30, 40)),
            Piece("B1", "figure", box(30, 0, 60, 40)),
            Piece(left, "figure", box(0, 40, 30, 80)),
            Piece(right, "figure", box(30, 40, 60, 80)),
        )
        parts = (Section("A", ("A1",)), Section("B", ("B1",)), Section("C", ("C1", "C2")))
        joins = (Join(1, ("A", "B"), "A+B"), Join(2, ("A+B", "C"), "A+B+C"))
        return replace(plus(), pieces=pieces, sections=parts, joins=joins)

    assert meetings(block("C1", "C2"))[0].towards == "A"
    assert meetings(block("C2", "C1"))[0].towards == "B"


def test_the_border_of_two_sections_that_ends_on_no_seam_is_told_with_the_part_opposite():
    found = meetings(plus())
    assert [m.lone for m in found[:2]] == [(), ((("A4", "B2"), "C"),)]
    assert [m.towards for m in found] == ["A", "C", "D", "E", "F"]


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.integers(0, 10_000), st.integers(2, 6))
def test_each_match_lies_where_two_pieces_of_each_side_touch_and_is_marked_on_both(seed, count):
    glyph = random_pattern(seed, sections=count).glyphs[0]
    parts, by_step = assemblies(glyph), {s.step: s for s in seams(glyph) if s.kind == "join"}
    for meeting in meetings(glyph):
        seam = by_step[meeting.join.step]
        for match in meeting.matches:
            share = match.at / seam.length
            place = Point(*(a + share * (b - a) for a, b in zip(seam.start, seam.end, strict=True)))
            for pair, part in ((match.first, meeting.join.parts[0]), (match.second, meeting.join.parts[1])):
                assert set(pair) <= set(parts[part].pieces)
                assert all(Polygon(glyph.piece(i).polygon).distance(place) < 0.05 for i in pair)
                marks = [
                    mark
                    for edge in join_edges(glyph)
                    if edge.join == meeting.join.step and edge.section in parts[part].sections
                    for mark in edge.marks
                ]
                assert any(place.distance(Point(mark)) < 0.05 for mark in marks)
        assert meeting.towards in ("", *meeting.join.parts)
