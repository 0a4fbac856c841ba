"""Blocks in the words' fabrics, parts of the map, and the picture of finished things."""

import xml.etree.ElementTree as ET

import pytest

from converter.model import BACKGROUND
from converter.printing.words_pages import _even_parts
from converter.words.assembly_drawing import row_svg
from converter.words.colours import ColourPlan, colour, parse_fabric, parse_group
from converter.words.display import Shown, display_svg
from converter.words.frames import Frame, Sides
from converter.words.layout import lay_out
from converter.words.making import WordsJob, assembly_lines, make_words
from converter.words.parts import LayoutSettings
from converter.words.recolour import in_its_colours
from tests.samples import sample_pattern

SVG = "{http://www.w3.org/2000/svg}"
RUST, KELP = parse_fabric("rust"), parse_fabric("kelp")


def layout(text="TA IT", **more):
    return lay_out(sample_pattern(), text, LayoutSettings(border=Sides.all(10), **more), "mm")


def test_blocks_take_the_fabrics_of_the_words_piece_by_piece():
    made = layout()
    plan = ColourPlan(
        (RUST, KELP), "letter", background=parse_fabric("sand"), groups=parse_group("T:A4=gorse")
    )
    found = colour(made, plan)
    pattern = in_its_colours(made, found)
    first = {block.key: block.id for block in reversed(made.blocks)}
    for glyph in pattern.glyphs:
        for piece in glyph.pieces:
            wanted = found.fabrics[found.pieces[first[glyph.key], piece.id]]
            assert pattern.fabrics[piece.fabric] == wanted
    assert pattern.fabrics[BACKGROUND].label == "sand"


def test_what_is_background_stays_so_and_hatching_with_it():
    made = layout("T")
    plan = ColourPlan(groups=parse_group(f"T:{made.pattern.glyphs[0].pieces[1].id}=gorse"))
    before = {p.id: p.fabric for p in made.pattern.glyphs[0].pieces}
    after = {p.id: p.fabric for p in in_its_colours(made, colour(made, plan)).glyphs[0].pieces}
    changed = made.pattern.glyphs[0].pieces[1].id
    for piece, fabric in before.items():
        assert (after[piece] == BACKGROUND) == (fabric == BACKGROUND and piece != changed)


def test_a_fabric_called_background_is_not_taken_for_it():
    made = layout("T")
    called = parse_fabric("background=#123456")
    found = colour(made, ColourPlan((called,), background=parse_fabric("sand")))
    pattern = in_its_colours(made, found)
    figure = [p for p, old in zip(pattern.glyphs[0].pieces, made.pattern.glyphs[0].pieces, strict=True)
              if old.fabric != BACKGROUND]  # fmt: skip
    assert {pattern.fabrics[p.fabric].colour for p in figure} == {"#123456"}


def test_only_characters_in_several_fabrics_are_remarked_on():
    made = layout("TAT")
    same = in_its_colours(made, colour(made, ColourPlan((RUST,))))
    assert not [r for g in same.glyphs for r in g.reasons if r.id == "other-fabrics"]
    # In turn, rust, kelp, rust: both T are of one fabric; with three letters fabrics they are not.
    three = colour(made, ColourPlan((RUST, KELP, parse_fabric("slate")), "letter"))
    remarks = [(g.text, r.message) for g in in_its_colours(made, three).glyphs for r in g.reasons]
    assert [text for text, message in remarks if "other fabrics: 1.3" in message] == ["T"]


def ids(svg: str) -> set[str]:
    return {t.text for g in ET.fromstring(svg).iter(f"{SVG}g") if g.get("id") == "ids" for t in g}


@pytest.mark.parametrize("frame", [None, Frame(left=8.0, right=8.0, top=6.0)])
def test_parts_of_the_map_hold_every_block_and_inner_strip(frame):
    made = layout("TAIT AI\nIT", spacing=9.0, frame=frame)
    shown: set[str] = set()
    for row in ("1", "2"):
        blocks = [b for b in made.blocks if b.id.split(".")[0] == row]
        parts = list(_even_parts(blocks, 200.0))
        assert [b for part in parts for b in part] == blocks
        assert len(parts) == (3 if row == "1" else 1)
        for part in parts:
            named = ids(row_svg(made, part, 0.3))
            assert {b.id for b in part} == {name for name in named if "." in name}
            shown |= named
    assert shown == {p.id for p in made.parts if getattr(p, "kind", "") not in ("border", "line")}


def test_a_part_of_the_map_is_drawn_to_scale_unless_it_would_be_too_wide():
    made = layout("TAIT")
    drawn = {w: ET.fromstring(row_svg(made, made.blocks, 0.25, width=w)).get("width") for w in (200.0, 40.0)}
    assert drawn == {200.0: "62.0mm", 40.0: "42.0mm"}  # 4 × 60 mm × 0.25, 1 mm round it


def test_framing_a_row_is_one_line_of_the_order_and_one_block_is_told_strip_by_strip():
    both = assembly_lines(layout("TA", frame=Frame(left=8.0, right=8.0, top=6.0)))
    assert both[0].startswith("Frame blocks 1.1 to 1.2, each")
    assert both[1].startswith("Join row 1 from left to right: 1.1 framed, 1.2 framed")
    alone = assembly_lines(layout("T", frame=Frame(left=8.0, right=8.0, top=6.0)))
    assert [line.split(":")[1].strip() for line in alone[:2]] == ["left and right", "top and bottom"]


def test_finished_things_are_shown_at_one_scale():
    wide = make_words(sample_pattern(), WordsJob("TAIT", LayoutSettings(border=Sides())))
    small = make_words(sample_pattern(), WordsJob("T", LayoutSettings(border=Sides())))
    svg = ET.fromstring(
        display_svg([[Shown(wide, "hung")], [Shown(small, "tied on"), Shown(small, "on a drawer")]])
    )
    groups = {g.get("id"): g for g in svg.iter(f"{SVG}g")}

    def height(name: str) -> float:
        ys = [
            float(p.split(",")[1])
            for g in groups[name].iter(f"{SVG}polygon")
            for p in g.get("points").split()
        ]
        return max(ys) - min(ys)

    assert height("0-blocks") == pytest.approx(height("1-blocks"), abs=0.01)
    assert height("1-blocks") == pytest.approx(height("2-blocks"), abs=0.01)
    for name, group in groups.items():
        if name and name.endswith("-blocks"):
            xs = [
                float(p.split(",")[0]) for g in group.iter(f"{SVG}polygon") for p in g.get("points").split()
            ]
            assert 0 < min(xs) < max(xs) < float(svg.get("width").removesuffix("mm"))
