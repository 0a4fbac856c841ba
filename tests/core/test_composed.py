"""A letter with an accent is its base letter's figure and the accent's, moved; dots that are the same are drawn so."""

import unicodedata
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely

from converter import Settings, choose_glyphs, judge_licence, load_font, pipeline
from converter.composed import composed
from converter.pipeline import convert
from converter.polygons import polygons_of
from converter.store import BlockStore
from converter.straighten.together.islands import same_islands
from converter.verify import verify_glyph
from tests.fonts.makers import TEXT_FONTS, builder, polygon, saved, together

AGREES = 1e-6  # mm
HAIR = 0.005  # mm: lines as near as this are one, so an edge may come to lie on another's
ACCENTED = "ÀÁÂÃÄÅÇÈÉÑÖÜàáâãäåçèéñöü"
BASES = "ACENOUacenou"


def bar(left, bottom, right, top):
    return polygon((left, bottom), (left, top), (right, top), (right, bottom))


def leaning(left, bottom):
    return polygon(
        (left, bottom), (left + 60, bottom + 110), (left + 190, bottom + 110), (left + 100, bottom)
    )


def ell(right):
    return polygon((50, 0), (50, 700), (250, 700), (250, 180), (right, 180), (right, 0))


SHAPES = {
    "L": ell(500),
    "I": bar(100, 0, 300, 700),
    "i": together(bar(100, 0, 300, 450), bar(100, 530, 300, 700)),
    "!": together(bar(60, 250, 260, 700), bar(60, 0, 260, 170)),
    "Í": together(bar(140, 0, 340, 700), leaning(180, 790)),
    "í": together(bar(120, 0, 320, 450), leaning(150, 530)),
    "Ĺ": together(ell(500), leaning(90, 790)),
    "Ľ": together(ell(510), leaning(300, 560)),  # not quite an L below
}


def made_font(tmp_path, shapes):
    path = tmp_path / "test.ttf"
    names = {c: f"uni{ord(c):04X}" for c in shapes}
    font = builder(
        {names[c]: shape for c, shape in shapes.items()},
        cmap={ord(c): names[c] for c in shapes},
        sCapHeight=700,
    )
    path.write_bytes(saved(font))
    return load_font(path), path


def drawn(tmp_path, shapes, executor=None, store=None):
    """The blocks of a font of these shapes, by character."""
    font, path = made_font(tmp_path, shapes)
    chosen = choose_glyphs(font, text="".join(shapes)).glyphs
    settings = Settings(effort="draft")
    done = convert(font, chosen, judge_licence(font, path.parent), settings, executor, store=store)
    return {made.glyph.text: made for made in done.made}


@cache
def letters(font: int):
    path = TEXT_FONTS[font]
    opened = load_font(path)
    chosen = choose_glyphs(opened, text=BASES + ACCENTED + "iïj.!?:;").glyphs
    done = convert(opened, chosen, judge_licence(opened, path.parent), Settings(effort="draft"))
    return {made.glyph.text: made for made in done.made}


def outline_of(made):
    return polygons_of(made.guide)


def is_under(base, accented) -> float | None:
    """How far right a letter's outline lies in another one, which has more; None where it does not."""
    one, other = outline_of(base), outline_of(accented)
    for part in other.geoms:
        right = part.bounds[0] - one.bounds[0]
        if len(one.geoms) == 1 and moved(one, right).hausdorff_distance(shapely.MultiPolygon([part])) < 1e-3:
            return right
    return None


def moved(shape, right, down=0.0):
    return shapely.transform(shape, lambda points: points + np.array([right, down]))


def has_figure(made, base, right) -> bool:
    """Whether all of a letter's figure is in another one, moved by so much."""
    there = list(polygons_of(made.glyph.figure).geoms)
    return all(
        any(p.symmetric_difference(q).area < AGREES and p.hausdorff_distance(q) < AGREES for q in there)
        for p in moved(polygons_of(base.glyph.figure), right).geoms
    )


def is_excused(made) -> bool:
    return any(reason.id == "unlike" for reason in made.glyph.reasons)


