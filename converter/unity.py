"""One hand: what the letters of a run have alike in the font is drawn alike.

Each letter is straightened by itself first. Then of each part that letters share the treatment is chosen that most of
them have, or that the designer wants, and the letters that have another are straightened again, held to it. A figure is
taken in place of the one before where more of it is as wanted, and it is no harder to sew.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, box

from converter.compiled import Floats
from converter.findings.judging import worst_first
from converter.findings.making import drawn_unlike
from converter.jobs import Job, Made
from converter.model import STATUSES
from converter.polygons import polygons_of, rings_of
from converter.straighten.cost.nearest import UNLIKE
from converter.straighten.finish.verdict import Treatment
from converter.straighten.together.choosing import Leads, choose, offsets, share_kept, treatment_for
from converter.straighten.together.leading import with_leading
from converter.straighten.together.like import MIRRORS, Windows, find_windows, like_windows
from converter.straighten.together.parts import Part, find_parts, has_treatment, with_chosen

# After the first. In every other one no letter is held where its leaders want different things: which helps more is not
# the same for all letters, and only what helps is kept.
ROUNDS = 4
FEW_PLACES = 2  # of the outline's samples: as few as this may lie elsewhere
AROUND = 0.12  # of size: a part's picture shows so much of what is round it

Again = Callable[[Sequence[Job], Sequence[int]], Mapping[int, Made]]


@dataclass(frozen=True, slots=True)
class _Run:
    """The letters of a run that have a figure: their numbers, outlines, windows, and the parts that they share.

    ``alone``: what each made of itself; ``off``: how its windows lie to that.
    """

    letters: tuple[int, ...]
    outlines: tuple[MultiPolygon, ...]
    size: float
    windows: Windows
    parts: tuple[Part, ...]
    alone: tuple[MultiPolygon, ...]
    off: Floats


def drawn_alike(
    jobs: Sequence[Job],
    best: Mapping[int, Made],
    make_again: Again,
    chosen: Mapping[str, int],
    leading: Collection[int] = (),
) -> tuple[dict[int, Made], list[dict[str, object]]]:
    """The blocks, those of letters that differ from others where the font does not drawn again; and what a report
    tells of the parts that letters share.

    ``make_again`` makes blocks of jobs, which have the same numbers as ``jobs``; told which. ``chosen``: treatments by
    the names of parts. ``leading``: blocks that stay as they are, and that the others follow, whatever is chosen.
    """
    best = dict(best)
    letters = tuple(k for k, made in sorted(best.items()) if made.figures[0].pieces)
    if len(letters) < 2:
        return best, []
    size = best[letters[0]].size
    outlines = tuple(polygons_of(best[k].guide) for k in letters)
    windows = find_windows(outlines, size)
    likeness = like_windows(windows, size)
    alone = tuple(_figure(best[k]) for k in letters)
    off = offsets(windows, alone)
    parts = tuple(find_parts(windows, likeness, off, size))
    run = _Run(letters, outlines, size, windows, parts, alone, off)
    for number in range(ROUNDS):
        figures = [_figure(best[k]) for k in letters]
        off = offsets(windows, figures)
        leads = with_chosen(choose(windows, likeness, off, size), parts, chosen)
        leads = with_leading(leads, likeness, {n for n, k in enumerate(letters) if k in leading})
        again, held = list(jobs), []
        for n, k in enumerate(letters):
            treatment = treatment_for(n, outlines[n], figures, leads, size, agreed=number % 2 == 1)
            if k not in leading and _is_elsewhere(treatment, figures[n], size):
                known = tuple(figure.figure for figure in best[k].figures)
                again[k] = replace(jobs[k], treatment=treatment, known=known)
                held.append(n)
        if not held:
            continue
        made = make_again(again, [letters[n] for n in held])
        for n in held:
            k = letters[n]
            if k in made and _is_better(n, made[k], best[k], leads, off, size):
                best[k] = made[k]
    return _told(run, best, chosen)


def _figure(made: Made) -> MultiPolygon:
    """The figure that the program would take, whichever the designer chose."""
    return polygons_of(made.figures[0].figure)


def _is_elsewhere(treatment: Treatment, figure: MultiPolygon, size: float) -> bool:
    """Whether a figure's edges are not where the treatment of its parts wants them."""
    places = shapely.points(np.array([place[1:] for place in treatment.places]).reshape(-1, 2))
    off = shapely.distance(places, figure.boundary)
    return int((off > UNLIKE * size).sum()) > FEW_PLACES


def _is_better(n: int, after: Made, before: Made, leads: Leads, off: Floats, size: float) -> bool:
    one, other = after.figures[0], before.figures[0]
    if not one.pieces or STATUSES.index(one.status) < STATUSES.index(other.status):
        return False
    changed = _with_figure(off, leads.windows, n, _figure(after))
    return share_kept(leads, n, changed, off, size) > share_kept(leads, n, off, off, size)


def _with_figure(off: Floats, windows: Windows, n: int, figure: MultiPolygon) -> Floats:
    """The offsets with those of one letter's windows from another figure."""
    mine = windows.letters == n
    only = Windows(*(column[mine] for column in windows))
    changed = off.copy()
    changed[mine] = offsets(only._replace(letters=np.zeros(int(mine.sum()), np.int64)), [figure])
    return changed


