"""The whole way from a font to a pattern, on one screen.

font file → outlines (font units) → placed outlines (mm) → straightened figure → seam tree
  → sections, order, joins → replay of the sewing → findings, status → pattern
"""

import traceback
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial

from fontTools.misc.filenames import userNameToFileName

from converter.composed import composed
from converter.crew import Crew
from converter.findings.case import Case
from converter.findings.judging import judge_glyph, status_of
from converter.findings.making import colours_merged, missing_alternative, outline_findings, repaired
from converter.findings.waivers import with_accepted
from converter.fonts.choosing import ChosenGlyph
from converter.fonts.errors import GlyphError
from converter.fonts.licence import refuse_restricted
from converter.fonts.loading import Font
from converter.fonts.outlines import Outline, read_outline
from converter.fonts.spacing import read_spacing
from converter.jobs import Company, Job, Made
from converter.model import (
    BACKGROUND,
    FIGURE,
    Block,
    Fabric,
    Glyph,
    Licence,
    Metrics,
    Pattern,
    Source,
)
from converter.placement import FLATTENING, Placed, place, zones
from converter.polygons import polygons_of, rings_of
from converter.rounds import Round, Work, make_again, make_all
from converter.settings import Settings
from converter.sewing.hairs import without_hairs
from converter.store import BlockStore
from converter.straighten.finish.alternatives import alternatives, as_given
from converter.straighten.finish.verdict import Verdict
from converter.straighten.finish.warm_up import PARTS
from converter.straighten.outline.hand import Hand, find_hand
from converter.straighten.outline.symmetry import Symmetry
from converter.unity import drawn_alike
from converter.verify import NotSewableError
from converter.wish import wish_of

# Pieces that it is worth that a figure needs no look, or no new drawing: one that is ready goes before one that is not.
A_LOOK: Mapping[str, float] = {"ready": 0.0, "review": 1.0, "redesign": 3.0}


NO_FIGURE = "no straight-edged figure of it has pieces that can be sewn together"


@dataclass(frozen=True, slots=True)
class Conversion:
    """A finished run, or the best that there was when it was stopped (``stopped_by``)."""

    pattern: Pattern
    made: tuple[Made, ...]
    hand: Hand
    stopped_by: KeyboardInterrupt | None = None


def convert(
    font: Font,
    chosen: Sequence[ChosenGlyph],
    licence: Licence,
    settings: Settings,
    executor: Executor | None = None,
    on_done: Callable[[Made], None] = lambda made: None,
    *,
    crew: Crew | None = None,
    store: BlockStore | None = None,
    on_round: Callable[[Round], None] = lambda begun: None,
    company: Company | None = None,
) -> Conversion:
    """Makes a pattern of the chosen glyphs; the result does not depend on who makes the blocks, nor on the ``store``,
    from which it takes those that were made before, and to which it adds.

    The blocks are made by an ``executor``, or by a ``crew`` where more is to be said of it. ``on_done`` is told of each
    block as it is made, in whatever order; ``on_round`` of what begins, once where the effort is for all glyphs, else
    of the drafts and of what is done for those that are worth it. A run of the second kind that Ctrl-C stops gives the
    best that it has so far. ``company``: a set that the blocks join: they stand as its blocks do, and follow them.

    Raises :class:`InputError` where something is set for a glyph that the font does not have, and for a
    restricted licence without the user's word.

    >>> from pathlib import Path
    >>> from converter import choose_glyphs, judge_licence, load_font
    >>> path = Path("sample_fonts/jost/jost-latin-800-normal.woff2")
    >>> font = load_font(path)
    >>> licence = judge_licence(font, path.parent)
    >>> done = convert(font, choose_glyphs(font, text="IL").glyphs, licence, Settings(detail="plain"))
    >>> [(glyph.text, glyph.status) for glyph in done.pattern.glyphs]
    [('I', 'ready'), ('L', 'ready')]
    """
    refuse_restricted(font, licence)
    settings.check_names(font)
    jobs, hand = _jobs(font, chosen, settings, company)
    work = Work(bare_block, dressed, PARTS, crew or Crew(executor), store, on_done, on_round)
    best, parts, stopped_by = _all_made(jobs, settings, work, company)
    made = [best.get(k) or Made(_without_plan(_blank(job), "not-made")) for k, job in enumerate(jobs)]
    width, height = settings.block
    widths = [m.glyph.metrics.block_width or width for m in made]
    pattern = Pattern(
        source=Source(font.file, font.sha256, font.family, font.style, licence),
        block=Block(max(widths, default=width), height, settings.allowance, settings.piece_allowance),
        settings=settings.echo() | hand.measures() | {"axes": dict(font.axes), "parts": parts},
        fabrics={
            FIGURE: Fabric("letter", settings.figure_colour),
            BACKGROUND: Fabric("background", settings.background_colour),
        },
        glyphs=tuple(m.glyph for m in made),
        spacing=read_spacing(font, {m.glyph.key: (m.glyph.name, m.glyph.codepoints) for m in made}),
    )
    return Conversion(pattern, tuple(made), hand, stopped_by)


