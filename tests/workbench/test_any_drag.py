"""Hundreds of random acts on random letters: whatever is shown as sewable is, and no drawing is lost."""

import math
import re
import shutil
from pathlib import Path
from random import Random

import pytest

from converter.checking import check_folder
from converter.drawing.block import block_svg
from converter.errors import InputError
from converter.folder.keeping import Kept
from converter.folder.reading import read_pattern
from converter.model import Polygons
from converter.output import digest
from converter.pattern import from_json
from converter.straighten.outline.symmetry import Symmetry
from converter.verify import verify_glyph
from converter.workbench.figure import Act, Part, acted, figure_of_glyph, images
from converter.workbench.letter import answer, open_letter, save
from converter.workbench.opened import OpenSet, State

CAPITALS = Path(__file__).parents[1] / "printing/patterns/capitals_3x4in.json"
DRAGS = 500


@pytest.fixture(scope="module")
def state() -> State:
    pattern = from_json(CAPITALS.read_text(encoding="utf-8"), CAPITALS.name)
    kept = {glyph.key: Kept(size=66.0, outline=glyph.figure) for glyph in pattern.glyphs}
    return State(pattern, kept, {}, {glyph.key: glyph for glyph in pattern.glyphs})


def random_act(dice: Random, figure) -> Act:
    p = dice.randrange(len(figure))
    r = dice.randrange(len(figure[p].rings))
    ring = figure[p].rings[r]
    c = dice.randrange(len(ring))
    kind = dice.choice(["corner", "corner", "corner", "edge", "edge", "edge", "add", "drop"])
    dx, dy = dice.gauss(0, 5), dice.gauss(0, 5)
    to = (dx, dy) if kind == "edge" else (ring[c][0] + dx, ring[c][1] + dy)
    return Act(kind, (p, r, c), to, dice.random() < 0.7)


def test_whatever_is_shown_as_sewable_passes_the_replay(state):
    dice, sewable = Random(25), 0
    inked = [glyph.key for glyph in state.pattern.glyphs if glyph.pieces]
    letters = {key: open_letter(state, key) for key in inked}
    figures = {key: letter.drawn for key, letter in letters.items()}
    for _ in range(DRAGS):
        key = dice.choice(inked)
        letter, act = letters[key], random_act(dice, figures[key])
        try:
            said = answer(letter, figures[key], act, dice.choice([0.0, 1.0, 2.0]))
        except InputError:  # refused in words, such as a corner on an edge too short for one; nothing changes
            continue
        corners = [corner for part in said.figure for ring in part.rings for corner in ring]
        assert len(corners) >= 3
        assert all(math.isfinite(v) for corner in corners for v in corner)
        if said.glyph.pieces:
            sewable += 1
            verify_glyph(said.glyph, letter.ground.width, letter.ground.height)
        else:
            assert said.glyph.status == "redesign"
            assert said.glyph.reasons
        # A designer goes on from what can be sewn, and mostly undoes what cannot.
        if said.glyph.pieces or dice.random() < 0.3:
            figures[key] = said.figure
        if dice.random() < 0.1:
            figures[key] = letter.drawn
    assert sewable > DRAGS / 2  # else the test says little


SQUARE: Polygons = ((((10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0)),),)
FIGURE = (Part("figure", SQUARE[0]),)


def test_an_edge_moves_as_its_neighbours_run():
    (part,) = acted(FIGURE, Act("edge", (0, 0, 0), (3.0, 4.0)), Symmetry())
    assert part.rings[0] == (
        (10.0, 14.0),
        (30.0, 14.0),
        (30.0, 30.0),
        (10.0, 30.0),
    )  # along itself it does not move


def test_edges_on_one_line_move_together():
    other = Part("figure", (((40.0, 10.0), (60.0, 10.0), (60.0, 20.0), (40.0, 20.0)),))
    one, two = acted((*FIGURE, other), Act("edge", (0, 0, 0), (0.0, -5.0)), Symmetry())
    assert {y for _, y in one.rings[0]} == {5.0, 30.0}
    assert {y for _, y in two.rings[0]} == {5.0, 20.0}


