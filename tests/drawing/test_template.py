from dataclasses import replace
from itertools import pairwise
from math import degrees, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon, Point, Polygon, union_all
from shapely.affinity import translate

from converter.drawing import section_templates, template_svg
from converter.drawing.template import GAP
from converter.geometry import corner_degrees
from converter.model import FIGURE
from converter.seams import Seam, assemblies, seams
from tests.drawing import reading
from tests.drawing.blocks import random_pattern
from tests.drawing.placed import sections
from tests.samples import plus, sample_pattern

ALLOWANCE = 6.35
fixed = settings(derandomize=True, deadline=None, max_examples=15)
SIZES = [(76.2, 101.6), (38.1, 50.8), (300.0, 400.0)]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("seed", range(6))
def test_each_template_is_the_mirror_image_of_its_section(seed, size):
    pattern = random_pattern(seed, *size)
    glyph = pattern.glyphs[0]
    for section, group, drawn, sewn, back in sections(pattern):
        assert back(drawn).symmetric_difference(sewn).area < 1e-3 * sewn.length
        edges = union_all([Polygon(glyph.piece(i).polygon).exterior for i in section.pieces])
        lines = [back(reading.line(e)) for e in reading.of_class(group, "sew-line")]
        assert len(lines) == len(section.pieces) - 1
        assert all(edges.buffer(0.01).covers(line) for line in lines)
        inner = edges.difference(back(drawn).exterior.buffer(0.01))
        assert inner.difference(union_all(lines).buffer(0.01)).is_empty


def test_an_unsymmetric_section_is_not_its_own_mirror_image():
    for _, _, drawn, sewn, _ in sections(random_pattern(4, 38.1, 50.8)):
        if len(sewn.convex_hull.simplify(0.01).exterior.coords) == 6:  # the section with five corners
            same_way = translate(drawn, sewn.bounds[0] - drawn.bounds[0], sewn.bounds[1] - drawn.bounds[1])
            assert same_way.symmetric_difference(sewn).area > 1
            return
    pytest.fail("the block has no section with five corners any more")


@pytest.mark.parametrize("seed", range(8))
def test_the_shading_is_an_even_hatch_over_the_figure_and_nothing_else(seed):
    pattern = random_pattern(seed)
    glyph = pattern.glyphs[0]
    totals: list[tuple[float, float]] = []
    for section, group, _, _, back in sections(pattern):
        figure = [Polygon(glyph.piece(i).polygon) for i in section.pieces if glyph.piece(i).fabric == FIGURE]
        numbers = [reading.text_box(e) for e in reading.of_class(group, "piece-number")]
        for path in reading.of_class(group, "figure-shade"):
            for line in reading.strokes(path):
                assert MultiPolygon(figure).buffer(0.01).covers(back(line))
                assert all(line.distance(box) > 0.3 for box in numbers)
                (x, y), (x2, y2) = back(line).coords
                assert x - y == pytest.approx(x2 - y2, abs=2e-3)
                totals.append(((x - y - pattern.block.width) / sqrt(2), line.length))
        if figure:
            assert reading.of_class(group, "figure-shade")
    spacing = 76.2 / 34
    for at, length in totals:  # one grid over the whole block; small pieces have a finer one on it
        grid = spacing if length > 12 else spacing / 8
        assert abs(at / grid - round(at / grid)) * grid < 5e-3
    assert any(length > 12 for _, length in totals)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("seed", range(8))
def test_numbers_stand_in_their_pieces_or_outside_with_a_leader_and_off_all_sewn_lines(seed, size):
    pattern = random_pattern(seed, *size)
    glyph = pattern.glyphs[0]
    for section, group, drawn, _, back in sections(pattern):
        lines = [reading.line(e) for e in reading.of_class(group, "sew-line")] + [drawn.exterior]
        texts = {e.get("id"): e for e in reading.of_class(group, "piece-number")}
        dots = [Point(float(e.get("cx")), float(e.get("cy"))) for e in reading.of_class(group, "leader-dot")]
        assert len(texts) == len(section.pieces)
        outside = 0
        for number, piece in enumerate(section.pieces, 1):
            text = texts[f"number-{piece}"]
            assert reading.words(text) == str(number)
            assert float(text.get("font-size")) >= 6 * 25.4 / 72  # 6 pt
            box, ring = reading.text_box(text), Polygon(glyph.piece(piece).polygon)
            assert all(box.distance(line) > 0.25 for line in lines)
            if not ring.covers(back(box)):
                outside += 1
                assert not box.intersects(drawn)
                assert reading.polygon(reading.of_class(group, "cut-line")[0]).covers(box)
                assert sum(ring.covers(back(dot)) for dot in dots) == 1
        assert outside == len(dots)


