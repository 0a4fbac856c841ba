"""What a hand draws in the layer ``shape``: off the set's measures, in curves, at random. Areas are shapely's."""

import math
import random
from dataclasses import replace

import pytest
import shapely

from converter.checking import check_folder
from converter.drawing.block import block_svg
from converter.folder.content import drawn
from converter.folder.keeping import Kept
from converter.model import FIGURE
from converter.redesign.check import check_block
from converter.redesign.folder import new_folder
from converter.verify import verify_glyph
from tests.redesign.hands import Hand
from tests.redesign.test_shape_layer import KEPT, PATTERN, T, check, d, off, redrawn, shape
from tests.samples import letter_i, sample_pattern

# What the letters of the samples would share: heights of the T, the width of its stem, one slope.
MEASURED = replace(
    PATTERN,
    settings={**PATTERN.settings, "heights": [10.0, 70.0], "stems": [12.0], "bars": [], "slopes": [45.0]},
)


def said(checked):
    return " ".join(checked.rebuilt.drawing.notes)


def test_corners_near_a_height_are_on_it_and_that_is_said():
    checked = check(redrawn((*T[:4], (36, 69.6), (24, 70.5), *T[6:])), pattern=MEASURED)
    assert off(checked, shapely.Polygon(T)) < 1e-6
    assert "2 on to a height" in said(checked)


def test_corners_that_the_program_drew_stay():
    lower = replace(MEASURED, settings={**MEASURED.settings, "heights": [10.5, 70.5]})
    checked = check(redrawn(((5, 10), (55, 10), *T[2:])), pattern=lower)
    corners = {(round(x, 6), round(y, 6)) for x, y in checked.after.figure[0][0]}
    assert set(T[2:]) < corners
    assert {y for _, y in corners - set(T[2:])} == {10.5}


def test_corners_near_the_edge_are_on_it():
    checked = check(redrawn(((0.5, 10), (59.4, 10), *T[2:])))
    assert off(checked, shapely.Polygon(((0, 10), (60, 10), *T[2:]))) < 1e-6
    assert "2 on to the block's edge" in said(checked)


def test_a_stem_near_the_shared_width_has_it():
    ring = ((10, 10), (50, 10), (50, 22), (36.5, 22), (36.5, 70), *T[5:])
    checked = check(redrawn(ring), pattern=MEASURED)
    assert off(checked, shapely.Polygon(T)) < 1e-6
    assert "a stroke's width" in said(checked)


def test_an_edge_near_a_shared_slope_has_it():
    near = math.tan(math.radians(46)) * 10
    ring = ((10, 10), (50, 10), (50, 22), (36, 22), (36, 60), (26, 60 + near), (24, 60 + near), *T[6:])
    checked = check(redrawn(ring), pattern=MEASURED)
    slopes = {
        round(math.degrees(math.atan2(abs(q[1] - p[1]), abs(q[0] - p[0]))), 6)
        for polygon in checked.after.figure
        for r in polygon
        for p, q in zip(r, r[1:] + r[:1], strict=True)
    }
    assert slopes == {0.0, 90.0, 45.0}


def test_what_is_on_the_measures_is_moved_and_said_nowhere():
    assert "moved" not in said(check(redrawn(((5, 10), (55, 10), *T[2:])), pattern=MEASURED))


def test_curves_are_straightened_and_straight_edges_stay():
    hand = Hand()
    bowl = "M10 10H30C52 10 52 70 30 70H10Z"  # a D: three straight edges and a bowl
    shape(hand).set("d", bowl)
    checked = check(hand)
    t = [k / 400 for k in range(401)]
    curve = [
        (
            30 * (1 - s) ** 3 + 156 * s * (1 - s) ** 2 + 156 * s * s * (1 - s) + 30 * s**3,
            10 * (1 - s) ** 3 + 30 * s * (1 - s) ** 2 + 210 * s * s * (1 - s) + 70 * s**3,
        )
        for s in t
    ]  # Bézier's formula for the four points of the path
    meant = shapely.Polygon([(10, 10), *curve, (10, 70)])
    assert off(checked, meant) < 0.1 * meant.area
    assert len(checked.after.figure[0][0]) <= 10
    boundary = shapely.Polygon(checked.after.figure[0][0]).boundary
    for place in ((10, 10), (10, 70), (10, 40), (15, 10), (15, 70)):
        assert boundary.distance(shapely.Point(place)) < 1e-6
    assert "straightened" in said(checked)


