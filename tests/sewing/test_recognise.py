"""Recognising by hand-made tilings, against published counts, a theorem, and brute force that shares no code."""

import itertools
import math
from functools import cache

import networkx
import pytest
import shapely

from converter.errors import InputError
from converter.model import BACKGROUND, FIGURE, Glyph, Ring
from converter.seams import seams
from converter.sewing.plan import Plan
from converter.sewing.recognise import MOST_PIECES, Locked, recognise
from converter.sewing.search import Prices
from converter.verify import verify_block
from tests.sewing.tilings import corners, cut_apart, rectangulations, ring

PRICES = Prices(section=2500, match=250)


def recognised(rings, width, height, fabrics=None, budget=100_000) -> Plan | Locked:
    fabrics = fabrics or [FIGURE if k % 3 == 0 else BACKGROUND for k in range(len(rings))]
    figure = tuple((r,) for r, fabric in zip(rings, fabrics, strict=True) if fabric != BACKGROUND)
    result = recognise(rings, fabrics, figure, width, height, PRICES, budget)
    if isinstance(result, Plan):
        verify_block(result.pieces, result.sections, result.joins, width, height)
    return result


# Rectangles 1 to 6. Straight-cut ones: large Schröder numbers, OEIS A006318. All: Baxter numbers, OEIS A001181.
# Both in Ackerman, Barequet, Pinter, "A bijection between permutations and floorplans, and its applications" and
# "On the number of rectangulations of a planar point set", JCTA 113 (2006).
@pytest.mark.parametrize(
    ("n", "cuttable", "every"), [(1, 1, 1), (2, 2, 2), (3, 6, 6), (4, 22, 22), (5, 90, 92), (6, 394, 422)]
)
def test_accepts_just_the_straight_cut_partitions(n, cuttable, every):
    results = [recognised([ring(b) for b in boxes], 10 * n, 10 * n) for boxes in rectangulations(n)]
    assert len(results) == every
    assert sum(isinstance(result, Plan) for result in results) == cuttable


def test_names_all_five_pieces_of_a_pinwheel_and_its_four_stops():
    locked = [
        result
        for boxes in rectangulations(5)
        if isinstance(result := recognised([ring(b) for b in boxes], 50, 50), Locked)
    ]
    for result in locked:
        (lock,) = result.locks
        assert lock.pieces == (0, 1, 2, 3, 4)
        assert len(lock.seams) == len(lock.stops) == 4


def test_fewest_sections_of_all_partitions_into_six_as_brute_force():
    for boxes in rectangulations(6):
        result = recognised([ring(b) for b in boxes], 60, 60)
        least = fewest_sections(tuple(shapely.box(*b) for b in boxes))
        assert (len(result.sections) if isinstance(result, Plan) else None) == least


@pytest.mark.parametrize("seed", range(60))
def test_fewest_sections_of_slanted_cuts_as_brute_force(seed):
    parts = cut_apart(seed, 4 + seed % 6)
    result = recognised([corners(p) for p in parts], 60, 80)
    assert isinstance(result, Plan)
    assert result.complete
    assert len(result.sections) == fewest_sections(tuple(parts))
    assert sorted(shapely.Polygon(p.polygon).area for p in result.pieces) == pytest.approx(
        sorted(p.area for p in parts), abs=1e-6
    )


# Leake, Bernstein, Davis, Agrawala, "A Mathematical Foundation for Foundation Paper Pieceable Quilts",
# ACM TOG 40(4), 2021: one foundation if and only if the dual hypergraph (pieces are nodes, each seam a hyperedge over
# the pieces that it touches) is acyclic. A leaf is a piece that one seam alone touches; the whole hyperedge goes.
@pytest.mark.parametrize("n", [3, 4, 5])
def test_one_section_exactly_where_the_dual_hypergraph_is_acyclic(n):
    for boxes in rectangulations(n):
        result = recognised([ring(b) for b in boxes], 10 * n, 10 * n)
        one = isinstance(result, Plan) and len(result.sections) == 1
        shapes = [shapely.box(*b) for b in boxes]
        assert one == is_acyclic(whole_seams(shapes), shapes)


@pytest.mark.parametrize("seed", range(40))
def test_each_section_alone_has_an_acyclic_dual_hypergraph(seed):
    result = recognised([corners(p) for p in cut_apart(seed, 9)], 60, 80)
    assert isinstance(result, Plan)
    glyph = Glyph(
        "a", "a", (97,), "a", "ready", pieces=result.pieces, sections=result.sections, joins=result.joins
    )
    for section in result.sections:
        shapes = [shapely.Polygon(glyph.piece(i).polygon) for i in section.pieces]
        inner = [shapely.LineString([s.start, s.end]) for s in seams(glyph) if s.section == section.id]
        assert is_acyclic([s for s in inner if len(section.pieces) > 1], shapes)


