"""The replay of the sewing takes what can be sewn and refuses every fault put into it."""

from dataclasses import replace
from itertools import permutations
from math import inf, nan

import pytest

from converter.model import Glyph, Join, Piece, Section
from converter.verify import NotSewableError, verify_block, verify_glyph
from tests.samples import box, letter_i, letter_t, plus, triangle

GLYPHS = {"I": letter_i(), "T": letter_t(), "triangle": triangle(), "plus": plus()}
WIDTH, HEIGHT = 60.0, 80.0


def with_polygon(glyph: Glyph, piece_id: str, change) -> Glyph:
    return replace(
        glyph,
        pieces=tuple(
            replace(p, polygon=tuple(change(p.polygon))) if p.id == piece_id else p for p in glyph.pieces
        ),
    )


def with_order(glyph: Glyph, *ids: str) -> Glyph:
    return replace(glyph, sections=(Section("A", ids), *glyph.sections[1:]))


def refused(glyph: Glyph, message: str | None = None) -> None:
    with pytest.raises(NotSewableError, match=message):
        verify_glyph(glyph, WIDTH, HEIGHT)


@pytest.mark.parametrize("glyph", GLYPHS.values(), ids=GLYPHS)
def test_a_block_that_can_be_sewn_passes(glyph):
    verify_glyph(glyph, WIDTH, HEIGHT)


@pytest.mark.parametrize("glyph", GLYPHS.values(), ids=GLYPHS)
@pytest.mark.parametrize("move", [(0.1, 0), (-0.1, 0), (0, 0.1), (0, -0.1)])
def test_moving_any_one_corner_by_a_tenth_of_a_millimetre_is_refused(glyph, move):
    for piece in glyph.pieces:
        for k in range(len(piece.polygon)):

            def moved(ring, k=k):
                return [(x + move[0], y + move[1]) if n == k else (x, y) for n, (x, y) in enumerate(ring)]

            refused(with_polygon(glyph, piece.id, moved))


@pytest.mark.parametrize("glyph", GLYPHS.values(), ids=GLYPHS)
def test_moving_corners_by_the_rounding_of_the_file_passes(glyph):
    for piece in glyph.pieces:
        verify_glyph(
            with_polygon(glyph, piece.id, lambda ring: [(x + 1e-4, y - 1e-4) for x, y in ring]), WIDTH, HEIGHT
        )


@pytest.mark.parametrize("glyph", GLYPHS.values(), ids=GLYPHS)
def test_rings_may_run_either_way_round_and_begin_anywhere(glyph):
    for piece in glyph.pieces:
        verify_glyph(with_polygon(glyph, piece.id, lambda ring: ring[::-1]), WIDTH, HEIGHT)
        verify_glyph(with_polygon(glyph, piece.id, lambda ring: ring[2:] + ring[:2]), WIDTH, HEIGHT)


@pytest.mark.parametrize("glyph", GLYPHS.values(), ids=GLYPHS)
def test_dropping_any_piece_is_refused(glyph):
    for piece in glyph.pieces:
        refused(replace(glyph, pieces=tuple(p for p in glyph.pieces if p != piece)), "cover")


def test_exactly_the_orders_pass_in_which_each_piece_meets_a_whole_side():
    # The letter I: the sides of the stem, then the strips above and below; by hand, stem and sides first.
    passing = set()
    for order in permutations(("A1", "A2", "A3", "A4", "A5")):
        try:
            verify_glyph(with_order(letter_i(), *order), WIDTH, HEIGHT)
        except NotSewableError:
            continue
        passing.add(order)
    first_three = [p for p in permutations(("A1", "A2", "A3")) if p[2] != "A1"]
    assert passing == {(*three, *two) for three in first_three for two in (("A4", "A5"), ("A5", "A4"))}


