"""A table of what designers and editors do, each with what must come of it."""

import math

import pytest

from converter.model import Fabric
from tests.redesign.hands import INKSCAPE, SVG, Hand, rebuilt

# What the drawing says when nothing is changed: 8 pieces, 1 section, the T's area.
T_AREA = 40 * 12 + 12 * 48


def nothing(hand):
    pass


def ends_fall_short(hand):
    hand.move(2, y1=22.6, y2=69.5)
    hand.move(4, x1=10.7)


def ends_overshoot(hand):
    hand.move(5, y1=9.3, y2=70.7)
    hand.move(7, x1=-0.5, x2=60.6)


def split_in_two(hand):
    hand.move(7, x2=30)
    hand.line(30, 10, 60, 10)


def split_with_a_gap(hand):
    hand.move(7, x2=29.7)
    hand.line(30.2, 10, 60, 10)


def split_with_a_bend(hand):
    hand.move(7, x2=30, y2=10.2)
    hand.line(30, 10.2, 60, 10)


def drawn_twice(hand):
    hand.line(24.1, 21.9, 24.2, 70)


def overlapping(hand):
    hand.move(8, x2=40)
    hand.line(20, 70.1, 60, 70.1)


def along_the_edge(hand):
    hand.line(0, 0, 60, 0.1)
    hand.line(60, 0, 60, 80)


def a_slip_of_the_hand(hand):
    hand.line(30, 40, 30.1, 40)


def lines_as_paths(hand):
    for element in hand.seams():
        x1, y1, x2, y2 = (element.attrib.pop(k) for k in ("x1", "y1", "x2", "y2"))
        element.tag = f"{{{SVG}}}path"
        element.set("d", f"M {x1},{y1} L {x2},{y2}")


def lines_as_relative_paths(hand):
    for element in hand.seams():
        x1, y1, x2, y2 = (float(element.attrib.pop(k)) for k in ("x1", "y1", "x2", "y2"))
        element.tag = f"{{{SVG}}}path"
        d = f"m{x1} {y1}"
        d += f"v{y2 - y1}" if x1 == x2 else f"h{x2 - x1}" if y1 == y2 else f"l{x2 - x1} {y2 - y1}"
        element.set("d", d)


def lines_as_flat_curves(hand):
    lines_as_paths(hand)
    for element in hand.seams():
        start, end = element.get("d")[2:].split(" L ")
        element.set("d", f"M {start} C {start} {end} {end}")


def lines_as_polylines(hand):
    for element in hand.seams():
        x1, y1, x2, y2 = (element.attrib.pop(k) for k in ("x1", "y1", "x2", "y2"))
        element.tag = f"{{{SVG}}}polyline"
        element.set("points", f"{x1} {y1} {x2},{y2}")


def one_path_for_all(hand):
    d = ""
    for element in hand.seams():
        d += "M{x1} {y1}L{x2} {y2}".format(**element.attrib)
        hand.layer("seams").remove(element)
    hand.add("seams", "path", d=d)


def a_frame_as_a_rectangle(hand):
    hand.drop("seam-A5", "seam-A6", "seam-A7", "seam-A8")
    hand.line(0, 10, 10, 10)
    hand.line(50, 10, 60, 10)
    hand.line(0, 70, 10, 70)
    hand.line(50, 70, 60, 70)
    hand.add("seams", "rect", x="10", y="10", width="40", height="60")


def a_frame_as_a_polygon(hand):
    a_frame_as_a_rectangle(hand)
    hand.layer("seams").remove(hand.seams()[-1])
    hand.add("seams", "polygon", points="10,10 50,10 50,70 10,70")


def moved_group(hand):
    hand.layer("seams").set("transform", "translate(5 -3)")
    for element in hand.seams():
        for key in ("x1", "x2"):
            element.set(key, str(float(element.get(key)) - 5))
        for key in ("y1", "y2"):
            element.set(key, str(float(element.get(key)) + 3))


def nested_transforms(hand):
    hand.layer("seams").set("transform", "scale(2) rotate(90) matrix(0 -1 1 0 0 0)")
    for element in hand.seams():
        element.set("transform", "translate(4, 4) scale(.5,0.5) translate(-8 -8)")


