import xml.etree.ElementTree as ET

import pytest

from converter.fabric.buying import buy
from converter.fabric.cutting import cutting_for
from converter.fabric.cutting_list import sheets, to_csv
from converter.fabric.patches import set_cuts
from converter.words.assembly_drawing import assembly_svg
from converter.words.colours import PALETTE, ColourPlan, colour, parse_fabric
from converter.words.drawing import colour_table_svg, layout_svg
from converter.words.fabric_needed import fabric_labels, layout_cuts
from converter.words.frames import Frame, Sides
from converter.words.layout import lay_out
from converter.words.parts import LayoutSettings
from tests.fabric.test_buying import assert_holds
from tests.samples import sample_pattern

SVG = "{http://www.w3.org/2000/svg}"


def banner(**more):
    return lay_out(sample_pattern(), "TAIT", LayoutSettings(spacing=10, border=Sides.all(20), **more), "mm")


def test_strips_of_a_four_letter_word_by_hand():
    made = banner()
    found = colour(made, ColourPlan(strips=parse_fabric("gorse")))
    cutting = cutting_for(made.pattern, "mm")
    cuts = [c for c in layout_cuts(made, found, cutting) if c.kind == "strip"]
    # Finished + 2 × 6.35: 3 of 10 × 80, 2 of 20 × 80, 2 of 310 × 20.
    assert [(c.count, round(c.length, 2), round(c.width, 2)) for c in cuts] == [
        (2, 322.7, 32.7),
        (2, 92.7, 32.7),
        (3, 92.7, 22.7),
    ]
    gorse = next(p for p in buy(layout_cuts(made, found, cutting), cutting) if p.fabric == "gorse")
    # 2 × 322.7 + 2 × 92.7 = 830.8 of 1016 mm, one more of 92.7 beside them; then a strip of 22.7 for two:
    # 32.7 + 22.7 + 25 for squaring = 80.4 mm, so 1/8 yd (114.3 mm) or 0.1 m.
    assert gorse.length == pytest.approx(80.4)
    assert (float(gorse.yards), float(gorse.metres)) == (0.125, 0.1)


@pytest.mark.parametrize("copies", [1, 5])
def test_the_fabric_for_words_holds_them(copies):
    made = banner(frame=Frame(left=8, right=8, top=8, bottom=8), target_width=1500.0)
    found = colour(made, ColourPlan(letters=(parse_fabric("rust"), parse_fabric("kelp")), by="letter"))
    cutting = cutting_for(made.pattern, "in", 1060.0)
    cuts = layout_cuts(made, found, cutting, copies, finished=True)
    pieces = sum(len(made.glyph(block).pieces) for block in made.blocks)
    assert sum(c.count for c in cuts if c.kind == "patch") == pieces * copies
    for plan in buy(cuts, cutting):
        assert_holds(plan, cuts, cutting)
    patch_area = sum(c.length * c.width * c.count for c in cuts if c.kind in ("patch", "strip"))
    assert patch_area >= copies * made.width * made.height
    text = to_csv(sheets(buy(cuts, cutting), fabric_labels(found), cutting))
    assert "2 sewn end to end make one" in text  # the border is longer than the fabric is wide
    assert "binding" in text


def test_binding_and_backing_come_from_the_fabrics_chosen_for_them():
    made = banner()
    cutting = cutting_for(made.pattern)
    plan = ColourPlan((parse_fabric("rust"),), binding=parse_fabric("rust"), backing=parse_fabric("mist"))
    found = colour(made, plan)
    cuts = layout_cuts(made, found, cutting, finished=True)
    plans = {p.fabric: {cut.kind for cut in p.cuts} for p in buy(cuts, cutting)}
    assert plans == {"background": {"patch", "strip"}, "rust": {"patch", "binding"}, "mist": {"backing"}}
    assert [row.label for row in found.table][-1] == "mist"
    plain = buy(layout_cuts(made, colour(made), cutting, finished=True), cutting)
    assert {p.fabric for p in plain} == {"background", "letter", "binding", "backing"}


def test_the_set_needs_every_patch_for_every_copy():
    cutting = cutting_for(sample_pattern())
    assert sum(c.count for c in set_cuts(sample_pattern(), cutting, 3)) == 3 * (5 + 8 + 5 + 11)


def drawn(text):
    root = ET.fromstring(text)
    groups = {g.get("id"): g for g in root.iter(f"{SVG}g") if g.get("id")}
    return root, groups


def test_the_drawing_shows_every_piece_and_strip_in_its_fabric():
    made = banner()
    found = colour(made, ColourPlan(letters=(parse_fabric("rust"),)))
    _, groups = drawn(layout_svg(made, found))
    assert len(groups["strips"]) == len(made.strips)
    polygons = list(groups["blocks"].iter(f"{SVG}polygon"))
    assert len(polygons) == 8 + 5 + 5 + 8
    assert {p.get("fill") for p in polygons} == {PALETTE["rust"], "#f4efe6"}


def test_the_blank_drawing_has_no_colour_and_numbers_follow_the_table():
    made = banner()
    found = colour(made)
    blank = layout_svg(made)
    assert all(fabric.colour not in blank for fabric in found.fabrics.values())
    _, groups = drawn(layout_svg(made, found, numbers=True))
    shown = {text.text for text in groups["numbers"]}
    assert shown == {str(row.number) for row in found.table}


def test_drawings_are_proportional_to_the_layout_and_fit_the_paper():
    made = banner()
    root, groups = drawn(layout_svg(made, colour(made), captions=False, paper=(155.0, 200.0)))
    assert root.get("width") == "157.0mm"  # 310 mm drawn half size, 1 mm round it
    border = groups["strips"][-1]
    assert (float(border.get("width")), float(border.get("height"))) == (155.0, 10.0)


def test_sizes_are_told_in_one_unit():
    made = banner()
    inches, metric = layout_svg(made, units="in"), layout_svg(made, units="mm")
    assert "finished about 12 3/16 × 4 3/4 in" in inches
    assert "finished 310 × 120 mm" in metric


def test_the_assembly_map_names_every_part():
    made = banner(frame=Frame(left=8, right=8))
    _, groups = drawn(assembly_svg(made))
    assert {t.text for t in groups["ids"]} == {p.id for p in (*made.blocks, *made.strips)}


def test_labels_cannot_break_the_drawing():
    made = banner()
    svg = colour_table_svg(colour(made, ColourPlan(letters=(parse_fabric("<&\"'>=#123456"),))))
    assert any(t.text == "<&\"'>" for t in ET.fromstring(svg).iter(f"{SVG}text"))


def test_the_same_layout_is_the_same_bytes():
    assert layout_svg(banner(), colour(banner())) == layout_svg(banner(), colour(banner()))
