"""What is compiled on a machine's first run, in parts that two processes can do at the same time."""

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from converter.polygons import rings_of
from converter.sewing.problem import cut_edges
from converter.sewing.search import Prices
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import Drawing, compact, copy_lines, put_line
from converter.straighten.cost.evaluate import evaluated
from converter.straighten.cost.figures import drawing_of
from converter.straighten.cost.nearest import RUN_SHARE, beside, carry_runs
from converter.straighten.finish.extra_seams import best_extra
from converter.straighten.finish.verdict import Target
from converter.straighten.fitting.edges import Reach
from converter.straighten.fitting.fit import FitPrices
from converter.straighten.fitting.straightener import Straightener
from converter.straighten.outline.symmetry import Symmetry
from converter.straighten.search.explore import carried_out, outcomes
from converter.straighten.search.moves import SAVES, find_moves


def compile_costs() -> None:
    """What figures are priced with: spans, trees of cuts, pieces."""
    drawing, aim = _square()
    evaluated(drawing, 0.0, 0.0, aim, 1, np.inf, np.inf)


def compile_moves() -> None:
    """What figures are changed with."""
    drawing, aim = _square()
    fit = beside(drawing, aim)
    moves = find_moves(drawing, fit, aim, SAVES)
    outcomes(moves, drawing, fit, 0.0, np.inf, aim, 1)
    carried_out(moves[0], drawing, fit, 0.0, np.inf, aim)
    carry_runs(drawing, fit, aim, RUN_SHARE)
    put_line(copy_lines(drawing.lines, 0), drawing, aim.maps, 0, 0.0, 1.0, 10.0)
    compact(drawing)


def compile_fits() -> None:
    """What first figures are found with, and extra seams."""
    square, symmetry, prices = _square_shape(), Symmetry(), Prices.of(1.0)
    reach = Reach(0.05, 0.05)
    Straightener(square, symmetry, 20.0, reach.curve).straighten(FitPrices(0.01, 0.5, 1.0), reach)
    lines, edges, owners = cut_edges(rings_of(square), (), None)
    best_extra(lines[:1], lines, edges, owners, 0, prices.section, prices.match)


PARTS: Sequence[Callable[[], None]] = (compile_moves, compile_costs, compile_fits)  # the longer ones first


def _square() -> tuple[Drawing, Aim]:
    """A square in a block, and what it is held against."""
    square = _square_shape()
    target = Target(
        outline=square, width=40.0, height=40.0, size=20.0, prices=Prices.of(1.0), min_piece_width=3.0, truth=12.0,
        least_overlap=0.9, farthest=1.0, sharpest=14.0, crests=(), symmetry=Symmetry(), budget=1,
    )  # fmt: skip
    aim = target.aim()
    drawing = drawing_of(rings_of(square), aim.maps)
    assert drawing is not None
    return drawing, aim


def _square_shape() -> MultiPolygon:
    return MultiPolygon([shapely.box(10.0, 10.0, 30.0, 30.0)])
