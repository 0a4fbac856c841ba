"""What figures cost, worked out in compiled loops: against shapely, and against the verdict on the whole outline."""

import math
from functools import cache
from random import Random

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import LinearRing, LineString, Point, Polygon, box

from converter.fidelity import iou
from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.model import Polygons
from converter.pipeline import Made, convert
from converter.settings import Settings
from converter.sewing.spans import clip_to_block
from converter.straighten.cost.drawing import corners_of, previous
from converter.straighten.cost.evaluate import estimate, evaluated
from converter.straighten.cost.figures import drawing_of, holes_of
from converter.straighten.cost.nearest import beside, beside_again
from converter.straighten.cost.overlap import ALONG
from converter.straighten.finish.verdict import LIGHTER, judged
from converter.straighten.outline.symmetry import Symmetry
from tests.fonts.makers import TEXT_FONTS
from tests.sewing.figures import figure_of, shape_of
from tests.straighten.shapes import JUDGED_SIZE, NONE, drawing, drawn_shape, target_of

seeds = st.integers(0, 2**32)
often = settings(derandomize=True, deadline=None, max_examples=60)


def star(
    chance: Random, least: float, most: float, corners: int, x: float = 60.0, y: float = 60.0
) -> Polygon:
    """A ring about a point, at distances between these two; it does not cross itself."""
    turns = [2 * math.pi * (k + 0.8 * chance.random()) / corners for k in range(corners)]
    rays = [(chance.uniform(least, most), turn) for turn in turns]
    return Polygon([(x + r * math.cos(t), y + r * math.sin(t)) for r, t in rays])


def shape(chance: Random) -> Polygon:
    """A simple polygon with or without a hole, inside the block of 120 × 120 mm."""
    outer = star(chance, 30, 55, chance.randint(4, 14))
    hole = star(chance, 4, 14, chance.randint(3, 8))
    holes = [hole.exterior] if chance.random() < 0.7 and outer.contains_properly(hole) else []
    return Polygon(outer.exterior, holes)


def rings_in(polygon: Polygon) -> tuple[int, ...]:
    return (1 + len(polygon.interiors),)


def lighter(outline: Polygon):
    return shapely.simplify(outline, LIGHTER * JUDGED_SIZE)


@given(seeds)
@often
def test_a_figure_is_the_same_after_it_was_a_drawing(seed):
    polygon = shape(Random(seed))
    found = drawing(polygon)
    again = drawn_shape(found, rings_in(polygon))
    assert again.symmetric_difference(polygon).area < 1e-6 * polygon.area
    corners, fine = corners_of(found)
    assert fine
    assert LinearRing(polygon.exterior).distance(Point(corners[0])) < 1e-6


@given(seeds)
@often
def test_the_overlap_is_shapely_s(seed):
    chance = Random(seed)
    figure, outline = (
        shape(chance),
        affinity.translate(shape(chance), chance.uniform(-9, 9), chance.uniform(-9, 9)),
    )
    cost = estimate(drawing(figure), 0.0, 0.0, target_of(outline).aim(), math.inf, math.inf)
    assert cost.overlap == pytest.approx(iou(figure, lighter(outline)), abs=1e-9)


def test_the_overlap_of_figures_with_common_edges_is_shapely_s():
    for figure, outline in (
        (box(20, 20, 100, 100), box(20, 20, 100, 100)),
        (box(20, 20, 100, 100), box(20, 20, 60, 100)),
        (box(20, 20, 60, 60), box(60, 60, 100, 100)),
        (box(20, 20, 100, 100), box(20, 20, 100, 100) - box(40, 40, 60, 60)),
    ):
        cost = estimate(drawing(figure), 0.0, 0.0, target_of(outline).aim(), math.inf, math.inf)
        assert cost.overlap == pytest.approx(iou(figure, outline), abs=1e-12)


