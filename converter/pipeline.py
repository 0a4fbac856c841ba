"""The whole way from a font to a pattern, on one screen.

    font file → outlines (font units) → placed outlines (mm) → straightened figure → seam tree
      → sections, order, joins → replay of the sewing → findings, status → pattern
"""

import traceback
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from fontTools.misc.filenames import userNameToFileName

from converter.fonts.choosing import ChosenGlyph
from converter.fonts.errors import GlyphError
from converter.fonts.loading import Font
from converter.fonts.outlines import Outline, read_outline
from converter.judge import (
    Case,
    findings,
    measure,
    missing_alternative,
    outline_findings,
    status_of,
    worst_first,
)
from converter.model import (
    BACKGROUND,
    FIGURE,
    Block,
    Fabric,
    Finding,
    Glyph,
    Licence,
    Metrics,
    Pattern,
    Source,
)
from converter.placement import Placed, Zones, place, zones
from converter.redesign.waivers import accept
from converter.settings import DETAILS, Settings
from converter.sewing.hairs import without_hairs
from converter.sewing.problem import Figure
from converter.straighten.alternatives import Wish, alternatives
from converter.straighten.chain import turns_of
from converter.straighten.figure import polygons_of, rings_of
from converter.straighten.hand import Hand, find_hand
from converter.straighten.judging import Verdict
from converter.straighten.symmetry import Symmetry, asymmetry, mirrored
from converter.verify import NotSewableError

# Of the cap height: the farthest a curve may be from its chords (0.02 mm in a 3 × 4 in block).
FLATTENING = 1 / 4000
# Pieces that it is worth that a figure needs no look, or no new drawing: one that is ready goes before one that is not.
A_LOOK: Mapping[str, float] = {"ready": 0.0, "review": 1.0, "redesign": 3.0}


@dataclass(frozen=True, slots=True)
class Job:
    """All that is needed to make one block, small enough to send to another process."""

    chosen: ChosenGlyph
    key: str
    outline: Outline | None
    damage: str
    zones: Zones
    hand: Hand
    settings: Settings


@dataclass(frozen=True, slots=True)
class Made:
    """One block with what is not in the pattern: the placed outline, other good figures, what went wrong.

    ``number``: which of the figures that were found the block is, from 1, as ``alternative`` in the settings counts.
    """

    glyph: Glyph
    guide: Figure = ()
    others: tuple[Glyph, ...] = ()
    log: str = ""
    number: int = 1

    @property
    def figures(self) -> tuple[Glyph, ...]:
        """All figures that were found, in the order of their numbers."""
        return *self.others[: self.number - 1], self.glyph, *self.others[self.number - 1 :]


@dataclass(frozen=True, slots=True)
class Conversion:
    """A finished run."""

    pattern: Pattern
    made: tuple[Made, ...]
    hand: Hand


def convert(
    font: Font,
    chosen: Sequence[ChosenGlyph],
    licence: Licence,
    settings: Settings,
    executor: Executor | None = None,
    on_done: Callable[[Made], None] = lambda made: None,
) -> Conversion:
    """Makes a pattern of the chosen glyphs; the result does not depend on the executor.

    ``on_done`` is told of each block as it is made, in the order asked for. Raises :class:`InputError` where
    something is set for a glyph that the font does not have.
    """
    settings.check_names(font)
    jobs, hand = _jobs(font, chosen, settings)
    made = []
    for block in _run(jobs, executor):
        on_done(block)
        made.append(block)
    width, height = settings.block
    widths = [m.glyph.metrics.block_width or width for m in made]
    pattern = Pattern(
        source=Source(font.file, font.sha256, font.family, font.style, licence),
        block=Block(max(widths, default=width), height, settings.seam_allowance),
        settings=settings.echo() | hand.measures() | {"axes": dict(font.axes)},
        fabrics={
            FIGURE: Fabric("letter", settings.figure_colour),
            BACKGROUND: Fabric("background", settings.background_colour),
        },
        glyphs=tuple(m.glyph for m in made),
    )
    return Conversion(pattern, tuple(made), hand)


def make_block(job: Job) -> Made:
    """One block from its outline. Never raises: what goes wrong becomes a finding of the glyph."""
    blank = Glyph(job.key, job.chosen.name, job.chosen.codepoints, job.chosen.text, "blank")
    if job.outline is None:
        return Made(_without_plan(blank, "outline-damaged", job.damage))
    if job.outline.kind != "outline":
        return Made(_without_plan(blank, "no-outline" if job.outline.kind == "no-outline" else "no-ink"))
    try:
        return _make_inked_block(job, blank, job.outline)
    except Exception as error:  # one bad glyph never ends a run
        return Made(_without_plan(blank, "unexpected-error", type(error).__name__), log=traceback.format_exc())


