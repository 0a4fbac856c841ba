"""One hand: what the letters of a run have alike in the font is drawn alike.

Each letter is straightened by itself first. Then of each part that letters share the treatment is chosen that most of
them have, and the letters that have another are straightened again, held to it. A figure is taken in place of the one
before where more is alike with it, and where it is no harder to sew.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from converter.jobs import Job, Made
from converter.model import STATUSES
from converter.polygons import polygons_of
from converter.straighten.cost.nearest import UNLIKE
from converter.straighten.finish.verdict import Treatment
from converter.straighten.together.choosing import choose, offsets, treatment_for, unity
from converter.straighten.together.like import Likeness, Windows, find_windows, like_windows

ROUNDS = 2  # after the first; a third changes next to nothing
FEW_PLACES = 2  # of the outline's samples: as few as this may lie elsewhere

Again = Callable[[Sequence[Job], Sequence[int]], Mapping[int, Made]]


def drawn_alike(jobs: Sequence[Job], best: Mapping[int, Made], make_again: Again) -> dict[int, Made]:
    """The blocks, those of letters that differ from others where the font does not drawn again.

    ``make_again`` makes blocks of jobs, which have the same numbers as ``jobs``; told which.
    """
    best = dict(best)
    letters = [k for k, made in sorted(best.items()) if made.figures[0].pieces]
    if len(letters) < 2:
        return best
    size = best[letters[0]].size
    outlines = [polygons_of(best[k].guide) for k in letters]
    windows = find_windows(outlines, size)
    likeness = like_windows(windows, size)
    for _ in range(ROUNDS):
        figures = [_figure(best[k]) for k in letters]
        off = offsets(windows, figures)
        leads = choose(windows, likeness, off, size)
        held = {
            n: treatment
            for n, outline in enumerate(outlines)
            if _is_elsewhere(treatment := treatment_for(n, outline, figures, leads, size), figures[n], size)
        }
        again = list(jobs)
        for n, treatment in held.items():
            known = tuple(figure.figure for figure in best[letters[n]].figures)
            again[letters[n]] = replace(jobs[letters[n]], treatment=treatment, known=known)
        made = make_again(again, [letters[n] for n in held])
        for n in held:
            k = letters[n]
            if k in made and _is_better(n, made[k], best[k], windows, likeness, off, size):
                best[k] = made[k]
                off = _with_figure(off, windows, n, _figure(made[k]))
    return best


def _figure(made: Made) -> MultiPolygon:
    """The figure that the program would take, whichever the designer chose."""
    return polygons_of(made.figures[0].figure)


def _is_elsewhere(treatment: Treatment, figure: MultiPolygon, size: float) -> bool:
    """Whether a figure's edges are not where the treatment of its parts wants them."""
    places = shapely.points(np.array([place[1:] for place in treatment.places]).reshape(-1, 2))
    off = shapely.distance(places, figure.boundary)
    return int((off > UNLIKE * size).sum()) > FEW_PLACES


def _is_better(
    n: int, after: Made, before: Made, windows: Windows, likeness: Likeness, off: np.ndarray, size: float
) -> bool:
    one, other = after.figures[0], before.figures[0]
    if not one.pieces or STATUSES.index(one.status) < STATUSES.index(other.status):
        return False
    changed = _with_figure(off, windows, n, _figure(after))
    return bool(unity(windows, likeness, changed, size).sum() > unity(windows, likeness, off, size).sum())


def _with_figure(off: np.ndarray, windows: Windows, n: int, figure: MultiPolygon) -> np.ndarray:
    """The offsets with those of one letter's windows from another figure."""
    mine = windows.letters == n
    only = Windows(*(column[mine] for column in windows))
    changed = off.copy()
    changed[mine] = offsets(only._replace(letters=np.zeros(int(mine.sum()), np.int64)), [figure])
    return changed
