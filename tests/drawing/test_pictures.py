import pytest
from shapely import LineString, Point, Polygon

from converter.drawing import blank_picture, coloured_picture, section_map, step_picture
from converter.drawing.steps import step_pieces
from converter.model import Glyph
from converter.seams import seams
from tests.drawing import reading
from tests.drawing.blocks import random_pattern
from tests.samples import letter_i, letter_t, plus, sample_pattern


def polygons(svg: str) -> list[Polygon]:
    return [reading.polygon(e) for e in reading.parse(svg).iter(f"{reading.SVG}polygon")]


@pytest.mark.parametrize("make", [coloured_picture, blank_picture, section_map])
def test_all_pictures_of_a_glyph_have_the_block_size(make):
    pattern = sample_pattern(plus())
    assert reading.size(reading.parse(make(pattern, plus()))) == (60, 80)


def test_the_coloured_picture_shows_each_piece_in_its_fabric():
    pattern = sample_pattern(letter_t())
    drawn = list(reading.parse(coloured_picture(pattern, letter_t())).iter(f"{reading.SVG}polygon"))
    for element, piece in zip(drawn, letter_t().pieces, strict=False):
        assert element.get("fill") == pattern.fabrics[piece.fabric].colour


def test_the_blank_picture_leaves_all_pieces_white():
    svg = blank_picture(sample_pattern(letter_t()), letter_t())
    assert "#1f4e5f" not in svg
    assert len(polygons(svg)) == len(letter_t().pieces) + 1  # the block's edge


@pytest.mark.parametrize("seed", range(8))
def test_the_map_numbers_each_join_on_its_seam_and_covers_no_other_number(seed):
    pattern = random_pattern(seed)
    glyph = pattern.glyphs[0]
    root = reading.parse(section_map(pattern, glyph))
    tabs = {e.get("id"): reading.polygon(e) for e in root.iter(f"{reading.SVG}polygon") if e.get("id")}
    joins = [s for s in seams(glyph) if s.kind == "join"]
    assert set(tabs) == {f"join-{s.step}" for s in joins}
    for seam in joins:
        assert tabs[f"join-{seam.step}"].intersects(LineString([seam.start, seam.end]))
    (numbers,) = reading.of_class(root, "piece-numbers")
    for text in numbers.iter(f"{reading.SVG}text"):
        x, y = float(text.get("x")), float(text.get("y"))
        assert not any(tab.covers(Point(x, y)) for tab in tabs.values())


def test_a_step_shows_what_is_there_what_is_added_and_the_seam():
    glyph = letter_i()
    root = reading.parse(step_picture(sample_pattern(glyph), glyph, 2))
    (there,), (added,), (seam,) = (reading.of_class(root, name) for name in ("there", "added", "seam"))
    for elements, ids in ((there, ["A1", "A2", "A3"]), (added, ["A4"])):
        assert [reading.polygon(e) for e in elements] == [Polygon(glyph.piece(i).polygon) for i in ids]
    assert {reading.line(e) for e in seam} == {LineString([(0, 10), (60, 10)])}


def test_the_steps_of_a_section_and_the_joins_add_every_piece_once():
    glyph = plus()
    started = {section.pieces[0] for section in glyph.sections}
    inner = [s for s in seams(glyph) if s.kind == "inner"]
    added = [p.id for s in inner for p in step_pieces(glyph, s)[1]]
    assert sorted([*started, *added]) == sorted(p.id for p in glyph.pieces)
    last_there, last_added = step_pieces(glyph, seams(glyph)[-1])
    assert {p.id for p in last_there + last_added} == {p.id for p in glyph.pieces}


def test_there_is_no_step_after_the_last():
    glyph = letter_i()
    with pytest.raises(IndexError):
        step_picture(sample_pattern(glyph), glyph, len(seams(glyph)))


def test_a_glyph_without_pieces_makes_an_empty_picture():
    empty = Glyph("space", "space", (32,), " ", "blank")
    for make in (coloured_picture, blank_picture, section_map):
        assert reading.size(reading.parse(make(sample_pattern(empty), empty))) == (60, 80)


@pytest.mark.parametrize("seed", range(8))
def test_a_step_names_what_it_adds_in_the_size_asked_for_and_off_all_lines_of_its_piece(seed):
    pattern = random_pattern(seed)
    glyph = pattern.glyphs[0]
    for step, seam in enumerate(seams(glyph)):
        root = reading.parse(step_picture(pattern, glyph, step, em=7.0))
        (names,) = reading.of_class(root, "names")
        texts = list(names.iter(f"{reading.SVG}text"))
        there, added = step_pieces(glyph, seam)
        if seam.kind == "inner":
            expected = [p.id for p in ((there[0], *added) if seam.step == 2 else added)]
        else:
            expected = [s.id for s in glyph.sections if s.pieces[0] in {p.id for p in there + added}]
        assert [reading.words(t) for t in texts] == expected
        assert all(t.get("font-size") == "7" for t in texts)
        dots = [Point(float(e.get("cx")), float(e.get("cy"))) for e in reading.of_class(names, "leader-dot")]
        for text in texts if seam.kind == "inner" else ():
            ring = Polygon(glyph.piece(reading.words(text)).polygon)
            assert ring.covers(reading.text_box(text)) or any(ring.covers(dot) for dot in dots)


def test_the_map_has_no_smaller_name_than_asked_for():
    pattern = random_pattern(3)
    root = reading.parse(section_map(pattern, pattern.glyphs[0], em=5.0))
    (numbers,) = reading.of_class(root, "piece-numbers")
    assert min(float(t.get("font-size")) for t in numbers.iter(f"{reading.SVG}text")) >= 5
