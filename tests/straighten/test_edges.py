"""The edges that may stand for stretches of an outline, measured by shapely."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, box

from converter.geometry import Line
from converter.straighten.fitting.edges import Reach, find_stretches, own_edges, shared_edges
from converter.straighten.fitting.fit import FitPrices, Fitter
from converter.straighten.outline.chain import make_chain

SIZE = 100.0
WIDEST = Reach(0.065, 0.05)
ROUND = Point(50, 50).buffer(40, quad_segs=24)
PILL = shapely.union(ROUND, box(50, 10, 130, 90))  # round on one side, straight on three
POOL = [Line(0.0, 1.0, 12.0), Line(1.0, 0.0, 128.0), Line(0.6, 0.8, 34.0)]


def edges_of(shape, heights=(10.5,)):
    chain = make_chain(shape.exterior.coords[:-1], SIZE, closed=True)
    stretches = find_stretches(chain, SIZE, WIDEST)
    return chain, stretches, own_edges(chain, stretches, SIZE, heights), shared_edges(
        chain, stretches, SIZE, heights, POOL
    )  # fmt: skip


@pytest.mark.parametrize("shape", [ROUND, PILL])
def test_an_edge_is_measured_from_the_stretch_that_it_stands_for(shape):
    chain, stretches, own, shared = edges_of(shape)
    runs = {(s.start, s.end): s.line for s in stretches if s.ruled}
    assert own
    assert shared
    for edge in (*own, *shared):
        nx, ny, d = edge.line
        foot, along = np.array([nx * d, ny * d]), np.array([ny, -nx])
        there = shapely.points(chain.points[chain.breaks[edge.start] : chain.breaks[edge.end] + 1])
        middles = shapely.line_interpolate_point(
            [LineString(ends) for ends in pairwise(there)], 0.5, normalized=True
        )
        steps = shapely.distance(there[:-1], there[1:])
        off = shapely.distance(LineString([foot - 999 * along, foot + 999 * along]), middles)
        assert edge.area == pytest.approx((off * steps).sum(), abs=1e-5)
        run = runs.get((edge.start, edge.end))
        if run is None:
            assert edge.needs.curve * SIZE == pytest.approx(off.max(), abs=1e-6)
        elif edge.line == run:
            assert edge.needs.shared == 0
        else:
            assert edge.needs.shared * SIZE in (0, pytest.approx(off.max(), abs=1e-6))


def test_a_straight_run_keeps_its_line_and_a_level_one_may_take_a_height():
    _, stretches, own, _ = edges_of(PILL)
    right = [e for e in own if e.line == Line(1.0, 0.0, 130.0)]
    assert right
    assert any(e.at_height and e.line.d == 10.5 for e in own)
    assert all(s.line.is_level for s in stretches if s.ruled)


@pytest.mark.parametrize("reach", [Reach(0.03, 0.02), Reach(0.045, 0.05), WIDEST])
def test_a_fit_takes_no_edge_beyond_its_reach(reach):
    """One fitter with the edges of the widest reach gives what one with the edges within reach gives."""
    chain, _, own, shared = edges_of(PILL)
    prices = FitPrices(0.01, 0.5, 4.0)
    edges = [*own, *shared]

    def fitter(edges):
        return Fitter(chain, edges, SIZE, lambda _: 1, lambda line: line)

    cost, row = fitter(edges).fit(prices, reach, {})
    assert row
    assert all(reach.holds(edge.needs) for edge in row)
    few = [edge for edge in edges if reach.holds(edge.needs)]
    assert len(few) < len(edges) or reach == WIDEST
    assert fitter(few).fit(prices, reach, {}) == (cost, row)