def _make_inked_block(job: Job, blank: Glyph, outline: Outline) -> Made:
    own = job.settings.of(job.chosen.name)
    placed = place(outline, job.settings.frame(own), job.zones)
    wish = _wish(job.settings, own.detail or job.settings.detail, own.min_piece_width)
    verdicts, symmetry = alternatives(placed, job.hand, wish)
    finish = partial(_finished, blank, outline, placed, symmetry, job.settings, wish.min_piece_width)
    # By what the figures are, not by what the designer accepts: the numbers that choose them must not change with that.
    found = [(verdict.cost, finish(verdict)) for verdict in verdicts]
    found.sort(key=lambda one: one[0] + A_LOOK[one[1].status])
    figures = [_accepted(figure, own.accept) for _, figure in found]
    wanted = own.alternative or 1
    first = min(wanted, len(figures)) - 1
    glyph, others = figures[first], [*figures[:first], *figures[first + 1 :]]
    if wanted > len(figures):
        glyph = _accepted(glyph, own.accept, missing_alternative(wanted, len(figures)))
    return Made(glyph, rings_of(placed.outline), tuple(others), number=first + 1)


def _finished(
    blank: Glyph, outline: Outline, placed: Placed, symmetry: Symmetry, settings: Settings,
    min_piece_width: float, verdict: Verdict,
) -> Glyph:  # fmt: skip
    """A planned figure, replayed and judged."""
    glyph = replace(blank, placement=placed.placement, figure=verdict.figure)
    try:
        plan = without_hairs(verdict.plan, placed.block_width, placed.block_height)
    except NotSewableError as error:
        return _without_plan(glyph, "not-sewable", str(error))
    shape = polygons_of(verdict.figure)
    case = Case(
        plan=plan,
        figure=shape,
        outline=placed.outline,
        block_width=placed.block_width,
        block_height=placed.block_height,
        size=placed.size,
        width_factor=placed.width_factor,
        asymmetry=asymmetry(shape, mirrored(shape, symmetry)) if symmetry.order > 1 else None,
        repairs=outline.repairs,
        min_piece_width=min_piece_width,
        limits=settings.limits,
    )
    metrics = measure(case)
    reasons = tuple(findings(case, metrics))
    return replace(
        glyph,
        status=status_of(reasons),
        reasons=reasons,
        pieces=plan.pieces,
        sections=plan.sections,
        joins=plan.joins,
        metrics=metrics,
    )


def _accepted(glyph: Glyph, accepted: Mapping[str, str], *more: Finding) -> Glyph:
    """The glyph with ``more`` findings, and with those that the designer accepts (id: reason) marked so."""
    reasons = accept((*glyph.reasons, *more), accepted)
    if more:
        reasons = worst_first(reasons)
    return replace(glyph, reasons=reasons, status=status_of(reasons))


def _without_plan(glyph: Glyph, kind: str, detail: str = "") -> Glyph:
    reasons = tuple(outline_findings(kind, detail))
    status = "blank" if kind == "no-ink" else status_of(reasons)
    return replace(glyph, status=status, reasons=reasons, metrics=Metrics())


def _wish(settings: Settings, detail: str, min_piece_width: float | None) -> Wish:
    return Wish(
        min_piece_width=min_piece_width or settings.min_piece_width,
        grid=settings.grid,
        section_price=settings.section_price,
        truth=DETAILS[detail].truth,
        level=DETAILS[detail].level,
        least_iou=settings.limits["overlap-review"] + 0.0007,
        most_hausdorff=settings.limits["distance-review"] * 0.99,
        sharpest_corner=settings.limits["sharp-corner"],
        budget=settings.budget,
    )


def _jobs(font: Font, chosen: Sequence[ChosenGlyph], settings: Settings) -> tuple[list[Job], Hand]:
    outlines: list[tuple[Outline | None, str]] = []
    for glyph in chosen:
        try:
            outlines.append((read_outline(font, glyph.name, font.cap_height * FLATTENING), ""))
        except GlyphError as error:
            outlines.append((None, str(error)))
    inked = [outline for outline, _ in outlines if outline is not None and outline.bounds is not None]
    run = zones(inked, font.cap_height, font.ascender, font.descender)
    frame = settings.frame()
    hand = find_hand(place(o, frame, run) for o in inked) if settings.fit == "together" else Hand()
    keys = _keys(glyph.name for glyph in chosen)
    jobs = [
        Job(glyph, key, outline, damage, run, hand, settings)
        for glyph, key, (outline, damage) in zip(chosen, keys, outlines, strict=True)
    ]
    return jobs, hand


def _keys(names: Iterable[str]) -> list[str]:
    """File names for glyph names, by the convention of UFO 3: safe where case is ignored."""
    keys: list[str] = []
    taken: set[str] = set()
    for name in names:
        key = userNameToFileName(name, existing=taken)
        taken.add(key.lower())
        keys.append(key)
    return keys


def _run(jobs: Sequence[Job], executor: Executor | None) -> Iterator[Made]:
    """The blocks in the order of their jobs. Outlines that turn most are begun first: else one that takes long, begun
    last, keeps a single process busy at the end."""
    if executor is None:
        yield from map(make_block, jobs)
        return
    order = sorted(range(len(jobs)), key=lambda k: (-_turning(jobs[k]), k))
    futures = {k: executor.submit(make_block, jobs[k]) for k in order}
    for k in range(len(jobs)):
        yield futures.pop(k).result()


def _turning(job: Job) -> float:
    """By how much an outline turns in all (radians): the more strokes and notches a letter has, the more."""
    polygons = job.outline.polygons if job.outline else ()
    return sum(float(np.abs(turns_of(np.array(ring))).sum()) for polygon in polygons for ring in polygon)