@pytest.mark.parametrize("seed", range(10))
def test_marks_meet_their_like_on_the_other_side_of_the_join(seed):
    pattern = random_pattern(seed)
    marks = [
        (section.id, back(reading.line(e)))
        for section, group, _, _, back in sections(pattern)
        for e in reading.of_class(group, "match-mark")
    ]
    for owner, mark in marks:
        foot = Point(mark.coords[0])
        assert mark.length == pytest.approx(ALLOWANCE, abs=0.01)
        partners = [m for other, m in marks if other != owner and Point(m.coords[0]).distance(foot) < 0.05]
        # Across the join the other mark runs the opposite way, so that the two make one straight stroke.
        whole = [m for m in partners if LineString([mark.coords[1], m.coords[1]]).length > 1.99 * ALLOWANCE]
        assert whole, (owner, mark.wkt)


def test_marks_stand_where_the_border_of_two_sections_meets_a_third():
    pattern = sample_pattern(plus())
    found = {
        section.id: sorted(
            (round(x, 2), round(y, 2))
            for x, y in (back(reading.line(e)).coords[0] for e in reading.of_class(group, "match-mark"))
        )
        for section, group, _, _, back in sections(pattern)
    }
    assert found["C"] == [(10, 20), (10, 46), (10, 60)]  # A|B ends on C at (10, 46); C's ends lie on E and F
    assert found["E"] == [(10, 20), (50, 20)]


def test_the_block_edge_is_marked_where_it_is_and_nowhere_else():
    for section, group, drawn, _, _ in sections(sample_pattern(plus())):
        edges = [reading.line(e) for e in reading.of_class(group, "block-edge")]
        assert len(edges) == {"A": 0, "B": 0, "C": 1, "D": 1, "E": 3, "F": 3}[section.id]
        assert all(0.5 < edge.distance(drawn) < 1.5 for edge in edges)


@fixed
@given(st.integers(0, 10_000), st.sampled_from(SIZES))
def test_templates_lie_side_by_side_within_the_drawing(seed, size):
    pattern = random_pattern(seed, *size)
    glyph = pattern.glyphs[0]
    root = reading.parse(template_svg(pattern, glyph))
    width, height = reading.size(root)
    cuts = [reading.polygon(e) for e in reading.of_class(root, "cut-line")]
    assert len(cuts) == len(glyph.sections)
    for place, cut in enumerate(cuts):
        left, top, right, bottom = cut.bounds
        assert left > 0
        assert top > 0
        assert right < width
        assert bottom < height
        assert all(cut.distance(other) > GAP - 0.01 for other in cuts[:place])


def test_a_section_alone_has_the_size_it_says_and_the_same_lines():
    pattern = random_pattern(3)
    glyph = pattern.glyphs[0]
    found = section_templates(pattern, glyph)
    assert [alone.section for alone in found] == [section.id for section in glyph.sections]
    for alone in found:
        root = reading.parse(alone.svg)
        assert reading.size(root) == pytest.approx((alone.width, alone.height), abs=1e-4)
        cut = reading.polygon(reading.of_class(root, "cut-line")[0])
        assert cut.symmetric_difference(Polygon(alone.cut_line)).area < 0.1
        layers = [g for g in root.iter(f"{reading.SVG}g") if g.get(reading.LABEL)]
        assert [g.get("id") for g in layers] == [f"template-{alone.section}"]


# 1 in = 25.4 mm: international yard and pound agreement, 1959.
BARS = {"1 in": 25.4, "1/2 in": 12.7, "2 cm": 20.0, "1 cm": 10.0}


