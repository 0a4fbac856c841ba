"""The rounds in which blocks are made: what was made before, then the rest; or drafts of all, then care for some."""

from collections.abc import Callable, Sequence
from concurrent.futures import wait
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from converter.crew import Crew, work
from converter.findings.judging import status_of
from converter.findings.making import outline_findings
from converter.jobs import Job, Made
from converter.model import STATUSES, Glyph
from converter.settings import Effort, Settings
from converter.store import BlockStore
from converter.straighten.outline.chain import turns_of
from converter.triage import Triage, triage

SENT_TO_LOOK = 32  # blocks looked for in the store at once: far quicker than making one


@dataclass(frozen=True, slots=True)
class Round:
    """What begins: so many blocks at an effort, of which so many were made before.

    ``triage``: of the drafts, where a round goes by it.
    """

    effort: Effort
    blocks: int
    found: int
    triage: Triage | None = None


@dataclass(frozen=True, slots=True)
class Work:
    """How blocks are made, by whom, and who is told.

    ``make`` gives a bare block, to be kept; ``dress`` makes it the glyph's own. ``prepare``: what each process does
    once in a machine's life.
    """

    make: Callable[[Job], Made]
    dress: Callable[[Made, Job], Made]
    prepare: Sequence[Callable[[], None]]
    crew: Crew
    store: BlockStore | None
    on_done: Callable[[Made], None]
    on_round: Callable[[Round], None]


def make_all(
    jobs: Sequence[Job], settings: Settings, how: Work
) -> tuple[dict[int, Made], KeyboardInterrupt | None]:
    """The blocks by the numbers of their jobs, and what stopped the run.

    Where the effort is only for the promising, a run that is stopped gives the best that there is; with
    nothing made, or in any other case, it raises.
    Which are promising, their drafts say, and nothing else.
    """
    best: dict[int, Made] = {}
    everything = range(len(jobs))
    if settings.effort_for == "all":
        _round(jobs, everything, settings.effort, how, best)
        return best, None
    try:
        _round(_at("draft", jobs, settings), everything, "draft", how, best)
        sorted_out = triage([best[k].glyph for k in everything])
        _round(
            _at(settings.effort, jobs, settings), sorted_out.promising, settings.effort, how, best, sorted_out
        )
    except KeyboardInterrupt as stop:
        if not best:
            raise
        return best, stop
    return best, None


def make_again(effort: Effort, how: Work, jobs: Sequence[Job], chosen: Sequence[int]) -> dict[int, Made]:
    """The blocks of the ``chosen`` jobs, of glyphs that have a block already, by their numbers."""
    best: dict[int, Made] = {}
    quiet = replace(how, on_round=lambda begun: how.on_round(replace(begun, found=0)))  # told once is enough
    _round(jobs, chosen, effort, quiet, best)
    return best


def _at(effort: Effort, jobs: Sequence[Job], settings: Settings) -> list[Job]:
    its = replace(settings, effort=effort)
    return [replace(job, settings=its) for job in jobs]


def _round(
    jobs: Sequence[Job], chosen: Sequence[int], effort: Effort, how: Work, best: dict[int, Made],
    sorted_out: Triage | None = None,
) -> None:  # fmt: skip
    """Puts the ``chosen`` jobs' blocks among the ``best``: what was made before, then the rest."""

    def take(k: int, made: Made) -> None:
        dressed = how.dress(made, jobs[k])
        if k not in best or STATUSES.index(dressed.glyph.status) >= STATUSES.index(best[k].glyph.status):
            best[k] = dressed
        how.on_done(dressed)

    before = _made_before(jobs, chosen, how) if how.store else {}
    how.on_round(Round(effort, len(chosen), len(before), sorted_out))
    for k, made in before.items():
        take(k, made)
    # Outlines that turn most are begun first: else one that takes long, begun last, keeps one process busy at the end.
    left = sorted((k for k in chosen if k not in before), key=lambda k: (-_turning(jobs[k]), k))
    if not left:
        return
    crew = how.crew
    if crew.executor is not None and not crew.is_far:
        wait([crew.executor.submit(part) for part in how.prepare])
    near, far = (None, how.store) if crew.is_far else (how.store, None)

    def come(k: int, made: Made) -> None:
        if far is not None:
            far.keep(jobs[left[k]], made)
        take(left[k], made)

    work(crew, partial(_make, how.make, near), [jobs[k] for k in left], come, _lost)


def _make(make: Callable[[Job], Made], store: BlockStore | None, job: Job) -> Made:
    """A block, kept as soon as it is there: whatever becomes of the run, it is not made twice."""
    made = make(job)
    if store is not None:
        store.keep(job, made)
    return made


def _lost(job: Job) -> Made:
    """What becomes of a block at which one worker after the other died."""
    reasons = tuple(outline_findings("unexpected-error", "whoever was at it died"))
    glyph = Glyph(
        job.key, job.chosen.name, job.chosen.codepoints, job.chosen.text, status_of(reasons), reasons
    )
    return Made(glyph, log="Workers died, one after the other, while this block was made.\n")


def _made_before(jobs: Sequence[Job], chosen: Sequence[int], how: Work) -> dict[int, Made]:
    """What the store has, by the numbers of the jobs."""
    assert how.store is not None
    crew = Crew() if how.crew.is_far else replace(how.crew, batch=SENT_TO_LOOK)
    there: dict[int, Made] = {}

    def come(k: int, made: Made | None) -> None:
        if made is not None:
            there[chosen[k]] = made

    work(crew, how.store.find, [jobs[k] for k in chosen], come, lambda job: None)
    return {k: there[k] for k in chosen if k in there}


def _turning(job: Job) -> float:
    """By how much an outline turns in all (radians): the more strokes and notches a letter has, the more."""
    polygons = job.outline.polygons if job.outline else ()
    return sum(float(np.abs(turns_of(np.array(ring))).sum()) for polygon in polygons for ring in polygon)
