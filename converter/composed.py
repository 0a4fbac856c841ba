"""Letters composed of what other letters have whole: a letter with an accent is its base letter's figure, moved, and
the accent's; the dots of i, j, ! and ? have one figure.

A base letter leads, and so do blocks that stand already. What has no lead gets, of the figures that its letters found,
the one with which they are sewn best. A letter that cannot be sewn so keeps its own figure, with a note.
"""

import unicodedata
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from shapely.geometry import MultiPolygon

from converter.findings.judging import status_of, worst_first
from converter.findings.making import MISSING_ALTERNATIVE, not_composed
from converter.jobs import Job, Made
from converter.model import Glyph, Metrics, Polygons
from converter.polygons import polygons_of
from converter.settings import DETAILS, Settings
from converter.straighten.together.islands import Island, Place, islands_of, same_islands, shifted

MOST_TRIED = 3  # figures of one island
DECIMALS = 5  # of a mm: figures that agree so far are one
MOST_NAMED = 8  # letters, in a note

Again = Callable[[Sequence[Job], Sequence[int]], Mapping[int, Made]]
Dress = Callable[[Made, Job], Made]
Islands = Mapping[tuple[int, int], Island]  # where each is, by letter and number of the outline's polygon


def composed(
    jobs: Sequence[Job], best: Mapping[int, Made], again: Again, dress: Dress, leading: Collection[int] = ()
) -> dict[int, Made]:
    """The blocks, by the numbers of their jobs, composed where they can be.

    ``again`` makes blocks of jobs whose figures are given, ``dress`` makes a block the glyph's own; ``leading``: blocks
    that stay as they are, and that the others follow.
    """
    outlines = {k: polygons_of(made.guide) for k, made in sorted(best.items()) if made.figures[0].pieces}
    run = _Run(jobs, best, again, frozenset(leading), {k: o for k, o in outlines.items() if len(o.geoms)})
    if not run.outlines:
        return dict(best)
    groups = same_islands(run.outlines, best[min(run.outlines)].size)
    settled: dict[tuple[int, int], Island] = {}
    for group in groups:
        if (lead := run.lead(group)) is not None:
            settled |= _everywhere(group, run.drawn(lead))
    rest = [group for group in groups if (group[0].letter, group[0].number) not in settled]
    settled |= run.chosen(rest, settled)
    figures = run.figures(run.outlines.keys(), settled)
    run.make(figures.items())
    done = dict(best)
    for k, figure in figures.items():
        if figure != best[k].glyph.figure:
            done[k] = dress(_taken(best[k], run.tried[k, figure], run.others(k, groups)), jobs[k])
    return done


def _everywhere(group: Sequence[Place], island: Island) -> dict[tuple[int, int], Island]:
    """An island at the origin, moved to all places of its group."""
    return {(place.letter, place.number): shifted(island, place.x, place.y) for place in group}


def _taken(own: Made, glyph: Glyph, others: str) -> Made:
    """The composed block in the place of the letter's own first figure, which becomes the last; or its own ones, with a
    note, where it cannot be sewn. So the numbers of the others, by which a designer chooses, stay."""
    figures = [_unasked(figure) for figure in own.figures]
    if glyph.pieces and (glyph.status != "redesign" or figures[0].status == "redesign"):
        return replace(own, glyph=glyph, others=(*figures[1:], figures[0]), number=1)
    note = not_composed(others, glyph.reasons[0].message)
    first, *rest = (replace(figure, reasons=worst_first((*figure.reasons, note))) for figure in figures)
    return replace(own, glyph=first, others=tuple(rest), number=1)


def _unasked(figure: Glyph) -> Glyph:
    """A figure as it was before the designer's choice of one was looked for."""
    reasons = tuple(reason for reason in figure.reasons if reason.id != MISSING_ALTERNATIVE)
    return (
        replace(figure, reasons=reasons, status=status_of(reasons)) if reasons != figure.reasons else figure
    )


def _given(job: Job, figure: Polygons) -> Job:
    """The job of planning and judging a given figure."""
    name = job.chosen.name
    plain = {**job.settings.glyphs, name: replace(job.settings.of(name), alternative=None)}
    return replace(job, given=figure, settings=replace(job.settings, glyphs=plain))


def _rounded(islands: Iterable[Island]) -> list[tuple[tuple[tuple[float, float], ...], ...]]:
    """The islands as they are compared: each ring begun at its first corner in order."""
    return [
        tuple(_from_least([(round(x, DECIMALS), round(y, DECIMALS)) for x, y in ring]) for ring in island)
        for island in islands
    ]