@pytest.mark.parametrize("font", [0, 1])
def test_a_letter_with_an_accent_is_its_base_letter_moved_with_the_accent(font):
    blocks = letters(font)
    found = Counter()
    for text in ACCENTED:
        base, made = blocks[unicodedata.normalize("NFD", text)[0]], blocks[text]
        right = is_under(base, made)
        if right is None:  # the accent touches the letter
            found["joined"] += 1
            continue
        assert has_figure(made, base, right) or is_excused(made), text
        found["excused" if is_excused(made) else "composed"] += 1
    assert found["composed"] >= (16, 6)[font], (
        found
    )  # the heavy accents of the second touch many of its letters


@pytest.mark.parametrize("font", [0, 1])
def test_what_is_the_same_in_letters_is_drawn_the_same(font):
    blocks = {k: made for k, made in letters(font).items() if made.glyph.pieces and not is_excused(made)}
    size = next(iter(blocks.values())).size
    numbers = list(blocks)
    compared = 0
    for group in same_islands({n: outline_of(blocks[k]) for n, k in enumerate(numbers)}, size):
        figures = []
        for place in group:
            made = blocks[numbers[place.letter]]
            island = outline_of(made).geoms[place.number]
            parts = polygons_of(made.glyph.figure).geoms
            figures.append(moved(max(parts, key=lambda p: p.intersection(island).area), -place.x, -place.y))
        for figure in figures[1:]:
            assert figure.hausdorff_distance(figures[0]) < HAIR, [numbers[p.letter] for p in group]
            compared += 1
    assert compared >= 20


@pytest.mark.parametrize("font", [0, 1])
def test_composed_letters_pass_the_replay(font):
    for made in letters(font).values():
        if made.glyph.pieces:
            verify_glyph(made.glyph, 76.2, 101.6)


def with_base(tmp_path, top: float):
    """L and Ĺ, composed where the figure of L that a designer chose reaches up to ``top`` (mm from the block's top)."""
    font, _ = made_font(tmp_path, {k: SHAPES[k] for k in "LĹ"})
    jobs, _ = pipeline._jobs(font, choose_glyphs(font, text="LĹ").glyphs, Settings(effort="draft"))
    blocks = dict(enumerate(map(pipeline.make_block, jobs)))
    ((ring,),) = blocks[0].glyph.figure
    highest = min(y for _, y in ring)
    taller = tuple((x, top if y == highest else y) for x, y in ring)
    chosen = pipeline.make_block(replace(jobs[0], given=((taller,),)))
    assert chosen.glyph.figure == ((taller,),)
    blocks[0] = replace(blocks[0], glyph=chosen.glyph, others=(blocks[0].glyph,), number=2)

    def again(asked, which):
        return {k: pipeline.make_block(asked[k]) for k in which}

    return blocks, composed(jobs, blocks, again, pipeline.dressed), highest


def test_the_base_is_the_figure_that_the_designer_chose(tmp_path):
    _, _, highest = with_base(tmp_path, 30.0)
    before, after, _ = with_base(tmp_path, highest + 1.0)
    assert after[0] == before[0]
    assert has_figure(after[1], before[0], is_under(before[0], before[1]))
    assert after[1].others[-1].figure == before[1].glyph.figure  # its own figure can still be chosen


def test_what_cannot_be_sewn_so_keeps_its_own_figure_with_a_note(tmp_path):
    before, after, _ = with_base(tmp_path, 8.0)  # up into the accent
    assert after[1].glyph.figure == before[1].glyph.figure
    assert after[1].glyph.status == before[1].glyph.status
    (note,) = (reason for reason in after[1].glyph.reasons if reason.id == "unlike")
    assert (note.severity, "L" in note.message) == ("note", True)


def test_a_letter_that_is_not_quite_its_base_is_drawn_for_itself(tmp_path):
    blocks = drawn(tmp_path, SHAPES)
    assert is_under(blocks["L"], blocks["Ľ"]) is None
    right = is_under(blocks["L"], blocks["Ĺ"])
    assert right is not None
    assert has_figure(blocks["Ĺ"], blocks["L"], right)
    assert has_figure(blocks["Í"], blocks["I"], is_under(blocks["I"], blocks["Í"]))


def test_it_is_the_same_on_any_number_of_workers_and_from_the_store(tmp_path):
    store = BlockStore(tmp_path / "blocks")
    alone = drawn(tmp_path, SHAPES, store=store)
    with ThreadPoolExecutor(3) as executor:
        assert drawn(tmp_path, SHAPES, executor) == alone
    assert drawn(tmp_path, SHAPES, store=store) == alone