def test_symmetric_corners_move_as_images_and_stay_on_their_axis():
    axis = Symmetry(x=20.0)
    (part,) = acted(FIGURE, Act("corner", (0, 0, 0), (8.0, 7.0)), axis)
    assert part.rings[0] == ((8.0, 7.0), (32.0, 7.0), (30.0, 30.0), (10.0, 30.0))
    tip = (Part("figure", (((20.0, 5.0), (30.0, 30.0), (10.0, 30.0)),)),)
    (part,) = acted(tip, Act("corner", (0, 0, 0), (24.0, 9.0)), axis)
    assert part.rings[0][0] == (20.0, 9.0)
    (part,) = acted(FIGURE, Act("corner", (0, 0, 0), (8.0, 7.0), both=False), axis)
    assert part.rings[0][1] == (30.0, 10.0)


def test_corners_are_added_and_dropped_on_both_sides():
    axis = Symmetry(x=20.0)
    more = acted(FIGURE, Act("add", (0, 0, 1), (31.0, 20.0)), axis)
    assert more[0].rings[0] == (
        (10.0, 10.0), (30.0, 10.0), (30.0, 20.0), (30.0, 30.0), (10.0, 30.0), (10.0, 20.0),
    )  # fmt: skip
    assert acted(more, Act("drop", (0, 0, 2)), axis) == FIGURE


def test_a_quarter_has_four_images():
    maps = images(Symmetry(x=20.0, y=50.0))
    assert {image((10.0, 40.0)) for image in maps} == {(10.0, 40.0), (30.0, 40.0), (10.0, 60.0), (30.0, 60.0)}


def test_a_figure_goes_to_the_page_and_comes_back_the_same(converted):
    from converter.workbench.told import said_figure, told_figure

    pattern = read_pattern(converted)
    for glyph in pattern.glyphs:
        figure = figure_of_glyph(glyph)
        assert said_figure(told_figure(figure), pattern.fabrics) == figure


def test_the_shape_the_seams_and_the_page_make_the_same_block(tmp_path, converted):
    """One and the same letter redrawn in three ways: its shape in a file, its seams in a file, in the browser."""
    redrawn = {}
    for way in ("page", "shape", "seams"):
        folder = tmp_path / way
        shutil.copytree(converted, folder)
        opened = OpenSet("set", folder, folder / "alphabet.toml")
        letter = open_letter(opened.state(), "R_")
        said = answer(letter, letter.drawn, Act("corner", (0, 0, 1), (14.0, 76.0)), 2.0)
        assert said.glyph.pieces
        path = folder / "blocks/R_.svg"
        before = path.read_bytes()
        if way == "page":
            assert save(opened, "R_", said.figure, digest(before)).theirs is None
        else:
            after = block_svg(opened.state().pattern, said.glyph, opened.state().kept["R_"].outline)
            # Of what was drawn, an editor changes one layer only: the others are as the converter wrote them.
            path.write_text(with_layers_of(before.decode(), after, way), encoding="utf-8")
            check_folder(folder)
        redrawn[way] = next(g for g in read_pattern(folder).glyphs if g.key == "R_")
    page, shape, seams = (as_told(redrawn[way]) for way in ("page", "shape", "seams"))
    assert page == shape == seams


def as_told(glyph) -> tuple:
    """All that is sewn of a block; a piece's corners from the one that sorts first, wherever its ring begins."""
    pieces = []
    for piece in glyph.pieces:
        ring = [(round(x, 2), round(y, 2)) for x, y in piece.polygon]
        first = ring.index(min(ring))
        pieces.append((piece.id, piece.fabric, tuple(ring[first:] + ring[:first])))
    return tuple(pieces), glyph.sections, glyph.joins, glyph.status, [r.id for r in glyph.reasons]


def with_layers_of(before: str, after: str, way: str) -> str:
    """A drawing with one of its layers (seams with the fabrics of their pieces, or the shape) from another."""
    for layer in {"shape": ["shape"], "seams": ["seams", "pieces"]}[way]:
        find = re.compile(rf'<g [^>]*id="{layer}".*?</g>', re.DOTALL)
        assert find.search(before)
        new = find.search(after)[0]
        before = before[: find.search(before).start()] + new + before[find.search(before).end() :]
    return before