def _from_least(ring: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    k = ring.index(min(ring))
    return (*ring[k:], *ring[:k])


def _cost(settings: Settings, metrics: Metrics) -> float:
    """What a block costs, in pieces."""
    truth = DETAILS[settings.detail].truth * (1 - (metrics.iou or 0.0))
    return metrics.pieces + settings.section_price * metrics.sections + truth


@dataclass(frozen=True)
class _Run:
    """Blocks that have an outline, and what came of figures that were tried."""

    jobs: Sequence[Job]
    best: Mapping[int, Made]
    again: Again
    leading: frozenset[int]
    outlines: Mapping[int, MultiPolygon]
    own: dict[int, list[Island]] = field(default_factory=dict)  # where the figure has the outline's parts
    tried: dict[tuple[int, Polygons], Glyph] = field(default_factory=dict)
    by_code: dict[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for k, outline in self.outlines.items():
            glyph = self.best[k].glyph
            self.tried[k, glyph.figure] = glyph
            if islands := islands_of(outline, glyph.figure):
                self.own[k] = islands
            for code in self.jobs[k].chosen.codepoints:
                self.by_code.setdefault(code, k)

    def lead(self, group: Sequence[Place]) -> Place | None:
        """The place that the others of a group follow: in a block that stands already, or of a base letter."""
        drawn = [place for place in group if place.letter in self.own]
        bases = {self._base(place.letter) for place in group}
        of_base = [place for place in drawn if place.letter in bases and self._is_largest(place)]
        standing = [place for place in drawn if place.letter in self.leading]
        return next(iter([*(place for place in of_base if place in standing), *standing, *of_base]), None)

    def drawn(self, place: Place) -> Island:
        """An island as its letter has it drawn, moved to the origin."""
        return shifted(self.own[place.letter][place.number], -place.x, -place.y)

    def chosen(self, groups: Sequence[Sequence[Place]], settled: Islands) -> dict[tuple[int, int], Island]:
        """The islands of groups that nothing leads, drawn as is best for all letters that have them."""
        proposed = [self._proposals(group) for group in groups]
        trials = [
            [
                self.figures({place.letter for place in group}, {**settled, **_everywhere(group, island)})
                for island in islands
            ]
            for group, islands in zip(groups, proposed, strict=True)
        ]
        self.make(item for trial in trials for figures in trial for item in figures.items())
        found: dict[tuple[int, int], Island] = {}
        for group, islands, trial in zip(groups, proposed, trials, strict=True):
            prices = [self._price(figures) for figures in trial]
            if islands:
                found |= _everywhere(group, islands[prices.index(min(prices))])
        return found

    def figures(self, letters: Collection[int], settled: Islands) -> dict[int, Polygons]:
        """The figures of letters with some islands settled; none for those that lead, or that lack an island."""
        found: dict[int, Polygons] = {}
        for k in sorted(set(letters) - self.leading):
            own = self.own.get(k)
            numbers = range(len(self.outlines[k].geoms))
            if own is None and any((k, n) not in settled for n in numbers):
                continue
            figure = tuple(settled[k, n] if (k, n) in settled else (own or ())[n] for n in numbers)
            found[k] = self.best[k].glyph.figure if own and _rounded(figure) == _rounded(own) else figure
        return found

    def make(self, figures: Iterable[tuple[int, Polygons]]) -> None:
        """Tries those that were not tried yet, all at once."""
        new = [one for one in dict.fromkeys(figures) if one not in self.tried]
        if not new:
            return
        made = self.again([_given(self.jobs[k], figure) for k, figure in new], range(len(new)))
        for n, one in enumerate(new):
            self.tried[one] = made[n].glyph

    def others(self, letter: int, groups: Sequence[Sequence[Place]]) -> str:
        """The letters that have an island of this one, in words."""
        there = {p.letter for group in groups if any(p.letter == letter for p in group) for p in group}
        chosen = [self.jobs[k].chosen for k in sorted(there - {letter})]
        return ", ".join([one.text or one.name for one in chosen][:MOST_NAMED])

    def _base(self, letter: int) -> int | None:
        """The letter that another one is with an accent."""
        codes = self.jobs[letter].chosen.codepoints
        parts = unicodedata.normalize("NFD", chr(codes[0])) if codes else ""
        return self.by_code.get(ord(parts[0])) if len(parts) > 1 else None

    def _is_largest(self, place: Place) -> bool:
        areas = [polygon.area for polygon in self.outlines[place.letter].geoms]
        return areas[place.number] == max(areas)

    def _proposals(self, group: Sequence[Place]) -> list[Island]:
        """How its letters have drawn an island: what most have first."""
        islands = [self.drawn(place) for place in group if place.letter in self.own]
        votes = Counter(_rounded(islands))
        first = dict(zip(reversed(_rounded(islands)), reversed(islands), strict=True))
        return [first[key] for key, _ in votes.most_common(MOST_TRIED)]

    def _price(self, figures: Mapping[int, Polygons]) -> tuple[int, int, float]:
        """What blocks with these figures cost in all; first, how many cannot be made so, or need a look."""
        made = [(self.jobs[k].settings, self.tried[k, figure]) for k, figure in figures.items()]
        unfit = sum(not glyph.pieces or glyph.status == "redesign" for _, glyph in made)
        price = sum(_cost(settings, glyph.metrics) for settings, glyph in made)
        return unfit, sum(glyph.status == "review" for _, glyph in made), price
