"""The layer ``shape`` of a block's drawing: which layer counts, what an editor may do to it, and that nothing is lost.

The T of the samples again (block 60 × 80 mm), see ``hands``; areas are shapely's.
"""

import re
from dataclasses import replace

import pytest
import shapely

from converter.folder.content import drawn
from converter.folder.keeping import Kept, parse_record, record_json
from converter.model import FIGURE, Fabric
from converter.redesign.blank import blank_svg
from converter.redesign.check import check_block
from converter.redesign.figure.painting import as_seen
from converter.verify import verify_glyph
from tests.redesign.hands import INKSCAPE, SVG, Hand
from tests.samples import box, letter_t, sample_pattern

T = letter_t().figure[0][0]
WIDER = ((5.0, 10.0), (55.0, 10.0), *T[2:])  # its bar is a trapezium
PATTERN = sample_pattern(letter_t())
KEPT = parse_record(record_json(drawn(PATTERN, {})[1]))["T_"]
BOX = "M20 20H40V60H20Z"


def d(*rings):
    return "".join("M" + "L".join(f"{x:g} {y:g}" for x, y in ring) + "Z" for ring in rings)


def check(hand, kept=KEPT, pattern=PATTERN):
    data = hand if isinstance(hand, bytes) else hand.save()
    return check_block(pattern, "T_", data, kept)


def shape(hand):
    return hand.get("shape-of-figure")


def redrawn(ring=WIDER):
    hand = Hand()
    shape(hand).set("d", d(ring))
    return hand


def off(checked, polygon, fabric=FIGURE):
    assert checked.is_sewable, [r.message for r in checked.after.reasons]
    verify_glyph(checked.after, 60.0, 80.0)
    cloth = shapely.union_all(
        [shapely.Polygon(p.polygon) for p in checked.after.pieces if p.fabric == fabric]
    )
    return cloth.symmetric_difference(polygon).area


def faults(checked):
    assert not checked.is_sewable
    assert checked.after.pieces == letter_t().pieces  # the last that could be sewn are shown
    return {reason.id: reason for reason in checked.after.reasons}


def test_the_layer_has_the_figure_and_leaves_the_pieces_to_be_seen_and_picked():
    hand = Hand()
    assert shape(hand).get("d") == d(T)
    layer = hand.layer("shape")
    assert layer.get("fill") == "none"
    order = [
        g.get("id") for g in hand.root.iter(f"{{{SVG}}}g") if g.get("id") in ("pieces", "shape", "seams")
    ]
    assert order == ["pieces", "shape", "seams"]


def test_a_drawing_that_was_not_changed_is_the_same_block():
    assert check_block(PATTERN, "T_", Hand().save(), KEPT, by_hand=False).after.pieces == letter_t().pieces


def test_the_shape_changed_alone_is_cut_anew():
    checked = check(redrawn())
    assert off(checked, shapely.Polygon(WIDER)) < 1e-6
    assert any("cut anew" in note for note in checked.rebuilt.drawing.notes)


def test_the_seams_changed_alone_are_the_truth():
    hand = Hand()
    hand.move(4, y1=24, y2=24)
    hand.move(2, y1=24)
    hand.move(3, y1=24)
    longer = shapely.union_all([shapely.box(10, 10, 50, 24), shapely.box(24, 24, 36, 70)])
    assert off(check(hand), longer) < 1e-6


def test_both_changed_to_the_same_are_the_seams():
    hand = redrawn((*T[:2], (50, 24), (36, 24), *T[4:6], (24, 24), (10, 24)))
    hand.move(4, y1=24, y2=24)
    hand.move(2, y1=24)
    hand.move(3, y1=24)
    checked = check(hand)
    assert checked.is_sewable
    assert not any("cut anew" in note for note in checked.rebuilt.drawing.notes)


def moved_seam(hand):
    """The T's foot, and all that ends on its line, is 5 mm lower."""
    for number in (2, 3, 5, 6):
        hand.move(number, y2=75)
    hand.move(8, y1=75, y2=75)


def recoloured_piece(hand):
    hand.piece(2).set("fill", sample_pattern().fabrics["figure"].colour)


def broken_seam(hand):
    hand.move(8, x1=10, x2=50)


@pytest.mark.parametrize("change", [moved_seam, recoloured_piece, broken_seam])
def test_both_changed_and_unlike_each_other_is_said_with_how_to_choose(change):
    hand = redrawn()
    change(hand)
    fault = faults(check(hand))["shape-and-seams"]
    assert "both changed" in fault.message
    assert "delete the lines in 'seams'" in fault.hint
    for layer, expected in (("seams", shapely.Polygon(WIDER)), ("shape", None)):
        chosen = redrawn()
        change(chosen)
        for child in list(chosen.layer(layer)):
            chosen.layer(layer).remove(child)
        checked = check(chosen)
        if expected is not None:
            assert off(checked, expected) < 1e-6
        elif change is not broken_seam:
            assert checked.is_sewable


