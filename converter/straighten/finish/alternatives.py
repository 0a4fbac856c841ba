"""The best straight-edged figures for one placed outline: first fits, the search for better ones, the last steps.

Kept are the figures that no other beats in every respect, the best first.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shapely.geometry import MultiPolygon

from converter.fidelity import cloth, counters, parts, seen, where_unlike
from converter.model import Polygons
from converter.placement import Placed
from converter.polygons import polygons_of, rings_of
from converter.sewing.search import Prices
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.figures import drawing_of, figure_of, holes_of, symmetrised
from converter.straighten.finish.extra_seams import with_extra_seams
from converter.straighten.finish.matching import in_hand
from converter.straighten.finish.verdict import AS_IT_COMES, Target, Treatment, Verdict, judged
from converter.straighten.fitting.coarse import coarse_figure, is_too_intricate, simplified
from converter.straighten.fitting.edges import Reach
from converter.straighten.fitting.fit import FitPrices
from converter.straighten.fitting.straightener import IMAGE_REACH, Straightener
from converter.straighten.outline.crests import find_crests
from converter.straighten.outline.hand import Hand
from converter.straighten.outline.symmetry import Symmetry, find_symmetry
from converter.straighten.search.candidate import Candidate, candidate
from converter.straighten.search.pool import best_of

SHORT_EDGE = 1.3  # of the least piece width: an edge shorter than this makes a piece too narrow
KEPT = 4  # alternatives
LOST_PART = 1.0  # of a limit: a part or counter that is meant to be seen, but is not in cloth, or is new


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is done for a figure. ``reaches`` of first fits: of curves and of shared lines, of size.

    ``work``: of the search, in samples beside an edge: the same for any glyph, so that none takes long.
    """

    reaches: Sequence[tuple[float, float]]
    truths: Sequence[float]  # times the wished price of truth: at which first fits are made
    work: int
    states: int  # of the search for seams, for each figure that is compared
    kept: int  # figures


EFFORTS: Mapping[str, Effort] = {
    "draft": Effort(((0.045, 0.05),), (1.0,), 1_000_000, 12, 1),
    "normal": Effort(((0.03, 0.02), (0.045, 0.05), (0.065, 0.05)), (1.0, 8.0), 60_000_000, 60, KEPT),
    "thorough": Effort(((0.03, 0.02), (0.045, 0.05), (0.065, 0.05)), (1.0, 3.0, 8.0), 600_000_000, 200, KEPT),
}


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


def alternatives(
    placed: Placed,
    hand: Hand,
    wish: Wish,
    treatment: Treatment = AS_IT_COMES,
    known: Sequence[Polygons] = (),
) -> tuple[tuple[Verdict, ...], Symmetry]:
    """Figures for the outline, the best first, and the symmetry that was kept.

    ``hand`` has the alphabet's measures; ``treatment``: of parts that other letters have, too; ``known``: figures
    that were found before. A glyph of far more edges than a block can have pieces gets a coarse figure.
    """
    outline, size, effort = placed.outline, placed.size, EFFORTS[wish.effort]
    if is_too_intricate(outline, size):
        target = _target(placed, Symmetry(), wish)
        coarse = judged(coarse_figure(outline, size, wish.min_piece_width), target, target.aim())
        return (coarse,) if coarse else (), Symmetry()
    symmetry = find_symmetry(outline, size)
    target = _target(placed, symmetry, wish, hand.heights, treatment)
    aim = target.aim()
    model = replace(placed, outline=polygons_of(treatment.model)) if treatment.model else placed
    figures = _fits(model, symmetry, hand.heights, wish, effort) or simplified(outline, symmetry, size)
    starts = [start for figure in (*known, *figures) if (start := _start(figure, aim, effort))]
    found = best_of(starts, aim, effort.work, effort.states) if starts else []
    figures = [
        figure for one in _unlike(found, effort) if (figure := figure_of(one.drawing, one.holes))
    ] or figures
    verdicts = [verdict for figure in figures if (verdict := judged(figure, target, aim))]
    if hand != Hand():
        verdicts = [in_hand(verdict, hand, target, aim) for verdict in verdicts]
    if len(verdicts) > 1:
        meant = seen(outline)
        verdicts = sorted((_as_seen(v, meant) for v in verdicts), key=lambda v: v.rank)
    if not verdicts:  # rings that touch, or edges side by side with nothing between them
        coarse = judged(coarse_figure(outline, size, wish.min_piece_width), target, aim)
        return (coarse,) if coarse else (), symmetry
    if effort.kept > 1:
        verdicts[0] = with_extra_seams(verdicts[0], target)
    return tuple(verdicts), symmetry