@pytest.mark.parametrize("metric", [False, True])
@pytest.mark.parametrize("size", SIZES)
def test_a_scale_bar_is_as_long_as_it_says_and_lies_in_the_allowance_clear_of_all_else(size, metric):
    seen = set()
    for seed in range(8):
        pattern = random_pattern(seed, *size)
        for alone in section_templates(pattern, pattern.glyphs[0], metric=metric):
            root = reading.parse(alone.svg)
            bars = reading.of_class(root, "scale-bar")
            longest = max(
                LineString([a, b]).length for a, b in pairwise(Polygon(alone.section_line).exterior.coords)
            )
            assert bars or longest < 40
            for bar in bars:
                (path,) = (e for e in bar if e.get("d"))
                (text,) = (e for e in bar if e.get("font-size"))
                seen.add(reading.words(text))
                ends, line = reading.strokes(path)[:2], reading.strokes(path)[2:]
                assert ends[0].distance(ends[1]) == pytest.approx(BARS[reading.words(text)], abs=0.002)
                assert all(
                    any(part.touches(end) or part.distance(end) < 1e-3 for end in ends) for part in line
                )
                drawn = union_all([*ends, *line]).buffer(0.09).union(reading.turned_box(text))
                assert Polygon(alone.cut_line).buffer(-0.2).covers(drawn)
                assert drawn.distance(Polygon(alone.section_line)) > 0.3
                for name in ("match-mark", "block-edge"):
                    assert all(drawn.distance(reading.line(e)) > 0.3 for e in reading.of_class(root, name))
                others = [t for t in root.iter(f"{reading.SVG}text") if t is not text]
                assert not any(drawn.intersects(reading.turned_box(t)) for t in others)
    assert {BARS[name] for name in seen} == {BARS[name] for name in BARS if (name.endswith("cm")) == metric}


def test_every_template_names_its_character_and_section_within_its_cut_line():
    pattern = random_pattern(4, 38.1, 50.8)
    for section, group, drawn, _, _ in sections(pattern):
        (tag,), (name,) = reading.of_class(group, "tag"), reading.of_class(group, "section-id")
        assert (tag.text.strip(), name.text) == ("g small", section.id)
        text = next(t for t in group.iter(f"{reading.SVG}text") if tag in list(t))
        x, y = float(text.get("x")), float(text.get("y"))
        cut = reading.polygon(reading.of_class(group, "cut-line")[0])
        assert cut.covers(Point(x, y))
        assert not drawn.covers(Point(x, y))


@pytest.mark.parametrize("seed", range(8))
def test_both_ends_of_every_join_are_marked_on_both_sides(seed):
    pattern = random_pattern(seed)
    glyph = pattern.glyphs[0]
    found = []
    for section, group, _, _, back in sections(pattern):
        rings = [(float(e.get("cx")), float(e.get("cy"))) for e in reading.of_class(group, "seam-end-ring")]
        for tick, ring in zip(reading.of_class(group, "seam-end"), rings, strict=True):
            line = back(reading.line(tick))
            assert line.length == pytest.approx(ALLOWANCE, abs=0.01)
            assert Point(line.coords[0]).distance(back(Point(ring))) < 1e-3
            found.append((section.id, line))
    parts = assemblies(glyph)
    for join, seam in zip(glyph.joins, (s for s in seams(glyph) if s.kind == "join"), strict=True):
        for end in (seam.start, seam.end):
            for part in join.parts:
                marks = [t for s, t in found if s in parts[part].sections and t.distance(Point(end)) < 0.05]
                assert any(_square(t, seam) for t in marks), (join.step, part)


def _square(tick: LineString, seam: Seam) -> bool:
    (ax, ay), (bx, by) = tick.coords
    dx, dy = seam.end[0] - seam.start[0], seam.end[1] - seam.start[1]
    return abs((bx - ax) * dx + (by - ay) * dy) < 0.01 * seam.length * tick.length


@pytest.mark.parametrize("allowance", [1.0, 2.0, 3.0, 12.7])
def test_no_text_lies_on_a_sewn_line_however_narrow_the_allowance(allowance):
    for seed in range(6):
        pattern = random_pattern(seed)
        pattern = replace(pattern, block=replace(pattern.block, seam_allowance=allowance))
        for _, group, drawn, _, _ in sections(pattern):
            lines = [reading.line(e) for e in reading.of_class(group, "sew-line")] + [drawn.exterior]
            boxes: list[Polygon] = []
            for text in group.iter(f"{reading.SVG}text"):
                box = reading.turned_box(text)
                assert all(box.distance(line) > 0.1 for line in lines), reading.words(text)
                assert not any(box.intersects(other) for other in boxes), reading.words(text)
                boxes.append(box)


def test_corner_angles_are_measured_in_degrees():
    assert degrees(1) > 57  # the unit that corner_degrees returns
    assert corner_degrees([(0, 0), (1, 0), (0, 1)])[0] == pytest.approx(90)