@given(seeds)
@often
def test_the_distance_of_a_figure_s_edges_from_the_outline_is_shapely_s(seed):
    chance = Random(seed)
    figure, outline = shape(chance), shape(chance)
    cost = estimate(drawing(figure), 0.0, 0.0, target_of(outline).aim(), math.inf, math.inf)
    rings = [figure.exterior, *figure.interiors]
    places = [
        shapely.line_interpolate_point(edge, n / steps, normalized=True)
        for ring in rings
        for p, q in zip(ring.coords, ring.coords[1:], strict=False)
        for edge in [LineString([p, q])]
        for steps in [int(edge.length / (ALONG * JUDGED_SIZE)) + 1]
        for n in range(1, steps + 1)
    ]
    border = lighter(outline).boundary
    assert cost.distance >= max(shapely.distance(places, border)) - 1e-6
    # No more than the distance from all places of the edges, and less by no more than half a step.
    whole = max(
        shapely.distance(shapely.points(shapely.get_coordinates(shapely.segmentize(figure, 0.2))), border)
    )
    assert whole - ALONG * JUDGED_SIZE / 2 <= cost.distance + 1e-6
    assert estimate(drawing(figure), 99.0, 0.0, target_of(outline).aim(), math.inf, math.inf).distance == 99.0


@given(seeds)
@often
def test_what_shapely_calls_no_figure_is_none(seed):
    """Rings of corners in any order, alone or with one more."""
    chance = Random(seed)
    corners = [(chance.uniform(10, 110), chance.uniform(10, 110)) for _ in range(chance.randint(3, 6))]
    rings = [LinearRing(corners)]
    if chance.random() < 0.5:
        rings.append(star(chance, 3, 20, 5, chance.uniform(20, 100), chance.uniform(20, 100)).exterior)
    figure = tuple((tuple(ring.coords[:-1]),) for ring in rings)
    found = drawing_of(figure, target_of(box(20, 20, 100, 100)).aim().maps)
    cost = estimate(found, 0.0, 0.0, target_of(box(20, 20, 100, 100)).aim(), math.inf, math.inf)
    apart = len(rings) == 1 or not rings[0].intersects(rings[1])
    assert (cost.price < math.inf) == (apart and all(Polygon(ring).is_valid for ring in rings))


@given(seeds)
@often
def test_samples_are_as_far_from_the_figure_as_shapely_says(seed):
    chance = Random(seed)
    figure, outline = shape(chance), shape(chance)
    aim, found = target_of(outline).aim(), drawing(figure)
    fit = beside(found, aim)
    points = shapely.points(aim.points)
    assert fit.fine
    assert fit.off == pytest.approx(shapely.distance(points, figure.boundary), abs=1e-6)
    corners = shapely.points(fit.corners)
    apart = np.array([shapely.distance(corner, points).min() for corner in corners])
    assert fit.corner_off == pytest.approx(apart, abs=1e-6)
    assert [corners[k].distance(points[s]) for k, s in enumerate(fit.at_corner)] == pytest.approx(
        apart, abs=1e-6
    )
    for k, off, point in zip(fit.nearest, fit.off, points, strict=True):
        ring = max(r for r in range(len(found.rings) - 1) if found.rings[r] <= k)
        before = k - 1 if k > found.rings[ring] else found.rings[ring + 1] - 1
        assert LineString([fit.corners[before], fit.corners[k]]).distance(point) == pytest.approx(
            off, abs=1e-6
        )
    assert fit.area_off == pytest.approx((fit.off * aim.weights).sum())
    assert fit.farthest == pytest.approx(max(fit.off.max(), apart.max()))
    # The samples stand for the outline: their weights are its length, but for the corners, which hardly weigh.
    assert aim.weights.sum() == pytest.approx(outline.length, rel=1e-4)
    assert shapely.distance(points, outline.boundary).max() < 1e-9


@given(seeds)
@often
def test_what_is_beside_lines_that_did_not_move_is_known(seed):
    chance = Random(seed)
    aim, found = target_of(shape(chance)).aim(), drawing(shape(chance))
    fit, lines = beside(found, aim), found.lines.copy()
    for k in chance.sample(range(len(lines)), chance.randint(1, len(lines))):
        lines[k, 2] += chance.uniform(-3, 3)
    moved = found._replace(lines=lines)
    for again, anew in zip(beside_again(fit, moved, aim), beside(moved, aim), strict=True):
        assert np.array_equal(again, anew)