def convert_some(
    font: Font,
    chosen: Sequence[ChosenGlyph],
    settings: Settings,
    names: Collection[str],
    executor: Executor | None = None,
    on_done: Callable[[Made], None] = lambda made: None,
    store: BlockStore | None = None,
) -> tuple[Made, ...]:
    """Some glyphs of a run, by their names, as :func:`convert` would make them; ``chosen`` are all of it.

    Where letters stand together they share parts, so that all of them are looked at: in the ``store``, which has the
    others. Without one, only the measures are shared. Raises :class:`InputError` as :func:`convert` does.
    """
    settings.check_names(font)
    jobs, _ = _jobs(font, chosen, settings)
    work = Work(bare_block, dressed, PARTS, Crew(executor), store, on_done, lambda begun: None)
    wanted = [k for k, job in enumerate(jobs) if job.chosen.name in names]
    if store is None or settings.fit == "each" or settings.effort == "draft":
        best = make_again(settings.effort, work, jobs, wanted)
    else:
        best, _, _ = _all_made(jobs, replace(settings, effort_for="all"), work)
    return tuple(best[k] for k in wanted)


def _all_made(
    jobs: Sequence[Job], settings: Settings, work: Work, company: Company | None = None
) -> tuple[dict[int, Made], list[dict[str, object]], KeyboardInterrupt | None]:
    """The blocks by the numbers of their jobs, the parts that letters share, and what stopped the run."""
    best, stopped_by = make_all(jobs, settings, work)
    if settings.fit == "each" or stopped_by is not None:
        return best, [], stopped_by
    parts: list[dict[str, object]] = []
    again = partial(make_again, settings.effort, work)
    everyone = [*jobs, *(company.jobs if company else ())]
    leading = range(len(jobs), len(everyone))
    best |= zip(leading, company.made if company else (), strict=True)
    try:
        if settings.effort != "draft":
            best, parts = drawn_alike(everyone, best, again, settings.parts, leading)
        best = composed(everyone, best, again, dressed, leading)
    except KeyboardInterrupt as stop:
        if settings.effort_for == "all":
            raise
        stopped_by = stop
    return {k: best[k] for k in best if k not in leading}, parts, stopped_by


def make_block(job: Job) -> Made:
    """One block from its outline. Never raises: what goes wrong becomes a finding of the glyph."""
    return dressed(bare_block(job), job)


def bare_block(job: Job) -> Made:
    """The block as it follows from the outline alone, the first figure chosen, whatever glyph it is and whatever the
    designer chose or accepts: what a store keeps. Never raises."""
    blank = _blank(job)
    if job.outline is None:
        return Made(_without_plan(blank, "outline-damaged", job.damage))
    if job.outline.kind != "outline":
        return Made(_without_plan(blank, "no-outline" if job.outline.kind == "no-outline" else "no-ink"))
    try:
        return _make_inked_block(job, blank, job.outline)
    except Exception as error:  # one bad glyph never ends a run
        return Made(
            _without_plan(blank, "unexpected-error", type(error).__name__), log=traceback.format_exc()
        )


def dressed(made: Made, job: Job) -> Made:
    """The bare block as that glyph's, with the figure that the designer chose, and what she accepts."""
    own, which = job.settings.of(job.chosen.name), job.chosen
    figures = [
        replace(figure, key=job.key, name=which.name, codepoints=which.codepoints, text=which.text)
        for figure in made.figures
    ]
    if not made.size:  # never placed: nothing to choose from
        return replace(made, glyph=figures[0])
    figures = [with_accepted(figure, own.accept) for figure in figures]
    wanted = own.alternative or 1
    first = min(wanted, len(figures)) - 1
    glyph, others = figures[first], [*figures[:first], *figures[first + 1 :]]
    if wanted > len(figures):
        glyph = with_accepted(glyph, own.accept, missing_alternative(wanted, len(figures)))
    return replace(made, glyph=glyph, others=tuple(others), number=first + 1)