def test_where_they_differ_is_told():
    hand = redrawn((*T[:4], (36, 60), (24, 60), *T[6:]))  # the stem ends 10 mm higher, but not in the seams
    moved_seam(hand)
    fault = faults(check(hand))["shape-and-seams"]
    assert 24 < fault.where[0] < 36
    assert 60 < fault.where[1] < 75


@pytest.mark.parametrize("change", [moved_seam, recoloured_piece])
def test_without_a_record_what_does_not_fit_is_told_and_what_fits_is_not(change):
    assert check(Hand(), kept=Kept()).is_sewable
    assert "do not fit" in faults(check(redrawn(), kept=Kept()))["shape-and-seams"].message
    hand = Hand()
    change(hand)
    assert "shape-and-seams" in faults(check(hand, kept=Kept()))


def test_without_a_record_seams_that_cannot_be_sewn_are_told_as_such():
    hand = Hand()
    broken_seam(hand)
    told = faults(check(hand, kept=Kept()))
    assert "shape-and-seams" not in told
    assert told.keys() == faults(check(hand)).keys()


# The T with a notch from below that reaches the top of its bar, and so cuts it in two.
NOTCHED = (*T[:6], (24, 70), (24, 24), (30, 24), (30, 10), (18, 10), (18, 22), (10, 22))


def test_a_notch_up_to_the_edge_takes_nothing_else_away():
    painted = as_seen(((FIGURE, ((NOTCHED,),)),), 60.0, 80.0)[FIGURE]
    assert painted.symmetric_difference(shapely.Polygon(T) - shapely.box(18, 10, 30, 24)).area < 0.01


def test_a_drawing_of_an_earlier_version_has_no_such_layer():
    hand = Hand()
    hand.root.remove(hand.layer("shape"))
    moved_seam(hand)
    assert check(hand, kept=replace(KEPT, seams=(), shape=())).is_sewable


def test_the_record_of_an_earlier_version_is_read():
    text = re.sub(r',"seams":.*(?=\}\n \})', "", record_json({"T_": KEPT}))
    assert parse_record(text)["T_"] == replace(KEPT, seams=(), shape=())


def group_moved(hand):
    hand.layer("shape").set("transform", "translate(-5,3)")
    shape(hand).set("transform", "translate(5,-3)")


def relative_path(hand):
    shape(hand).set("d", "m5 10h50l-5 12h-14v48h-12v-48h-14z")


def style_for_attributes(hand):
    layer = hand.layer("shape")
    del layer.attrib["fill"]
    shape(hand).attrib.pop("stroke")
    shape(hand).set("style", f"fill:none;stroke:{sample_pattern().fabrics['figure'].colour};stroke-width:1px")


def filled_shape(hand):
    element = shape(hand)
    for key in ("id", "stroke"):
        element.attrib.pop(key)
    element.set("style", f"fill:{sample_pattern().fabrics['figure'].colour};stroke:none")


def no_id(hand):
    shape(hand).attrib.pop("id")


def another_ink(hand):
    shape(hand).set("stroke", "#ff0000")


def renamed_layer(hand):
    layer = hand.layer("shape")
    layer.set("id", "layer7")
    layer.set(f"{{{INKSCAPE}}}label", "Shape")
    layer.attrib.pop("aria-label")


def nested_group(hand):
    import xml.etree.ElementTree as ET

    element = shape(hand)
    hand.layer("shape").remove(element)
    group = ET.SubElement(
        ET.SubElement(hand.layer("shape"), f"{{{SVG}}}g"), f"{{{SVG}}}g", transform="scale(2)"
    )
    group.append(element)
    element.set("transform", "matrix(0.5,0,0,0.5,0,0)")


def ungrouped(hand):
    element = shape(hand)
    element.set("fill", "none")
    hand.root.append(element)
    hand.root.remove(hand.layer("shape"))


def as_polygon(hand):
    element = shape(hand)
    element.tag = f"{{{SVG}}}polygon"
    element.attrib.pop("d")
    element.set("points", " ".join(f"{x},{y}" for x, y in WIDER))


def not_quite_closed(hand):
    shape(hand).set("d", d(WIDER).removesuffix("Z") + "L5.2 10.1")


def in_two_paths(hand):
    shape(hand).set("d", d((*WIDER[:3], WIDER[-1])))
    hand.add("shape", "path", d=d((T[6], T[3], T[4], T[5])), stroke=shape(hand).get("stroke"))


@pytest.mark.parametrize(
    "change",
    [
        group_moved, relative_path, style_for_attributes, filled_shape, no_id, another_ink, renamed_layer, nested_group,
        ungrouped, as_polygon, not_quite_closed, in_two_paths,
    ],
)  # fmt: skip
def test_however_an_editor_writes_it_it_is_the_same_block(change):
    hand = redrawn()
    change(hand)
    checked = check(hand)
    assert off(checked, shapely.Polygon(WIDER)) < 0.05
    assert checked.after.metrics.pieces == check(redrawn()).after.metrics.pieces


