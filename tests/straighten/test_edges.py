"""The edges that may stand for stretches of an outline, measured by shapely."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, box

from converter.straighten.fitting.edges import Edges, Reach, both, find_edges, find_stretches, path_of
from converter.straighten.fitting.fit import FitPrices, Fitter
from converter.straighten.fitting.straightener import NO_LINES, NO_PRICES
from converter.straighten.outline.chain import make_chain

SIZE = 100.0
WIDEST = Reach(0.065, 0.05)
ROUND = Point(50, 50).buffer(40, quad_segs=24)
PILL = shapely.union(ROUND, box(50, 10, 130, 90))  # round on one side, straight on three
POOL = np.array([(0.0, 1.0, 12.0), (1.0, 0.0, 128.0), (0.6, 0.8, 34.0)])
NO_MAPS = np.empty((0, 4))


def edges_of(shape, heights=(10.5,)):
    chain = make_chain(shape.exterior.coords[:-1], SIZE, closed=True)
    path = path_of(chain)
    stretches = find_stretches(path, SIZE, WIDEST.curve)
    own, shared = (
        find_edges(path, stretches, SIZE, np.array(heights), NO_MAPS, pool) for pool in (NO_LINES, POOL)
    )
    return chain, path, stretches, own, shared


@pytest.mark.parametrize("shape", [ROUND, PILL])
def test_an_edge_is_measured_from_the_stretch_that_it_stands_for(shape):
    chain, _, stretches, own, shared = edges_of(shape)
    spans = zip(stretches.start.tolist(), stretches.end.tolist(), stretches.line.tolist(), strict=True)
    runs = {(a, b): line for (a, b, line), ruled in zip(spans, stretches.ruled, strict=True) if ruled}
    assert len(own.start)
    assert len(shared.start)
    edges = both(own, shared)
    assert len(edges.start) == len(own.start) + len(shared.start)
    assert edges.start.tolist() == sorted(edges.start.tolist())
    for start, end, line, area, curve, needed in zip(
        edges.start.tolist(), edges.end.tolist(), edges.line.tolist(), edges.area, edges.curve, edges.shared,
        strict=True,
    ):  # fmt: skip
        nx, ny, d = line
        foot, along = np.array([nx * d, ny * d]), np.array([ny, -nx])
        there = shapely.points(chain.points[chain.breaks[start] : chain.breaks[end] + 1])
        middles = shapely.line_interpolate_point(
            [LineString(ends) for ends in pairwise(there)], 0.5, normalized=True
        )
        steps = shapely.distance(there[:-1], there[1:])
        off = shapely.distance(LineString([foot - 999 * along, foot + 999 * along]), middles)
        assert area == pytest.approx((off * steps).sum(), abs=1e-5)
        run = runs.get((start, end))
        if run is None:
            assert curve * SIZE == pytest.approx(off.max(), abs=1e-6)
        elif line == run:
            assert needed == 0
        else:
            assert needed * SIZE in (0, pytest.approx(off.max(), abs=1e-6))


@pytest.mark.parametrize("shape", [ROUND, PILL])
def test_a_stretch_s_line_is_the_principal_axis_of_its_points(shape):
    """Total least squares: the direction is the first singular vector of the centred points (NumPy's SVD)."""
    chain, _, stretches, _, _ = edges_of(shape)
    free = [k for k in range(len(stretches.start)) if not stretches.ruled[k]]
    for k in free:
        there = chain.points[chain.breaks[stretches.start[k]] : chain.breaks[stretches.end[k]] + 1]
        along = shapely.get_coordinates(shapely.segmentize(LineString(there), 0.02))
        points = (along[1:] + along[:-1]) / 2
        _, spread, axes = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)
        assert abs(axes[0] @ stretches.line[k, :2]) == pytest.approx(0, abs=2e-3)
        assert stretches.rms[k] * SIZE == pytest.approx(spread[1] / len(points) ** 0.5, rel=0.02, abs=1e-3)


def test_a_straight_run_keeps_its_line_and_a_level_one_may_take_a_height():
    _, _, stretches, own, _ = edges_of(PILL)
    lines = own.line.tolist()
    assert [1.0, 0.0, 130.0] in lines
    assert any(high and line[2] == 10.5 for line, high in zip(lines, own.at_height, strict=True))
    assert all(0.0 in line[:2] for line in stretches.line[stretches.ruled == 1].tolist())


@pytest.mark.parametrize("reach", [Reach(0.03, 0.02), Reach(0.045, 0.05), WIDEST])
def test_a_fit_takes_no_edge_beyond_its_reach(reach):
    """One fitter with the edges of the widest reach gives what one with the edges within reach gives."""
    chain, path, _, own, shared = edges_of(PILL)
    prices, edges = FitPrices(0.01, 0.5, 4.0), both(own, shared)

    def fitted(edges):
        return Fitter(chain, path, edges, SIZE, None).fit(prices, reach, NO_PRICES)

    cost, row = fitted(edges)
    assert row
    within = (edges.curve <= reach.curve) & (edges.shared <= reach.shared)
    few = Edges(*(column[within] for column in edges))
    columns = (column.tolist() for column in (few.start, few.end, few.line))
    near = [(start, end, *line) for start, end, line in zip(*columns, strict=True)]
    assert all((edge.start, edge.end, *edge.line) in near for edge in row)
    assert len(few.start) < len(edges.start) or reach == WIDEST
    assert fitted(few) == (cost, row)