FAULTS = {
    "a later piece first": (with_order(letter_t(), "A4", "A2", "A3", "A1", "A5", "A6", "A7", "A8"), "whole straight"),
    "a piece twice": (with_order(letter_i(), "A1", "A2", "A3", "A4", "A4"), "twice"),
    "a piece in no section": (with_order(letter_i(), "A1", "A2", "A3", "A4"), "no section"),
    "an unknown piece": (with_order(letter_i(), "A1", "A2", "A3", "A4", "A9"), "unknown"),
    "an empty section": (replace(letter_i(), sections=(*letter_i().sections, Section("B", ()))), "empty"),
    "a section twice": (replace(plus(), sections=(*plus().sections, plus().sections[0])), "twice"),
    "a piece's id twice": (replace(letter_i(), pieces=(*letter_i().pieces, letter_i().pieces[0])), "same id"),
    "a join forgotten": (replace(plus(), joins=plus().joins[:-1]), "parts are left"),
    "a join twice": (replace(plus(), joins=(*plus().joins, plus().joins[-1])), "not there"),
    "joins in another order": (replace(plus(), joins=plus().joins[::-1]), "not there"),
    "a join with itself": (replace(plus(), joins=(Join(1, ("A", "A"), "A+A"), *plus().joins[1:])), "not there"),
    "a join across nothing": (
        replace(plus(), joins=(Join(1, ("A", "F"), "A+F"),)), "whole straight",
    ),
    "two corners": (with_polygon(letter_i(), "A1", lambda ring: ring[:2]), "three corners"),
    "not a number": (with_polygon(letter_i(), "A1", lambda ring: [(nan, 0.0), *ring[1:]]), "not a number"),
    "infinite": (with_polygon(letter_i(), "A1", lambda ring: [(inf, 0.0), *ring[1:]]), "not a number"),
    "a corner repeated": (with_polygon(letter_i(), "A1", lambda ring: [ring[0], *ring]), "repeats"),
    "out of the block": (
        with_polygon(letter_i(), "A4", lambda ring: [(x, y - 1) for x, y in ring]), "sticks out",
    ),
    "a dent": (
        with_polygon(letter_i(), "A1", lambda ring: [*ring[:2], (30.0, 40.0), *ring[2:]]), "convex",
    ),
    "no piece": (replace(letter_i(), pieces=(), sections=()), "cover"),
}  # fmt: skip


@pytest.mark.parametrize(("glyph", "message"), FAULTS.values(), ids=FAULTS)
def test_a_fault_is_refused_with_its_name(glyph, message):
    refused(glyph, message)


PINWHEEL = (
    box(20, 20, 40, 40), box(0, 0, 40, 20), box(40, 0, 60, 40), box(20, 40, 60, 60), box(0, 20, 20, 60)
)  # fmt: skip
Y_SEAM = (
    ((0, 0), (30, 0), (30, 30), (0, 50)),
    ((30, 0), (60, 0), (60, 50), (30, 30)),
    ((0, 50), (30, 30), (60, 50), (60, 60), (0, 60)),
)
FOUR_PATCH = (box(0, 0, 30, 30), box(30, 0, 60, 30), box(0, 30, 30, 60), box(30, 30, 60, 60))


@pytest.mark.parametrize("rings", [PINWHEEL, Y_SEAM, FOUR_PATCH], ids=["pinwheel", "Y seam", "four-patch"])
def test_what_one_foundation_cannot_take_is_refused_in_every_order(rings):
    pieces = [Piece(f"A{n}", "background", ring) for n, ring in enumerate(rings, 1)]
    for order in permutations(piece.id for piece in pieces):
        with pytest.raises(NotSewableError):
            verify_block(pieces, [Section("A", order)], [], 60, 60)


def test_a_four_patch_of_two_pairs_passes():
    pieces = [
        Piece(f"{s}{n}", "background", FOUR_PATCH[k]) for k, (s, n) in enumerate(("A1", "A2", "B1", "B2"))
    ]
    sections = [Section("A", ("A1", "A2")), Section("B", ("B1", "B2"))]
    verify_block(pieces, sections, [Join(1, ("A", "B"), "A+B")], 60, 60)
    with pytest.raises(NotSewableError, match=r"rectangle|cover"):
        verify_block(pieces, sections, [Join(1, ("A", "B"), "A+B")], 60, 60.2)


def test_the_wrong_block_size_is_refused():
    for width, height in ((60.5, 80), (59.5, 80), (80, 60)):
        with pytest.raises(NotSewableError):
            verify_glyph(letter_i(), width, height)


def test_pieces_that_overlap_are_refused_though_their_areas_add_up():
    pieces = [Piece("A1", "figure", box(0, 0, 40, 60)), Piece("A2", "background", box(20, 0, 40, 60))]
    with pytest.raises(NotSewableError):
        verify_block(pieces, [Section("A", ("A1", "A2"))], [], 60, 60)


def test_a_side_that_hardly_bends_is_one_side():
    # The seam of the last piece runs over a corner at which an earlier seam ends 0.004 mm off the line.
    pieces = [
        Piece("A1", "figure", ((0, 0), (30, 0), (30.004, 30), (0, 30))),
        Piece("A2", "figure", ((0, 30), (30.004, 30), (30, 60), (0, 60))),
        Piece("A3", "background", ((30, 0), (60, 0), (60, 60), (30, 60))),
    ]
    verify_block(pieces, [Section("A", ("A1", "A2", "A3"))], [], 60, 60)