def test_the_area_off_is_about_what_polygons_say():
    turns = [2 * math.pi * k / 8 for k in range(8)]
    octagon = Polygon([(60 + 50 * math.cos(t), 60 + 50 * math.sin(t)) for t in turns])
    circle = Point(60, 60).buffer(50, quad_segs=64)
    fit = beside(drawing(octagon), target_of(circle).aim())
    assert fit.area_off == pytest.approx(circle.symmetric_difference(octagon).area, rel=0.05)


def edges_of(found):
    """A drawing's edges and the line of each."""
    corners, _ = corners_of(found)
    return np.hstack([corners[previous(found)], corners]), found.edges.copy()


@given(seeds)
@often
def test_edges_are_cut_off_at_the_block_s_edge_as_shapely_does(seed):
    chance = Random(seed)
    figure = affinity.translate(shape(chance), chance.uniform(-70, 70), chance.uniform(-70, 70))
    found, block = drawing(figure), box(0, 0, 120, 100)
    edges, owners = edges_of(found)
    count = clip_to_block(edges, owners, 120.0, 100.0)
    rows = [LineString([row[:2], row[2:]]) for row in edges[:count]]
    left = figure.boundary.intersection(block)
    assert sum(row.length for row in rows) == pytest.approx(left.length, abs=0.02)
    for row, owner in zip(rows, owners[:count], strict=True):
        nx, ny, d = found.lines[owner]
        assert figure.boundary.distance(row.centroid) < 1e-6
        assert block.buffer(1e-6).covers(row)
        assert [nx * x + ny * y - d for x, y in row.coords] == pytest.approx([0, 0], abs=1e-6)


def test_an_edge_on_the_block_s_edge_needs_no_cut():
    edges, owners = edges_of(drawing(box(0, -5, 60, 50)))
    count = clip_to_block(edges, owners, 120.0, 100.0)
    found = {tuple(sorted([tuple(row[:2].tolist()), tuple(row[2:].tolist())])) for row in edges[:count]}
    assert found == {((0.0, 50.0), (60.0, 50.0)), ((60.0, 0.0), (60.0, 50.0))}


@cache
def letters() -> tuple[Made, ...]:
    font = load_font(TEXT_FONTS[0])
    chosen = choose_glyphs(font, text="ABKS").glyphs
    return convert(font, chosen, judge_licence(font, TEXT_FONTS[0].parent), Settings(effort="draft")).made


@pytest.mark.parametrize("number", range(4))
def test_a_letter_costs_in_the_search_what_it_costs_in_the_verdict(number):
    made = letters()[number]
    figure: Polygons = made.glyph.figure
    outline = shape_of(made.guide)
    target = target_of(
        outline,
        NONE,
        width=made.glyph.metrics.block_width,
        height=101.6,
        size=made.size,
        min_piece_width=3.175,
    )
    aim = target.aim()
    found = drawing_of(figure, aim.maps)
    cost = evaluated(found, beside(found, aim).farthest, 0.0, aim, target.budget, math.inf, math.inf)
    verdict = judged(figure, target, aim)
    assert (cost.pieces, cost.sections) == (len(verdict.plan.pieces), len(verdict.plan.sections))
    assert cost.overlap == pytest.approx(verdict.overlap, abs=1e-3)
    assert cost.price == pytest.approx(verdict.price, abs=0.05)
    assert cost.distance == pytest.approx(verdict.distance, abs=0.03 * made.size)
    assert cost.violation == pytest.approx(verdict.violation, abs=0.05)


def test_a_symmetric_figure_has_the_image_of_each_line():
    plate = Polygon([(26, 20), (94, 20), (100, 30), (100, 94), (20, 94), (20, 30)])
    found = drawing(plate, Symmetry(x=60.0))
    images = found.images[0]
    for k, (nx, ny, d) in enumerate(found.lines.tolist()):
        there = found.lines[images[k]]
        # The image of the foot of the normal lies on the image of the line (elementary).
        assert there @ (120 - nx * d, ny * d, -1) == pytest.approx(0, abs=1e-9)
        assert images[images[k]] == k
    askew = Polygon([(26, 20), (94, 20), (100, 30), (100, 94), (20, 94), (20, 33)])
    assert drawing_of(figure_of(askew), target_of(plate, Symmetry(x=60.0)).aim().maps) is None
    assert holes_of(figure_of(askew)) == (1,)
