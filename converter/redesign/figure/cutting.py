"""A block cut anew from its straight-edged figure: seams, pieces, sections, order, joins, replay, findings."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from shapely.geometry import MultiPolygon

from converter.budgets.drawings import PIECES, SHAPE_EDGES
from converter.findings.making import edited
from converter.geometry import centroid, convex_width
from converter.measures import measured_text, place_text
from converter.model import BACKGROUND, FIGURE, Finding, Glyph, Metrics, Polygons, Ring
from converter.redesign.figure.painting import Figures, crossings, painted, together
from converter.redesign.ground import Ground, repairs_of
from converter.redesign.rebuild import keep_numbers
from converter.redesign.tolerances import TOLERANCES
from converter.sewing.hairs import without_hairs
from converter.sewing.plan import Plan, inside, plan_block
from converter.sewing.problem import edges_of
from converter.sewing.recognise import Locked, recognise
from converter.sewing.trees import PIECE
from converter.straighten.finish.extra_seams import with_extra_seams
from converter.straighten.finish.verdict import Target, Verdict, pieces_violation, states_for
from converter.straighten.outline.symmetry import Symmetry
from converter.verify import NotSewableError, verify_block


@dataclass(frozen=True, slots=True)
class Planned:
    """A figure with its plan, or with the faults for which it has none. ``figure``: all that is not background."""

    figure: Polygons
    plan: Plan | None = None
    faults: tuple[Finding, ...] = ()


def cut_figure(figures: Figures, ground: Ground) -> Glyph:
    """The block cut anew from what is drawn of each fabric, judged as a check judges it.

    ``figures``: of each fabric its closed polygons (mm on the block), those on top last; what is of the background
    covers what lies under it. Edges are kept exactly; those that miss another's line by a hair are put on it, and
    what lies beyond the block is left out. Takes some hundredths of a second, with all work bounded.

    Where the figure cannot be sewn, the glyph has no pieces, and its reasons say why and where.

    >>> from tests.samples import sample_pattern
    >>> ground = Ground.of(sample_pattern(), "L_")
    >>> ell = ((20, 10), (32, 10), (32, 58), (50, 58), (50, 70), (20, 70))
    >>> glyph = cut_figure([("figure", ((ell,),))], ground)
    >>> glyph.status, glyph.metrics.pieces, glyph.metrics.sections
    ('ready', 7, 1)
    """
    planned = plan_figure(figures, ground)
    if planned.plan is not None:
        return ground.judged(keep_numbers(planned.plan, ground.glyph, ground.prices), planned.figure)
    note = edited("This block was drawn or edited by hand and cannot be sewn as drawn.")
    return replace(
        ground.glyph,
        status="redesign",
        reasons=(*planned.faults, *repairs_of(ground.glyph), note),
        figure=planned.figure,
        pieces=(),
        sections=(),
        joins=(),
        metrics=Metrics(width_factor=ground.glyph.metrics.width_factor, block_width=ground.width),
    )


def plan_figure(figures: Figures, ground: Ground) -> Planned:
    """The cheapest way found of sewing what is drawn of each fabric; see :func:`cut_figure`."""
    edges = sum(len(ring) for _, polygons in figures for rings in polygons for ring in rings)
    if edges > SHAPE_EDGES.most:
        return Planned((), None, (too_intricate(edges),))
    crossing = tuple(crossings(figures, ground.settings.speaks))
    if crossing:
        return Planned(tuple(p for fabric, ps in figures if fabric != BACKGROUND for p in ps), None, crossing)
    seen = painted(figures, ground.width, ground.height)
    figure = together(seen) if seen else ()
    try:
        plan = _plan(seen, ground)
        slivers = tuple(_slivers(plan, ground))
        return Planned(figure, None if slivers else _as_drawn(plan, figure, ground), slivers)
    except NotSewableError as error:
        said = f"The figure cannot be sewn: {error}."
        fault = Finding(
            "not-sewable", "redesign", said, where=error.where, hint="Move the edges there apart."
        )
        return Planned(figure, None, (fault,))


def too_intricate(edges: int) -> Finding:
    """The finding of a figure of more edges than can be worked out."""
    return Finding(
        "shape-intricate", "redesign",
        f"The figure has {edges} edges, more than the {SHAPE_EDGES.most} that can be worked out.",
        float(edges), float(SHAPE_EDGES.most), hint="Draw it more simply.",
    )  # fmt: skip


def _plan(seen: Mapping[str, Polygons], ground: Ground) -> Plan:
    edges = tuple(polygon for polygons in seen.values() for polygon in polygons)
    budget = states_for(len(edges_of(edges)), ground.settings.budget)

    def fabric_of(ring: Ring) -> str:
        middle = centroid(ring)
        return next((fabric for fabric, polygons in seen.items() if inside(polygons, middle)), BACKGROUND)

    least = ground.settings.min_piece_width
    size = ground.width, ground.height
    plan = plan_block(edges, *size, ground.prices, budget, (), least, fabric_of)
    if set(seen) == {FIGURE} and len(plan.sections) > 1:
        target = _target(ground, budget)
        verdict = Verdict(edges, plan, 0.0, 0.0, pieces_violation(plan, target), plan.cost / PIECE, 0.0)
        plan = with_extra_seams(verdict, target).plan
    if len(plan.pieces) > PIECES.most:
        raise NotSewableError(f"it takes {len(plan.pieces)} pieces, more than {PIECES}")
    return without_hairs(plan, *size)


def _as_drawn(plan: Plan, figure: Polygons, ground: Ground) -> Plan:
    """The plan as it is found again from its seams alone: so that a block is one, drawn by its figure or its seams."""
    rings, fabrics = [p.polygon for p in plan.pieces], [p.fabric for p in plan.pieces]
    size = ground.width, ground.height
    again = recognise(rings, fabrics, figure, *size, ground.prices, ground.settings.budget)
    if isinstance(again, Locked):  # cannot be: the plan is a tree of cuts
        return plan
    verify_block(again.pieces, again.sections, again.joins, *size)
    least = min(again.lower_bound, plan.lower_bound)  # without hairs, nothing is proved
    return replace(again, complete=again.complete and plan.complete, lower_bound=least)


def _target(ground: Ground, budget: int) -> Target:
    """What seams are added for: pieces and sections alone, for the figure stays."""
    return Target(
        outline=MultiPolygon(), width=ground.width, height=ground.height, size=ground.size, prices=ground.prices,
        min_piece_width=ground.settings.min_piece_width, truth=0.0, least_overlap=0.0, farthest=0.0,
        sharpest=ground.settings.limits["sharp-corner"], crests=(), symmetry=Symmetry(), budget=budget,
    )  # fmt: skip


def _slivers(plan: Plan, ground: Ground) -> Iterator[Finding]:
    for piece in plan.pieces:
        width, place = convex_width(piece.polygon), centroid(piece.polygon)
        if width < TOLERANCES.sliver:
            units = ground.settings.speaks
            yield Finding(
                "piece-sliver", "redesign",
                f"The piece at {place_text(*place, units)} is a sliver {measured_text(width, units)} wide.",
                width, TOLERANCES.sliver, place, None, "Move the edges beside it apart, or on to one line.",
            )  # fmt: skip
