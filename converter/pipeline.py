"""The whole way from a font to a pattern, on one screen.

font file → outlines (font units) → placed outlines (mm) → straightened figure → seam tree
  → sections, order, joins → replay of the sewing → findings, status → pattern
"""

import traceback
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future, wait
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from fontTools.misc.filenames import userNameToFileName

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
from converter.model import (
    BACKGROUND,
    FIGURE,
    Block,
    Fabric,
    Glyph,
    Licence,
    Metrics,
    Pattern,
    Polygons,
    Source,
)
from converter.placement import Placed, Zones, place, zones
from converter.polygons import polygons_of, rings_of
from converter.settings import DETAILS, Settings
from converter.sewing.hairs import without_hairs
from converter.straighten.finish.alternatives import Wish, alternatives
from converter.straighten.finish.verdict import Verdict
from converter.straighten.finish.warm_up import PARTS
from converter.straighten.outline.chain import turns_of
from converter.straighten.outline.hand import Hand, find_hand
from converter.straighten.outline.symmetry import Symmetry
from converter.verify import NotSewableError

# Of the cap height: the farthest a curve may be from its chords (0.02 mm in a 3 × 4 in block).
FLATTENING = 1 / 4000
# Pieces that it is worth that a figure needs no look, or no new drawing: one that is ready goes before one that is not.
A_LOOK: Mapping[str, float] = {"ready": 0.0, "review": 1.0, "redesign": 3.0}


NO_FIGURE = "no straight-edged figure of it has pieces that can be sewn together"


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
    ``size``: what limits refer to, in mm, as in :class:`converter.placement.Placed`; 0 where nothing was placed.
    """

    glyph: Glyph
    guide: Polygons = ()
    others: tuple[Glyph, ...] = ()
    log: str = ""
    number: int = 1
    size: float = 0.0

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

    ``on_done`` is told of each block as it is made, in whatever order and by whatever thread.
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
    jobs, hand = _jobs(font, chosen, settings)
    made = [*_run(jobs, executor, on_done)]
    width, height = settings.block
    widths = [m.glyph.metrics.block_width or width for m in made]
    pattern = Pattern(
        source=Source(font.file, font.sha256, font.family, font.style, licence),
        block=Block(max(widths, default=width), height, settings.allowance, settings.piece_allowance),
        settings=settings.echo() | hand.measures() | {"axes": dict(font.axes)},
        fabrics={
            FIGURE: Fabric("letter", settings.figure_colour),
            BACKGROUND: Fabric("background", settings.background_colour),
        },
        glyphs=tuple(m.glyph for m in made),
        spacing=read_spacing(font, {m.glyph.key: (m.glyph.name, m.glyph.codepoints) for m in made}),
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
        return Made(
            _without_plan(blank, "unexpected-error", type(error).__name__), log=traceback.format_exc()
        )


def _make_inked_block(job: Job, blank: Glyph, outline: Outline) -> Made:
    own, settings = job.settings.of(job.chosen.name), job.settings.for_glyph(job.chosen.name)
    placed = place(outline, settings.frame(own), job.zones)
    verdicts, symmetry = alternatives(placed, job.hand, _wish(settings))
    finish = partial(_finished, blank, outline, placed, symmetry, settings)
    # By what the figures are, not by what the designer accepts: the numbers that choose them must not change with that.
    found = [(verdict.rank, finish(verdict)) for verdict in verdicts]
    if not found:
        return Made(_without_plan(replace(blank, placement=placed.placement), "not-sewable", NO_FIGURE))
    found.sort(key=lambda one: (one[0][0], one[0][1] + A_LOOK[one[1].status]))
    figures = [with_accepted(figure, own.accept) for _, figure in found]
    wanted = own.alternative or 1
    first = min(wanted, len(figures)) - 1
    glyph, others = figures[first], [*figures[:first], *figures[first + 1 :]]
    if wanted > len(figures):
        glyph = with_accepted(glyph, own.accept, missing_alternative(wanted, len(figures)))
    return Made(glyph, rings_of(placed.outline), tuple(others), number=first + 1, size=placed.size)


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
    )
    return judge_glyph(glyph, case)


def _without_plan(glyph: Glyph, kind: str, detail: str = "") -> Glyph:
    reasons = tuple(outline_findings(kind, detail))
    status = "blank" if kind == "no-ink" else status_of(reasons)
    return replace(glyph, status=status, reasons=reasons, metrics=Metrics())


def _wish(settings: Settings) -> Wish:
    detail = DETAILS[settings.detail]
    return Wish(
        min_piece_width=settings.min_piece_width,
        grid=settings.grid,
        section_price=settings.section_price,
        truth=detail.truth,
        level=detail.level,
        least_overlap=settings.limits["overlap-review"] + 0.0007,
        farthest=settings.limits["distance-review"] * 0.99,
        sharpest_corner=settings.limits["sharp-corner"],
        budget=settings.budget,
        effort=settings.effort,
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


def _run(jobs: Sequence[Job], executor: Executor | None, on_done: Callable[[Made], None]) -> Iterator[Made]:
    """The blocks in the order of their jobs. Outlines that turn most are begun first: else one that takes long, begun
    last, keeps a single process busy at the end."""
    if executor is None:
        for job in jobs:
            block = make_block(job)
            on_done(block)
            yield block
        return

    def tell(future: Future[Made]) -> None:
        if not future.cancelled() and future.exception() is None:
            on_done(future.result())

    wait([executor.submit(part) for part in PARTS])  # on a machine's first run each process compiles a part
    order = sorted(range(len(jobs)), key=lambda k: (-_turning(jobs[k]), k))
    futures = {k: executor.submit(make_block, jobs[k]) for k in order}
    for future in futures.values():
        future.add_done_callback(tell)  # not as results are taken: the one asked for first may take longest
    for k in range(len(jobs)):
        yield futures.pop(k).result()


def _turning(job: Job) -> float:
    """By how much an outline turns in all (radians): the more strokes and notches a letter has, the more."""
    polygons = job.outline.polygons if job.outline else ()
    return sum(float(np.abs(turns_of(np.array(ring))).sum()) for polygon in polygons for ring in polygon)