def test_another_colour_is_another_fabric():
    pattern = replace(PATTERN, fabrics={**PATTERN.fabrics, "sand": Fabric("sand", "#d9a441")})
    hand = redrawn()
    hand.add("shape", "path", d="M10 60H20V70H10Z", fill="#d9a441")
    checked = check(hand, pattern=pattern)
    assert off(checked, shapely.box(10, 60, 20, 70), "sand") < 1e-6
    assert off(checked, shapely.Polygon(WIDER)) < 1e-6


def test_an_outline_inside_another_is_a_hole_and_so_is_a_shape_of_the_background():
    hole = shapely.box(27, 30, 33, 60)
    for more in ({"stroke": "#1f4e5f"}, {"fill": PATTERN.fabrics["background"].colour}):
        hand = Hand()
        hand.add("shape", "path", d="M27 30H33V60H27Z", **more)
        assert off(check(hand), shapely.Polygon(T) - hole) < 1e-6


def test_a_hidden_outline_has_no_say_but_a_hidden_layer_does():
    hand = redrawn()
    hand.add("shape", "path", d=BOX, display="none", stroke="#1f4e5f")
    hand.layer("shape").set("style", "display:none")
    checked = check(hand)
    assert off(checked, shapely.Polygon(WIDER)) < 1e-6
    assert any("hidden" in note for note in checked.rebuilt.drawing.notes)


def test_an_open_outline_is_told_with_its_end():
    hand = redrawn()
    hand.add("shape", "path", d="M5 75L30 75L40 78", stroke="#1f4e5f")
    assert faults(check(hand))["shape-open"].where == pytest.approx((40, 78))


@pytest.mark.parametrize(
    "more", [{"clip-path": "url(#c)"}, {"filter": "url(#f)"}, {"style": "mix-blend-mode:screen"}]
)
def test_what_cannot_be_seen_plainly_is_told(more):
    hand = redrawn()
    hand.root.insert(0, hand.root.makeelement(f"{{{SVG}}}filter", {"id": "f"}))
    clip = hand.root.makeelement(f"{{{SVG}}}clipPath", {"id": "c"})
    clip.append(clip.makeelement(f"{{{SVG}}}rect", {"width": "9", "height": "9"}))
    hand.root.insert(0, clip)
    hand.add("shape", "path", d=BOX, stroke="#1f4e5f", **more)
    assert "shape-unclear" in faults(check(hand))


def test_what_cannot_be_sewn_is_told_with_its_place():
    hand = redrawn((*T[:5], (36.0, 70.0), (24.0, 70.0), *T[6:]))
    hand.add("shape", "path", d="M10 70.3H50V75H10Z", stroke="#1f4e5f")
    assert faults(check(hand))["piece-sliver"].where[1] == pytest.approx(70.15, abs=0.1)


def test_more_than_can_be_worked_out_ends_in_one_line():
    hand = redrawn(tuple((20 + 20 * (k % 2) + k / 300, 10 + k / 6) for k in range(300)))
    assert faults(check(hand))["shape-intricate"]


def test_a_missing_character_is_drawn_as_a_shape_alone():
    blank = blank_svg("schwa", 60, 80, 6.35, "#f4efe6")
    drawing = re.sub(r'(<g [^>]*id="shape"[^>]*?)\s*/>', rf'\1><path d="{d(T)}"/></g>', blank)
    assert drawing != blank
    checked = check_block(PATTERN, "schwa", drawing.encode())
    assert off(checked, shapely.Polygon(T)) < 1e-6
    assert checked.after.metrics.pieces == 8
    assert checked.after.name == "schwa"


def test_shape_and_seams_redraw_one_letter_to_the_same_block():
    by_shape = check(redrawn()).after
    redone = replace(PATTERN, glyphs=(by_shape,))
    files, _ = drawn(redone, {})
    new = Hand(by_shape)
    hand = Hand()
    for layer in ("seams", "pieces"):  # she draws the seams, and colours their pieces
        for child in list(hand.layer(layer)):
            hand.layer(layer).remove(child)
        for child in new.layer(layer):
            hand.layer(layer).append(child)
    by_seams = check(hand).after
    assert files
    assert (by_seams.sections, by_seams.joins, by_seams.status) == (
        by_shape.sections,
        by_shape.joins,
        by_shape.status,
    )
    for a, b in zip(by_seams.pieces, by_shape.pieces, strict=True):
        assert (a.id, a.fabric) == (b.id, b.fabric)
        assert shapely.hausdorff_distance(shapely.Polygon(a.polygon), shapely.Polygon(b.polygon)) < 0.02


def test_a_box_is_a_shape():
    hand = Hand()
    shape(hand).set("d", d(box(10, 10, 50, 70)))
    assert len(check(hand).after.pieces) == 5