def skewed_and_back(hand):
    hand.layer("seams").set("transform", f"skewX(20) matrix(1 0 {-math.tan(math.radians(20))} 1 0 0)")


def sheet_of_styles(hand):
    style = hand.root.makeelement(f"{{{SVG}}}style", {})
    style.text = "/* c */ .f { fill: #1f4e5f } .b, .x { fill: rgb(244, 239, 230); } line { stroke: red }"
    hand.root.insert(0, style)
    for element in hand.layer("pieces"):
        element.set("class", "f" if element.attrib.pop("data-fabric") == "figure" else "b")
        del element.attrib["fill"]


def styles_in_attributes(hand):
    for element in hand.layer("pieces"):
        element.set("style", f"stroke:none;fill:{element.get('fill')};fill-opacity:1")
        element.set("fill", "#123456")
        del element.attrib["data-fabric"]


def colours_slightly_off(hand):
    for element in hand.layer("pieces"):
        element.set("fill", {"#1f4e5f": "#24506a", "#f4efe6": "rgb(250,240,230)"}[element.get("fill")])


def page_in_points(hand):
    hand.root.set("width", "170.079pt")
    hand.root.set("height", "226.772pt")


def page_in_bare_pixels(hand):
    hand.root.set("width", "60")
    hand.root.set("height", "80")


def page_in_percent(hand):
    hand.root.set("width", "100%")
    hand.root.set("height", "100%")


def other_viewbox(hand):
    scale(hand, 96 / 25.4)
    hand.root.set("viewBox", f"0 0 {60 * 96 / 25.4} {80 * 96 / 25.4}")


def no_viewbox(hand):
    scale(hand, 96 / 25.4)
    del hand.root.attrib["viewBox"]


def larger_page(hand):
    hand.root.set("viewBox", "-20 -30 210 297")
    hand.root.set("width", "210mm")
    hand.root.set("height", "297mm")


def larger_page_of_the_same_shape(hand):
    hand.root.set("viewBox", "-20 -20 120 160")
    hand.root.set("width", "120mm")
    hand.root.set("height", "160mm")


def scale(hand, by):
    for layer in ("pieces", "seams"):
        hand.layer(layer).set("transform", f"scale({by})")


def layers_reordered(hand):
    for layer in [hand.layer("seams"), hand.layer("pieces")]:
        hand.root.remove(layer)
        hand.root.append(layer)


def layers_renamed_by_label(hand):
    for k, name in enumerate(("pieces", "guide", "seams", "labels")):
        hand.layer(name).set("id", f"layer{k}")


def layers_with_new_numbers(hand):
    for name in ("pieces", "guide", "seams", "labels"):
        hand.layer(name).set("id", f"{name}_1_")


def layers_without_names(hand):
    for name in ("pieces", "guide", "seams", "labels"):
        layer = hand.layer(name)
        layer.attrib = {
            k: v for k, v in layer.attrib.items() if k not in ("id", "aria-label", f"{{{INKSCAPE}}}label")
        }


def layers_flattened(hand):
    for name in ("pieces", "seams"):
        layer = hand.layer(name)
        for child in list(layer):
            hand.root.append(child)
        hand.root.remove(layer)


def layers_in_a_group(hand):
    group = hand.root.makeelement(f"{{{SVG}}}g", {"transform": "translate(1,1)"})
    for name in ("pieces", "seams"):
        hand.layer(name).set("transform", "translate(-1,-1)")
    for child in list(hand.root):
        hand.root.remove(child)
        group.append(child)
    hand.root.append(group)


def seams_in_subgroups(hand):
    group = hand.root.makeelement(f"{{{SVG}}}g", {})
    for child in hand.seams()[:4]:
        hand.layer("seams").remove(child)
        group.append(child)
    hand.layer("seams").append(group)


def seams_layer_hidden(hand):
    hand.layer("seams").set("style", "display:none")


def labels_deleted(hand):
    hand.root.remove(hand.layer("labels"))
    hand.root.remove(hand.layer("guide"))