def as_given(placed: Placed, wish: Wish, figure: Polygons) -> tuple[tuple[Verdict, ...], Symmetry]:
    """A figure that was found elsewhere, judged for the outline; none where it is no valid figure."""
    symmetry = find_symmetry(placed.outline, placed.size)
    target = _target(placed, symmetry, wish)
    verdict = judged(figure, target, target.aim())
    return (with_extra_seams(verdict, target),) if verdict else (), symmetry


def _target(
    placed: Placed,
    symmetry: Symmetry,
    wish: Wish,
    heights: Sequence[float] = (),
    treatment: Treatment = AS_IT_COMES,
) -> Target:
    crests = find_crests(placed.outline, placed.size, heights)
    return Target(
        outline=placed.outline,
        width=placed.block_width,
        height=placed.block_height,
        size=placed.size,
        prices=Prices.of(wish.section_price),
        min_piece_width=wish.min_piece_width,
        truth=wish.truth,
        least_overlap=wish.least_overlap,
        farthest=wish.farthest * placed.size,
        sharpest=wish.sharpest_corner,
        crests=tuple(replace(crest, price=wish.level * crest.price) for crest in crests),
        symmetry=symmetry,
        budget=wish.budget,
        treatment=treatment,
    )


def _fits(
    placed: Placed, symmetry: Symmetry, heights: Sequence[float], wish: Wish, effort: Effort
) -> list[Polygons]:
    reaches = [Reach(curve, max(shared, wish.grid / placed.size)) for curve, shared in effort.reaches]
    widest = max(reach.curve for reach in reaches)
    straightener = Straightener(placed.outline, symmetry, placed.size, widest, heights)
    short = max(SHORT_EDGE * wish.min_piece_width, wish.grid)
    found: dict[Polygons, None] = {}
    for reach in reaches:
        for factor in effort.truths:
            shape = straightener.straighten(
                FitPrices(factor * wish.truth / placed.outline.area, 0.5, short), reach
            )
            if shape is not None:
                found[rings_of(shape)] = None
    return list(found)


def _start(figure: Polygons, aim: Aim, effort: Effort) -> Candidate | None:
    """A first figure with its cost; None where it is not symmetric as the outline is, nor nearly."""
    drawing = drawing_of(figure, aim.maps)
    if drawing is None:
        figure = symmetrised(figure, aim.maps, IMAGE_REACH * aim.size) or figure
        drawing = drawing_of(figure, aim.maps)
    return candidate(drawing, holes_of(figure), aim, effort.states) if drawing else None


def _unlike(found: Sequence[Candidate], effort: Effort) -> list[Candidate]:
    """The best first, then those that are better than all before them in pieces, sections or truth."""
    kept: list[Candidate] = []
    for one in found:
        if len(kept) < effort.kept and not any(_beats(other, one) for other in kept):
            kept.append(one)
    return kept


def _beats(a: Candidate, b: Candidate) -> bool:
    return (
        a.cost.pieces <= b.cost.pieces
        and a.cost.sections <= b.cost.sections
        and a.cost.overlap >= b.cost.overlap - 1e-4
        and a.cost.violation <= b.cost.violation + 1e-4
    )


def _as_seen(verdict: Verdict, meant: MultiPolygon) -> Verdict:
    """The verdict with what it costs that parts or counters are lost in cloth, or are new."""
    there = seen(cloth(verdict.plan.pieces))
    alike = all(where_unlike(kind(meant), kind(there)) is None for kind in (parts, counters))
    return verdict if alike else replace(verdict, violation=verdict.violation + LOST_PART)