def test_known_small_cases():
    four_patch = [ring(b) for b in ((0, 0, 1, 1), (1, 0, 2, 1), (0, 1, 1, 2), (1, 1, 2, 2))]
    fabrics = [FIGURE, BACKGROUND, BACKGROUND, FIGURE]
    result = recognised(four_patch, 20, 20, fabrics)
    assert isinstance(result, Plan)
    assert (len(result.sections), len(result.joins), result.match_points) == (2, 1, 1)
    assert recognised(four_patch, 20, 20, [FIGURE, FIGURE, BACKGROUND, BACKGROUND]).match_points == 0
    strips = [ring((k, 0, k + 1, 3)) for k in range(7)]
    assert len(recognised(strips, 70, 30).sections) == 1
    cabin = [ring(b) for b in ((1, 1, 2, 2), (0, 1, 1, 2), (0, 0, 2, 1), (2, 0, 3, 2), (0, 2, 3, 3))]
    assert len(recognised(cabin, 30, 30).sections) == 1
    whole = recognised([ring((0, 0, 1, 1))], 10, 10, [BACKGROUND])
    assert [p.id for p in whole.pieces] == ["A1"]


def slanted_pinwheel(arms: int, turn: int = 1) -> tuple[list[Ring], float]:
    """A pinwheel with a regular core of so many sides; each side runs on at one end until it meets the block."""
    block = shapely.box(0, 0, 100, 100)
    directions = [math.radians(turn * (360 / arms * k + 17)) for k in range(arms)]
    spots = [(50 + 12 * math.cos(a), 50 + 12 * math.sin(a)) for a in directions]
    core = shapely.Polygon(spots)
    arm_shapes = []
    for k in range(arms):
        # Right of one side's run, left of the next one's, cut off by the block.
        (x0, y0), (x1, y1), (x2, y2) = (spots[(k + j) % arms] for j in range(3))
        far = [(x0 + 40 * (x1 - x0), y0 + 40 * (y1 - y0)), (x1 + 40 * (x2 - x1), y1 + 40 * (y2 - y1))]
        around = [(50 + 300 * math.cos(a), 50 + 300 * math.sin(a)) for a in _between(far, turn)]
        arm = shapely.Polygon([(x1, y1), far[0], *around, far[1]])
        arm_shapes.append(arm.intersection(block))
    rings = [corners(shape) for shape in (core, *arm_shapes)]
    assert sum(shapely.Polygon(r).area for r in rings) == pytest.approx(10_000)
    return rings, core.area


def _between(far: list[tuple[float, float]], turn: int) -> list[float]:
    start, end = (math.atan2(y - 50, x - 50) for x, y in far)
    span = (end - start) * turn % (2 * math.pi)
    return [start + turn * span * f for f in (0.25, 0.5, 0.75)]


@pytest.mark.parametrize("arms", [3, 4, 5, 7])
@pytest.mark.parametrize("turn", [1, -1])
def test_slanted_pinwheels_lock(arms, turn):
    rings, core = slanted_pinwheel(arms, turn)
    result = recognised(rings, 100, 100)
    assert isinstance(result, Locked)
    (lock,) = result.locks
    assert len(lock.stops) == arms
    assert len(lock.pieces) == arms + 1
    assert any(shapely.Polygon(rings[k]).area == pytest.approx(core) for k in lock.pieces)


def test_the_smallest_lock_is_named_within_a_larger_drawing():
    pinwheel = [(4, 0, 6, 4), (2, 4, 6, 6), (0, 2, 2, 6), (2, 2, 4, 4)]
    first_arm = [(0, 0, 1, 2), (1, 0, 4, 2)]  # cut in two, and only one half is at a stop
    boxes = [*pinwheel, *first_arm, (6, 0, 8, 6), (0, 6, 8, 8)]
    rings = [ring(b) for b in boxes]
    result = recognised(rings, 80, 80)
    assert isinstance(result, Locked)
    (lock,) = result.locks
    assert lock.pieces == (0, 1, 2, 3, 5)


def test_two_pinwheels_are_two_locks():
    one = [(0, 0, 2, 1), (2, 0, 3, 2), (1, 2, 3, 3), (0, 1, 1, 3), (1, 1, 2, 2)]
    rings = [ring(b) for b in one] + [ring((a + 3, b, c + 3, d)) for a, b, c, d in one]
    result = recognised(rings, 60, 30)
    assert isinstance(result, Locked)
    assert [lock.pieces for lock in result.locks] == [(0, 1, 2, 3, 4), (5, 6, 7, 8, 9)]