def a_copy_by_reference(hand):
    hand.drop("seam-A3")
    hand.add("seams", "use", href="#seam-A2", x="12")


@pytest.mark.parametrize(
    "change",
    [
        nothing, ends_fall_short, ends_overshoot, split_in_two, split_with_a_gap, split_with_a_bend, drawn_twice,
        overlapping, along_the_edge, a_slip_of_the_hand, lines_as_paths, lines_as_relative_paths,
        lines_as_flat_curves, lines_as_polylines, one_path_for_all, a_frame_as_a_rectangle, a_frame_as_a_polygon,
        moved_group, nested_transforms, skewed_and_back, sheet_of_styles, styles_in_attributes,
        colours_slightly_off, page_in_points, page_in_bare_pixels, page_in_percent, other_viewbox, no_viewbox,
        larger_page, larger_page_of_the_same_shape, layers_reordered, layers_renamed_by_label,
        layers_with_new_numbers, layers_without_names, layers_flattened, layers_in_a_group, seams_in_subgroups,
        seams_layer_hidden, labels_deleted, a_copy_by_reference,
    ],
)  # fmt: skip
def test_the_same_block_however_it_was_saved(change):
    result = outcome(change)
    assert result.faults == ()
    assert (len(result.plan.pieces), len(result.plan.sections)) == (8, 1)
    assert area(result) == pytest.approx(T_AREA, rel=0.01)


def a_seam_moved(hand):
    hand.move(3, x1=38, x2=38)


def a_seam_moved_far(hand):
    """More than a third of the stem now lies on its neighbour's shape, most of which is still the neighbour's."""
    hand.move(3, x1=42.5, x2=42.5)


def a_seam_tilted(hand):
    hand.move(3, x1=38, x2=34)


def a_seam_taken_out(hand):
    hand.drop("seam-A5", "seam-A6")
    hand.move(4, x1=0, x2=60)
    hand.piece(4).set("points", "0,10 60,10 60,22 0,22")
    hand.drop("piece-A5", "piece-A6", "piece-A2", "piece-A3")
    hand.add("pieces", "rect", x="0", y="22", width="24", height="48", fill="#f4efe6")
    hand.add("pieces", "rect", x="36", y="22", width="24", height="48", fill="#f4efe6")


def a_piece_cut_in_two(hand):
    hand.line(24, 46, 36, 46)


def a_piece_recoloured(hand):
    hand.piece(2).set("fill", "#1f4e5f")


def a_colour_drawn_over(hand):
    hand.add("pieces", "circle", cx="17", cy="46", r="30", style="fill:#f4efe6")
    hand.add("pieces", "path", d="M10 22h14v48H10z", fill="#1f4e5f")


def two_sections(hand):
    for x in (5, 15):
        hand.line(x, 70, x, 80)


@pytest.mark.parametrize(
    ("change", "pieces", "sections", "figure"),
    [
        (a_seam_moved, 8, 1, T_AREA + 2 * 48),
        (a_seam_moved_far, 8, 1, T_AREA + 6.5 * 48),
        (a_seam_tilted, 8, 1, T_AREA),
        (a_seam_taken_out, 6, 1, T_AREA + 20 * 12),
        (a_piece_cut_in_two, 9, 1, T_AREA),
        (a_piece_recoloured, 8, 1, T_AREA + 14 * 48),
        (a_colour_drawn_over, 8, 1, T_AREA - 12 * 48 + 14 * 48),
        (two_sections, 10, 2, T_AREA),
    ],
)
def test_another_block_that_can_be_sewn(change, pieces, sections, figure):
    result = outcome(change)
    assert result.faults == ()
    assert (len(result.plan.pieces), len(result.plan.sections)) == (pieces, sections)
    assert area(result) == pytest.approx(figure, abs=0.5)


def ends_in_the_open(hand):
    hand.move(2, y2=60)


def runs_on_too_far(hand):
    hand.move(2, y1=18)


def off_the_block(hand):
    hand.move(7, x2=72)