def test_more_curves_than_are_searched_for_become_chords():
    hand = Hand()
    circles = "".join(
        f"M{x} {y}m-4 0a4 4 0 1 0 8 0a4 4 0 1 0 -8 0Z" for x in (10, 30, 50) for y in (15, 40, 65)
    )
    parent = hand.layer("shape")
    parent.remove(shape(hand))
    for d_ in circles.split("Z")[:-1]:
        hand.add("shape", "path", d=d_ + "Z", stroke="#1f4e5f")
    assert check(hand).after.reasons


@pytest.mark.parametrize("seed", range(100))
def test_whatever_a_hand_does_to_the_shape_is_sewable_or_told_and_the_drawing_stays(seed):
    dice = random.Random(seed)
    rings = [list(T)]
    for _ in range(dice.randint(1, 4)):
        ring = dice.choice(rings)
        k = dice.randrange(len(ring))
        x, y = ring[k]
        act = dice.choice(["drag", "drag", "edge", "add", "drop", "box"])
        if act == "drag":
            ring[k] = (x + dice.gauss(0, 4), y + dice.gauss(0, 4))
        elif act == "edge":
            dx, dy = dice.gauss(0, 3), dice.gauss(0, 3)
            for j in (k, k - 1):
                ring[j] = (ring[j][0] + dx, ring[j][1] + dy)
        elif act == "add":
            ring.insert(k, ((x + ring[k - 1][0]) / 2 + dice.gauss(0, 3), (y + ring[k - 1][1]) / 2))
        elif act == "drop" and len(ring) > 3:
            del ring[k]
        elif act == "box":
            a, b = dice.uniform(0, 45), dice.uniform(0, 65)
            rings.append([(a, b), (a + 12, b), (a + 12, b + 14), (a, b + 14)])
    hand = Hand()
    places = [[(round(x, 3), round(y, 3)) for x, y in ring] for ring in rings]
    shape(hand).set("d", d(*places))
    data = hand.save()
    checked = check_block(MEASURED, "T_", data, KEPT)
    assert checked.data == data
    if checked.is_sewable:
        verify_glyph(checked.after, 60.0, 80.0)
        cloth = shapely.union_all(
            [shapely.Polygon(p.polygon) for p in checked.after.pieces if p.fabric == FIGURE]
        )
        drawn_shape = shapely.Polygon()
        for ring in places:
            drawn_shape = drawn_shape.symmetric_difference(shapely.make_valid(shapely.Polygon(ring)))
        meant = drawn_shape & shapely.box(0, 0, 60, 80)
        # Corners may snap by as much as a hand misses, and slide twice as far along an edge.
        assert cloth.symmetric_difference(meant).buffer(-1.0).is_empty
    else:
        assert any(r.severity == "redesign" and (r.where or r.hint) for r in checked.after.reasons)
        assert checked.after.pieces == PATTERN.glyphs[0].pieces


@pytest.fixture
def folder(tmp_path):
    pattern = sample_pattern(*PATTERN.glyphs, letter_i())
    done = new_folder(pattern, {glyph.key: Kept() for glyph in pattern.glyphs})
    for path, content in done.files.items():
        (tmp_path / path).parent.mkdir(exist_ok=True)
        (tmp_path / path).write_bytes(content.encode() if isinstance(content, str) else content)
    return tmp_path


def test_a_check_of_a_folder_takes_the_shape_in_and_leaves_the_drawing(folder):
    path = folder / "blocks/T_.svg"
    data = redrawn().save()
    path.write_bytes(data)
    for _ in range(2):
        (checked,) = check_folder(folder)
        assert checked.is_sewable
        assert off(checked, shapely.Polygon(((5, 10), (55, 10), *T[2:]))) < 1e-4
        assert path.read_bytes() == data


def test_a_later_run_keeps_what_the_edit_began_from(folder):
    wider = redrawn().save()
    other = replace(
        PATTERN, glyphs=(replace(letter_i(), key="T_", name="T", text="T"),)
    )  # converted otherwise now
    done = new_folder(other, {"T_": Kept()}, {"T_": wider}, PATTERN, {"T_": KEPT})
    (checked,) = done.checked
    assert checked.is_sewable
    assert "blocks/T_.svg" not in done.files


def test_what_is_written_is_what_is_kept():
    files, record = drawn(PATTERN, {})
    assert block_svg(PATTERN, PATTERN.glyphs[0]) == files["blocks/T_.svg"]
    assert record["T_"].shape == ((FIGURE, PATTERN.glyphs[0].figure),)
