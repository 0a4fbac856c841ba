"""The best straight-edged figures for one placed outline: a range of fits, then the search for better ones.

Kept are the figures that no other beats in every respect, the best first.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import MultiPolygon

from converter.fidelity import cloth, counters, parts, seen, where_unlike
from converter.model import Polygons
from converter.placement import Placed
from converter.polygons import rings_of
from converter.sewing.search import Prices
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.figures import drawing_of, figure_of, holes_of
from converter.straighten.finish.verdict import Target, Verdict, judged
from converter.straighten.fitting.edges import Reach
from converter.straighten.fitting.fit import FitPrices
from converter.straighten.fitting.straightener import Straightener, tidy_figure
from converter.straighten.outline.crests import find_crests
from converter.straighten.outline.hand import Hand
from converter.straighten.outline.symmetry import Symmetry, find_symmetry, fundamental_part, unfolded
from converter.straighten.search.candidate import Candidate, candidate
from converter.straighten.search.pool import best_of

FITS = ((0.03, 0.02), (0.045, 0.05), (0.065, 0.05))  # reach of curves and of shared lines, of size
TRUTHS = (1.0, 8.0)  # times the wished price of truth
SHORT_EDGE = 1.3  # of the least piece width: an edge shorter than this makes a piece too narrow
KEPT = 4  # alternatives
LOST_PART = 1.0  # of a limit: a part or counter that is meant to be seen, but is not in cloth, or is new
EFFORTS = {"draft": 2_000_000, "normal": 30_000_000, "thorough": 600_000_000}
STATES = 60


@dataclass(frozen=True, slots=True)
class Wish:
    """What the straightening is to aim at. Lengths in mm, prices in pieces."""

    min_piece_width: float
    grid: float
    section_price: float
    truth: float  # what the whole letter's truth is worth: an overlap less by 0.01 costs a hundredth
    level: float  # times the price of what is not level, but in the font
    least_overlap: float
    farthest: float  # of size
    sharpest_corner: float  # degrees
    budget: int
    effort: str = "normal"


def alternatives(placed: Placed, hand: Hand, wish: Wish) -> tuple[tuple[Verdict, ...], Symmetry]:
    """Figures for the outline, the best first, and the symmetry that was kept.

    ``hand`` has the alphabet's measures. Always at least one figure, if need be the outline's own corners.
    """
    outline, size = placed.outline, placed.size
    symmetry = find_symmetry(outline, size)
    target = Target(
        outline=outline,
        width=placed.block_width,
        height=placed.block_height,
        size=size,
        prices=Prices.of(wish.section_price),
        min_piece_width=wish.min_piece_width,
        truth=wish.truth,
        least_overlap=wish.least_overlap,
        farthest=wish.farthest * size,
        sharpest=wish.sharpest_corner,
        crests=tuple(replace(crest, price=wish.level * crest.price) for crest in find_crests(outline, size)),
        symmetry=symmetry,
        budget=wish.budget,
    )
    aim = target.aim()
    figures = _fits(placed, symmetry, hand.heights, wish)
    starts = [start for figure in figures if (start := _start(figure, aim))]
    found = best_of(starts, aim, EFFORTS[wish.effort], STATES) if starts else []
    best = [figure for one in _unlike(found) if (figure := figure_of(one.drawing, one.holes))]
    if not best:
        best = [rings_of(shape) for shape in _simplified(outline, symmetry, size)]
    meant = seen(outline)
    verdicts = [_as_seen(verdict, meant) for figure in best if (verdict := judged(figure, target))]
    return tuple(sorted(verdicts, key=lambda verdict: verdict.rank)), symmetry


def _start(figure: Polygons, aim: Aim) -> Candidate | None:
    drawing = drawing_of(figure, aim.maps)
    return candidate(drawing, holes_of(figure), aim, STATES) if drawing else None


def _fits(placed: Placed, symmetry: Symmetry, heights: Sequence[float], wish: Wish) -> list[Polygons]:
    reaches = [Reach(curve, max(shared, wish.grid / placed.size)) for curve, shared in FITS]
    widest = Reach(max(reach.curve for reach in reaches), max(reach.shared for reach in reaches))
    straightener = Straightener(placed.outline, symmetry, placed.size, widest, heights)
    short = max(SHORT_EDGE * wish.min_piece_width, wish.grid)
    found: dict[Polygons, None] = {}
    for reach in reaches:
        for factor in TRUTHS:
            shape = straightener.straighten(FitPrices(factor * wish.truth / placed.outline.area, 0.5, short), reach)
            if shape is not None:
                found[rings_of(shape)] = None
    return list(found)


def _simplified(outline: MultiPolygon, symmetry: Symmetry, size: float) -> list[MultiPolygon]:
    """The outline's own corners, fewer and fewer: for what no row of edges fits."""
    part = fundamental_part(outline, symmetry)
    shapes = [
        tidy_figure(unfolded(shapely.simplify(part, tolerance * size), symmetry)) for tolerance in (0.03, 0.015, 0.005)
    ]
    return [shape for shape in shapes if shape is not None] or [outline]


def _as_seen(verdict: Verdict, meant: MultiPolygon) -> Verdict:
    """The verdict with what it costs that parts or counters are lost in cloth, or are new."""
    there = seen(cloth(verdict.plan.pieces))
    alike = all(where_unlike(kind(meant), kind(there)) is None for kind in (parts, counters))
    return verdict if alike else replace(verdict, violation=verdict.violation + LOST_PART)


def _unlike(found: Sequence[Candidate]) -> list[Candidate]:
    """The best first, then those that are better than all before them in pieces, sections or truth."""
    kept: list[Candidate] = []
    for one in found:
        if len(kept) < KEPT and not any(_beats(other, one) for other in kept):
            kept.append(one)
    return kept


def _beats(a: Candidate, b: Candidate) -> bool:
    return (
        a.cost.pieces <= b.cost.pieces
        and a.cost.sections <= b.cost.sections
        and a.cost.overlap >= b.cost.overlap - 1e-4
        and a.cost.violation <= b.cost.violation + 1e-4
    )