def test_seams_that_all_end_in_one_point_lock():
    middle, block = (50.0, 40.0), shapely.box(0, 0, 100, 100)
    rays = [shapely.LineString([middle, end]) for end in ((50, 100), (0, 0), (100, 0))]
    parts = list(shapely.polygonize([shapely.unary_union([*rays, block.exterior])]).geoms)
    result = recognised([corners(shapely.simplify(p, 1e-9)) for p in parts], 100, 100)
    assert isinstance(result, Locked)
    (lock,) = result.locks
    assert lock.pieces == (0, 1, 2)
    assert lock.stops[0] == pytest.approx(middle)
    assert len(lock.seams) == 3


def test_rounding_as_in_the_pattern_file_changes_nothing():
    for seed in range(20):
        rings = [corners(p) for p in cut_apart(seed, 12)]
        rounded = [tuple((round(x, 4), round(y, 4)) for x, y in r) for r in rings]
        one, other = recognised(rings, 60, 80), recognised(rounded, 60, 80)
        assert (len(one.sections), one.cost) == (len(other.sections), other.cost)


def test_a_large_grid_is_worked_out_within_the_budget():
    grid = [ring((x, y, x + 1, y + 1)) for x in range(12) for y in range(12)]
    result = recognised(grid, 120, 120, budget=300)
    assert isinstance(result, Plan)
    assert len(result.pieces) == 144


def test_too_many_pieces_are_refused():
    with pytest.raises(InputError, match="more than the"):
        recognised([ring((k, 0, k + 1, 1)) for k in range(MOST_PIECES + 1)], 10 * MOST_PIECES + 10, 10)


def fewest_sections(parts: tuple[shapely.Polygon, ...]) -> int | None:
    """Every tree of cuts, by shapely alone; None where there is none."""

    lines = set()
    for part in parts:
        xy = shapely.get_coordinates(part)
        for (x0, y0), (x1, y1) in itertools.pairwise(xy):
            plus, minus = set(), set()
            for other, shape in enumerate(parts):
                offs = [
                    (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) for x, y in shapely.get_coordinates(shape)
                ]
                slack = 1e-6 * math.hypot(x1 - x0, y1 - y0)
                if min(offs) >= -slack:
                    plus.add(other)
                elif max(offs) <= slack:
                    minus.add(other)
            lines.add(frozenset((frozenset(plus), frozenset(minus))))

    @cache
    def cuts(part):
        halves = [[part & side for side in sides] for sides in lines if len(sides) == 2]
        return [h for h in halves if all(h) and len(h[0]) + len(h[1]) == len(part)]

    @cache
    def one(part) -> bool:
        return len(part) == 1 or any(
            (len(a) == 1 and one(b)) or (len(b) == 1 and one(a)) for a, b in cuts(part)
        )

    @cache
    def fewest(part) -> float:
        if one(part):
            return 1
        return min((fewest(a) + fewest(b) for a, b in cuts(part)), default=float("inf"))

    least = fewest(frozenset(range(len(parts))))
    return None if least == float("inf") else int(least)


def whole_seams(shapes: list[shapely.Polygon]) -> list[shapely.LineString]:
    """Every inner edge, joined to whole straight seams (upright and level ones alone)."""
    block = shapely.unary_union(shapes)
    inner = shapely.unary_union([s.exterior for s in shapes]).difference(block.exterior)
    level, upright = [], []
    for line in shapely.get_parts(shapely.node(inner)):
        (x0, y0), (x1, y1) = line.coords[0], line.coords[-1]
        (level if y0 == y1 else upright).append(line)
        assert x0 == x1 or y0 == y1
    return [
        s
        for group in (level, upright)
        for s in shapely.get_parts(shapely.line_merge(shapely.union_all(group)))
    ]


def is_acyclic(lines: list[shapely.LineString], shapes: list[shapely.Polygon]) -> bool:
    graph = networkx.Graph()
    graph.add_nodes_from(("piece", k) for k in range(len(shapes)))
    for j, line in enumerate(lines):
        wide = line.buffer(1e-4, cap_style="flat")
        for k, shape in enumerate(shapes):
            if wide.intersection(shape).area > 1e-4 * 1e-2:
                graph.add_edge(("seam", j), ("piece", k))
    while leaves := [n for n, degree in graph.degree if n[0] == "piece" and degree == 1]:
        leaf = leaves[0]
        (seam,) = graph[leaf]
        graph.remove_nodes_from([leaf, seam])
    return len(graph) == 1