def _blank(job: Job) -> Glyph:
    return Glyph(job.key, job.chosen.name, job.chosen.codepoints, job.chosen.text, "blank")


def _make_inked_block(job: Job, blank: Glyph, outline: Outline) -> Made:
    settings = job.settings.for_glyph(job.chosen.name)
    placed = place(outline, settings.frame(job.settings.of(job.chosen.name)), job.zones)
    wish = wish_of(settings)
    verdicts, symmetry = (
        as_given(placed, wish, job.given) if job.given
        else alternatives(placed, job.hand, wish, job.treatment, job.known)
    )  # fmt: skip
    finish = partial(_finished, blank, outline, placed, symmetry, settings)
    # By what the figures are, not by what the designer accepts: the numbers that choose them must not change with that.
    found = [(verdict.rank, finish(verdict)) for verdict in verdicts]
    if not found:
        return Made(_without_plan(replace(blank, placement=placed.placement), "not-sewable", NO_FIGURE))
    found.sort(key=lambda one: (one[0][0], one[0][1] + A_LOOK[one[1].status]))
    first, *others = (figure for _, figure in found)
    return Made(first, rings_of(placed.outline), tuple(others), size=placed.size)


def _finished(
    blank: Glyph, outline: Outline, placed: Placed, symmetry: Symmetry, settings: Settings,
    verdict: Verdict,
) -> Glyph:  # fmt: skip
    """A planned figure, replayed and judged."""
    glyph = replace(blank, placement=placed.placement, figure=verdict.figure)
    try:
        plan = without_hairs(verdict.plan, placed.block_width, placed.block_height)
    except NotSewableError as error:
        return _without_plan(glyph, "not-sewable", str(error))
    case = Case(
        plan=plan,
        figure=polygons_of(verdict.figure),
        outline=placed.outline,
        block_width=placed.block_width,
        block_height=placed.block_height,
        size=placed.size,
        width_factor=placed.width_factor,
        symmetry=symmetry,
        repairs=(*map(repaired, outline.repairs), *colours_merged(outline.colours)),
        min_piece_width=settings.min_piece_width,
        limits=settings.limits,
        units=settings.speaks,
        in_line=settings.fit == "together",
    )
    return judge_glyph(glyph, case)


def _without_plan(glyph: Glyph, kind: str, detail: str = "") -> Glyph:
    reasons = tuple(outline_findings(kind, detail))
    status = "blank" if kind == "no-ink" else status_of(reasons)
    return replace(glyph, status=status, reasons=reasons, metrics=Metrics())


def _jobs(
    font: Font, chosen: Sequence[ChosenGlyph], settings: Settings, company: Company | None = None
) -> tuple[list[Job], Hand]:
    outlines: list[tuple[Outline | None, str]] = []
    for glyph in chosen:
        try:
            outlines.append((read_outline(font, glyph.name, font.cap_height * FLATTENING), ""))
        except GlyphError as error:
            outlines.append((None, str(error)))
    inked = [outline for outline, _ in outlines if outline is not None and outline.bounds is not None]
    run = zones(inked, font.cap_height, font.ascender, font.descender)
    frame = settings.frame()
    if company is not None and company.zones is not None:
        run, hand = company.zones, company.hand
    else:
        hand = find_hand(place(o, frame, run) for o in inked) if settings.fit == "together" else Hand()
    keys = _keys((glyph.name for glyph in chosen), company.keys if company else ())
    jobs = [
        Job(glyph, key, outline, damage, run, hand, settings)
        for glyph, key, (outline, damage) in zip(chosen, keys, outlines, strict=True)
    ]
    return jobs, hand


def _keys(names: Iterable[str], there: Iterable[str] = ()) -> list[str]:
    """File names for glyph names, by the convention of UFO 3: safe where case is ignored."""
    keys: list[str] = []
    taken = {key.lower() for key in there}
    for name in names:
        key = userNameToFileName(name, existing=taken)
        taken.add(key.lower())
        keys.append(key)
    return keys