def _told(
    run: _Run, best: Mapping[int, Made], chosen: Mapping[str, int]
) -> tuple[dict[int, Made], list[dict[str, object]]]:
    """The blocks with a note on each figure that does not keep the hand, and what a report tells of the parts."""
    best, told = dict(best), []
    off = offsets(run.windows, [_figure(best[k]) for k in run.letters])
    named = [best[k].glyph.text or best[k].glyph.name for k in run.letters]
    having = [
        [
            [n for n in part.members if has_treatment(part, n, off, treatment[0], run.off, run.size)]
            for treatment in part.treatments
        ]
        for part in run.parts
    ]
    numbers = [_taken(part, now, chosen) for part, now in zip(run.parts, having, strict=True)]
    models = [part.treatments[number - 1][0] for part, number in zip(run.parts, numbers, strict=True)]
    kept = [_keeps(run, n, best[k], models) for n, k in enumerate(run.letters)]
    for p, (part, now, number) in enumerate(zip(run.parts, having, numbers, strict=True)):
        alike = now[number - 1]
        apart = []
        for n in sorted(part.members):
            made = best[run.letters[n]]
            others = ", ".join(named[m] for m in alike if m != n)
            keeps = [parts[p] for parts in kept[n]]
            if n not in alike:
                apart.append({"letter": named[n], "why": _why(made, keeps)})
            if others:
                best[run.letters[n]] = _with_notes(made, keeps, part.name, others)
        told.append(
            {
                "name": part.name,
                "treatment": number,
                "treatments": [
                    {
                        "found": [named[n] for n in treatment],
                        "now": [named[n] for n in there],
                        **_picture(run, part, treatment[0]),
                    }
                    for treatment, there in zip(part.treatments, now, strict=True)
                ],
                "apart": apart,
            }
        )
    return best, told


def _taken(part: Part, now: Sequence[Sequence[int]], chosen: Mapping[str, int]) -> int:
    """The number of the treatment that a part is to have: as chosen, else the one that most letters have now."""
    most = max(range(len(now)), key=lambda t: (len(now[t]), -t))
    return min(chosen.get(part.name, most + 1), len(now))


def _keeps(run: _Run, n: int, made: Made, models: Sequence[int]) -> list[list[bool]]:
    """For each of a letter's figures, for each part, whether it has that as the part's model has it."""
    found = []
    for figure in made.figures:
        off = _with_figure(run.off, run.windows, n, polygons_of(figure.figure)) if figure.pieces else None
        found.append(
            [
                off is not None
                and n in part.members
                and has_treatment(part, n, off, model, run.off, run.size)
                for part, model in zip(run.parts, models, strict=True)
            ]
        )
    return found


def _why(made: Made, keeps: Sequence[bool]) -> str:
    """What it would cost to bring a letter in."""
    first = made.figures[0].metrics
    for number, (figure, kept) in enumerate(zip(made.figures, keeps, strict=True), 1):
        if kept:
            more = figure.metrics.pieces - first.pieces
            pieces = f"{abs(more)} {'more' if more > 0 else 'fewer'} pieces" if more else "as many pieces"
            sections = f"{figure.metrics.sections} section{'s' if figure.metrics.sections > 1 else ''}"
            return f"alternative {number} has it, in {pieces} and {sections}; it is {figure.status}"
    return "no figure was found that has it and keeps the limits"


def _with_notes(made: Made, keeps: Sequence[bool], part: str, others: str) -> Made:
    """The block with a note on each of its figures that has the part drawn in another way than other letters."""
    figures = [
        figure if kept or not figure.pieces
        else replace(figure, reasons=worst_first((*figure.reasons, drawn_unlike(part, others))))
        for figure, kept in zip(made.figures, keeps, strict=True)
    ]  # fmt: skip
    first = made.number - 1
    return replace(made, glyph=figures[first], others=(*figures[:first], *figures[first + 1 :]))


def _picture(run: _Run, part: Part, n: int) -> dict[str, object]:
    """A part as a letter has it: figure and outline in a box round it, in mm."""
    places = [place for place in part.members[n] if place]
    turn = MIRRORS[places[0][1]]  # as the letter that stands for the part has it
    there = turn * np.array([run.windows.middles[number] for number, _ in places])
    (left, top), (right, foot) = there.min(axis=0) - AROUND * run.size, there.max(axis=0) + AROUND * run.size
    frame = box(left, top, right, foot)
    return {
        "box": [round(float(v), 2) for v in (left, top, right, foot)],
        "figure": _rings(shapely.intersection(_turned(run.alone[n], turn), frame)),
        "outline": _rings(shapely.intersection(_turned(run.outlines[n], turn), frame)),
    }


def _turned(shape: MultiPolygon, turn: Floats) -> shapely.Geometry:
    return shapely.transform(shape, lambda places: places * turn)


def _rings(shape: shapely.Geometry) -> list[list[list[list[float]]]]:
    polygons = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    return [
        [[[round(x, 2), round(y, 2)] for x, y in ring] for ring in polygon]
        for polygon in rings_of(MultiPolygon(polygons))
    ]
