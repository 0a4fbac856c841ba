"""The best straight-edged figures for one placed outline: a range of fits, then improving moves.

Hard limits first (truth, distance, width of pieces), then the price of sewing against the price of untruth.
Kept are the figures that no other beats in every respect, the cheapest first.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import MultiPolygon

from converter.fidelity import cloth, counters, parts, seen, where_unlike
from converter.placement import Placed
from converter.sewing.search import Prices
from converter.straighten.crests import find_crests
from converter.straighten.drawing import turned_alike
from converter.straighten.edges import Reach
from converter.straighten.extra_seams import with_extra_seams
from converter.straighten.figure import Straightener, rings_of, tidy_figure
from converter.straighten.fit import FitPrices
from converter.straighten.hand import Hand
from converter.straighten.improve import best_of
from converter.straighten.judging import TOPOLOGY, Judge, Verdict, judged
from converter.straighten.matching import in_hand
from converter.straighten.measured import sample_outline
from converter.straighten.symmetry import Symmetry, find_symmetry, fundamental_part, unfolded

FITS = ((0.03, 0.02), (0.045, 0.05), (0.065, 0.05))  # reach of curves and of shared lines, of size
TRUTHS = (1.0, 8.0)  # times the wished price of truth
STARTS = 4  # as many of the best fits are improved by moves
SHORT_EDGE = 1.3  # of the least piece width: an edge shorter than this makes a piece too narrow
KEPT = 4  # alternatives
HALF_TURN_REACH = 0.04  # of size: an edge and its image under a half turn may be fitted as far apart as this
SAMPLE_STEP = 0.03  # of size


@dataclass(frozen=True, slots=True)
class Wish:
    """What the straightening is to aim at. Lengths in mm, prices in pieces."""

    min_piece_width: float
    grid: float
    section_price: float
    truth: float  # what the whole letter's truth is worth: an IoU of 0.01 costs a hundredth
    level: float  # times the price of what is not level, but in the font
    least_iou: float
    most_hausdorff: float  # of size
    sharpest_corner: float  # degrees
    budget: int


def alternatives(placed: Placed, hand: Hand, wish: Wish) -> tuple[tuple[Verdict, ...], Symmetry]:
    """Figures for the outline, the cheapest first, and the symmetry that was kept.

    ``hand`` has the alphabet's measures. Always at least one figure, if need be the outline's own corners.
    """
    outline, size = placed.outline, placed.size
    symmetry = find_symmetry(outline, size)
    judge = Judge(
        outline=_lighter(outline, size * 5e-4),
        width=placed.block_width,
        height=placed.block_height,
        size=size,
        prices=Prices.of(wish.section_price),
        min_piece_width=wish.min_piece_width,
        truth=wish.truth,
        level=wish.level,
        least_iou=wish.least_iou,
        most_hausdorff=wish.most_hausdorff * size,
        sharpest=wish.sharpest_corner,
        crests=find_crests(outline, size),
        samples=sample_outline(outline, SAMPLE_STEP * size),
        symmetry=symmetry,
        budget=min(400, wish.budget),
    )
    found = _fits(placed, symmetry, hand.heights, wish, judge)
    if not found:
        found = [
            verdict
            for shape in _simplified(outline, symmetry, size)
            if (verdict := judged(rings_of(shape), judge))
        ]
    found.sort(key=lambda verdict: verdict.cost)
    best = [in_hand(verdict, hand, judge) for verdict in _none_beaten(best_of(found[:STARTS], judge))]
    full = replace(judge, outline=outline)
    searched = [judged(v.figure, replace(full, budget=wish.budget)) for v in best]
    # The fits themselves, where they are no mere forms of the best.
    unlike = [v for v in found if all(_counts(v) != _counts(b) for b in best)]
    others = [judged(v.figure, full) for v in _none_beaten([*best, *unlike]) if v not in best]
    meant = seen(outline)
    final = [_as_seen(verdict, meant) for verdict in (*searched, *others) if verdict is not None]
    final.sort(key=lambda verdict: (verdict.cost, verdict.figure))
    final[:1] = [with_extra_seams(verdict, full) for verdict in final[:1]]
    return _none_beaten(final), symmetry


def _fits(
    placed: Placed, symmetry: Symmetry, heights: Sequence[float], wish: Wish, judge: Judge
) -> list[Verdict]:
    reaches = [Reach(curve, max(shared, wish.grid / placed.size)) for curve, shared in FITS]
    widest = Reach(max(reach.curve for reach in reaches), max(reach.shared for reach in reaches))
    straightener = Straightener(placed.outline, symmetry, placed.size, widest, heights)
    short = max(SHORT_EDGE * wish.min_piece_width, wish.grid)
    found: dict[object, Verdict] = {}
    for reach in reaches:
        for factor in TRUTHS:
            prices = FitPrices(factor * wish.truth / placed.outline.area, 0.5, short)
            shape = straightener.straighten(prices, reach)
            if shape is None:
                continue
            figure = rings_of(shape)
            if symmetry.centre is not None:
                figure = turned_alike(figure, symmetry, HALF_TURN_REACH * placed.size) or figure
            if figure not in found:
                verdict = judged(figure, judge)
                if verdict is not None:
                    found[figure] = verdict
    return list(found.values())


def _simplified(outline: MultiPolygon, symmetry: Symmetry, size: float) -> list[MultiPolygon]:
    """The outline's own corners, fewer and fewer: for what no row of edges fits."""
    part = fundamental_part(outline, symmetry)
    shapes = [
        tidy_figure(unfolded(shapely.simplify(part, tolerance * size), symmetry))
        for tolerance in (0.03, 0.015, 0.005)
    ]
    return [shape for shape in shapes if shape is not None] or [outline]


def _lighter(outline: MultiPolygon, tolerance: float) -> MultiPolygon:
    """The outline with fewer points, for comparing many figures; the final figures meet the full one."""
    shape = shapely.simplify(outline, tolerance)
    return shape if isinstance(shape, MultiPolygon) else MultiPolygon([shape])


def _as_seen(verdict: Verdict, meant: MultiPolygon) -> Verdict:
    """The verdict with the price of parts and counters that are meant to be seen, but are not in cloth, or are new."""
    there = seen(cloth(verdict.plan.pieces))
    alike = all(where_unlike(kind(meant), kind(there)) is None for kind in (parts, counters))
    return verdict if alike else replace(verdict, cost=verdict.cost + TOPOLOGY)


def _none_beaten(verdicts: Sequence[Verdict]) -> tuple[Verdict, ...]:
    """The cheapest first, then those that are better than all before them in pieces, sections or truth."""
    kept: list[Verdict] = []
    for verdict in sorted(verdicts, key=lambda v: (v.cost, v.figure)):
        if len(kept) < KEPT and not any(_beats(other, verdict) for other in kept):
            kept.append(verdict)
    return tuple(kept)


def _counts(verdict: Verdict) -> tuple[int, int]:
    return len(verdict.plan.pieces), len(verdict.plan.sections)


def _beats(a: Verdict, b: Verdict) -> bool:
    return (
        len(a.plan.pieces) <= len(b.plan.pieces)
        and len(a.plan.sections) <= len(b.plan.sections)
        and a.iou >= b.iou - 1e-4
        and a.narrow <= b.narrow
    )