def pinwheel(hand):
    for element in hand.seams():
        hand.layer("seams").remove(element)
    for ends in ((0, 20, 40, 20), (40, 0, 40, 60), (60, 60, 20, 60), (20, 80, 20, 20)):
        hand.line(*ends)


def three_in_one_point(hand):
    for element in hand.seams():
        hand.layer("seams").remove(element)
    for ends in ((30, 40, 0, 0), (30, 40, 60, 10), (30, 40, 30, 80)):
        hand.line(*ends)


def an_island(hand):
    hand.add("seams", "rect", x="26", y="30", width="6", height="20")


def an_inward_corner(hand):
    hand.drop("seam-A4")
    hand.move(2, y1=30)
    hand.move(3, y1=30)
    hand.line(24, 30, 36, 30)


def a_sliver(hand):
    hand.line(24.45, 22, 24.45, 70)


def no_colour(hand):
    hand.drop("piece-A6")


def a_strange_colour(hand):
    hand.piece(6).set("fill", "#8b9ea2")
    del hand.piece(6).attrib["data-fabric"]


def two_fabrics(hand):
    hand.drop("seam-A3")


def nothing_drawn(hand):
    for element in hand.seams():
        hand.layer("seams").remove(element)


def a_curve(hand):
    hand.drop("seam-A2")
    hand.add("seams", "path", d="M24 22C10 30 30 60 24 70", id="bow")


@pytest.mark.parametrize(
    ("change", "fault", "where", "words"),
    [
        (ends_in_the_open, "seam-open-end", (24, 60), "ends inside a piece at (24.0, 60.0) mm, 10.0 mm from seam-A8"),
        (runs_on_too_far, "seam-open-end", (24, 18), "ends inside a piece at (24.0, 18.0) mm, 4.0 mm from seam-A4"),
        (off_the_block, "seam-off-block", (72, 10), "seam-A7 runs 12.0 mm off the block at (72.0, 10.0) mm"),
        (pinwheel, "pinwheel", (30, 40), "5 pieces lock each other"),
        (three_in_one_point, "no-through-seam", (30, 40), "3 seams end in one point (30.0, 40.0) mm"),
        (an_island, "piece-not-convex", None, "has another piece inside it"),
        (an_inward_corner, "piece-not-convex", None, "30.0) mm; no straight seam can make it"),
        (a_sliver, "piece-sliver", None, "is a sliver 0.45 mm wide"),
        (no_colour, "fabric-missing", None, "has no colour"),
        (two_fabrics, "fabric-unclear", None, "has two fabrics: 54% background and 46% figure"),
        (nothing_drawn, "no-seams", None, "Nothing is drawn"),
        (a_curve, "seam-curved", None, "bow is a curve"),
    ],
)  # fmt: skip
def test_what_cannot_be_sewn_is_said_in_exact_words_and_places(change, fault, where, words):
    result = outcome(change)
    assert result.plan is None
    found = [f for f in result.faults if f.id == fault]
    assert found, result.faults
    assert words in found[0].message
    assert found[0].hint
    assert found[0].severity == "redesign"
    assert len(result.marks) == len(result.faults)
    if where is not None:
        assert found[0].where == pytest.approx(where, abs=1e-6)


def test_a_third_colour_is_a_fabric_of_its_own_and_said_to_be():
    result = outcome(a_strange_colour)
    assert result.plan is not None
    assert dict(result.drawing.fabrics) == {"#8b9ea2": Fabric("#8b9ea2", "#8b9ea2")}
    (own,) = (p for p in result.plan.pieces if p.fabric == "#8b9ea2")
    assert {x for x, _ in own.polygon} == {50, 60}  # the strip at the right of the T
    assert "#8b9ea2 is no colour of the set: it is a fabric of its own, #8b9ea2" in result.drawing.notes


def outcome(change):
    hand = Hand()
    change(hand)
    return rebuilt(hand.save())


def area(result):
    total = 0.0
    for polygon in result.figure:
        for k, ring in enumerate(polygon):
            size = (
                abs(sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(ring, (*ring[1:], ring[0]), strict=True)))
                / 2
            )
            total += size if k == 0 else -size
    return total
