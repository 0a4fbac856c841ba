"""The pool of figures that may yet be made better: the best is always gone on with, until the effort is used up.

Each figure in the pool goes one move on at a time. One that no move makes better is done. When nothing that waits is
near the best any more, the best is perturbed, and climbs again (iterated local search: Lourenço, Martin and Stützle,
"Iterated local search", Handbook of Metaheuristics, 2003).
"""

import math
from collections.abc import Callable, Sequence
from heapq import heappop, heappush
from random import Random

import numpy as np

from converter.compiled import Floats
from converter.sewing.trees import PIECE
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import put_line
from converter.straighten.cost.evaluate import KEPT
from converter.straighten.search.candidate import Candidate, Rank, candidate
from converter.straighten.search.explore import EVALUATION, explored, settled
from converter.straighten.search.moves import BEVELS, SAVES, SNAPS

HOPE = 2.0  # pieces: what is so much dearer than the best is left waiting
STRETCHES = ((1.16, 1.0), (1.0, 1.16), (0.86, 1.0), (1.16, 1.16))
KICK_SHIFT, KICK_TURN = 0.05, 0.15
MOST_KICKS = 200
FEW_KICKS = 8  # of a figure in one section that keeps the limits: little can be gained


def best_of(starts: Sequence[Candidate], aim: Aim, effort: int, states: int) -> list[Candidate]:
    """The figures that no move makes better that were met, and what was left waiting, the best first.

    ``effort``: how much work may be done, see :mod:`converter.straighten.search.explore`.
    """
    pool = _Pool(starts)
    random = Random(0).random  # the one method of a Random that gives the same with every Python
    work = kicks = 0
    while work < effort:
        if pool.is_stuck:
            if kicks == (MOST_KICKS if _may_gain(pool.best) else FEW_KICKS):
                break
            kicked, spent = _perturbed(pool.best, aim, kicks, random, states)
            kicks += 1
            work += spent
            if kicked:
                pool.add(kicked, ahead=True)
            continue
        ahead, stage, one = pool.take()
        found, spent = explored(one, aim, stage, effort - work, states)
        work += spent
        if found:
            pool.add(found, ahead=ahead)
            continue
        later = [next_stage for next_stage in range(stage + 1, BEVELS + 1) if _may_help(one, next_stage, aim)]
        if later:
            pool.add(one, later[0], ahead)
        else:
            pool.done.append(one)
    return pool.all()


class _Pool:
    """Figures that wait, the best first, each with the stage of moves that is next; and those that are done."""

    def __init__(self, starts: Sequence[Candidate]) -> None:
        self._waiting: list[tuple[bool, Rank, int, int, Candidate]] = []
        self._met: set[bytes] = set()
        self._count = 0
        self.done: list[Candidate] = []
        self.best = min(starts, key=lambda start: start.rank)
        for start in starts:
            self.add(start)

    def add(self, one: Candidate, stage: int = SAVES, ahead: bool = False) -> None:
        """Puts a figure into the pool, but not one that was met before; ``ahead`` of all that are not."""
        if stage == SAVES:
            if one.key in self._met:
                return
            self._met.add(one.key)
        if one.rank < self.best.rank:
            self.best = one
        self._count += 1
        heappush(self._waiting, (not ahead, one.rank, self._count, stage, one))

    def take(self) -> tuple[bool, int, Candidate]:
        """The best that waits, with the stage that is next, and whether it was ahead."""
        behind, _, _, stage, one = heappop(self._waiting)
        return not behind, stage, one

    @property
    def is_stuck(self) -> bool:
        """Whether nothing waits that is near the best."""
        if not self._waiting:
            return True
        behind, (violation, price), *_ = self._waiting[0]
        if not behind:
            return False
        return violation > self.best.rank[0] + KEPT or price > self.best.cost.price + HOPE

    def all(self) -> list[Candidate]:
        """All figures, the best first."""
        waiting = [one for *_, one in self._waiting]
        return sorted((*self.done, *waiting), key=lambda one: one.rank)


def _may_gain(best: Candidate) -> bool:
    """Whether there may be much to gain yet: a section, or a limit that is broken."""
    return best.cost.sections > 1 or best.cost.violation > KEPT


def _may_help(one: Candidate, stage: int, aim: Aim) -> bool:
    """Whether moves of a later stage can make a figure better.

    One on to a crossing saves no line, so only a section or a line that is cut twice; a bevel costs a piece.
    """
    cost = one.cost
    if cost.violation > KEPT:
        return True
    if stage == SNAPS:
        return cost.sections > 1 or cost.pieces > len(one.drawing.lines) + 1
    return cost.price - cost.pieces - aim.section / PIECE * cost.sections > 1.0


def _perturbed(
    best: Candidate, aim: Aim, number: int, random: Callable[[], float], states: int
) -> tuple[Candidate | None, int]:
    """A figure near the best: first made wider, so that it comes back to the outline by other ways; then some of its
    lines moved and turned by chance."""
    drawing = best.drawing
    if number < len(STRETCHES):
        lines = _stretched(drawing.lines, aim, *STRETCHES[number])
    else:
        lines = drawing.lines.copy()
        for _ in range(1 + int(3 * random())):
            k = int(random() * len(lines))
            nx, ny, d = lines[k].tolist()
            shift = (2 * random() - 1) * KICK_SHIFT * aim.size
            if nx and ny:
                turn = (2 * random() - 1) * KICK_TURN
                length = math.sqrt(1 + turn * turn)
                mx, my = (nx - turn * ny) / length, (ny + turn * nx) / length
                # About the place of the line that is nearest to some place of the outline.
                px, py = aim.points[int(random() * len(aim.points))].tolist()
                off = nx * px + ny * py - d
                nx, ny, d = mx, my, mx * (px - off * nx) + my * (py - off * ny)
            put_line(lines, drawing, aim.maps, k, nx, ny, d + shift)
    moved, steps = drawing._replace(lines=lines), 1
    if number >= len(STRETCHES):
        moved, _, fine, steps = settled(moved, aim.size, np.inf, np.inf, aim)
        if not fine:
            return None, steps * len(drawing.edges) * len(aim.points)
    return candidate(moved, best.holes, aim, states), (steps + 1) * len(drawing.edges) * len(
        aim.points
    ) + EVALUATION


def _stretched(lines: Floats, aim: Aim, wider: float, higher: float) -> Floats:
    """The lines of the figure made wider and higher, about its middle: its symmetry stays."""
    x, y = (aim.points.min(axis=0) + aim.points.max(axis=0)).tolist()
    nx, ny, d = lines.T
    d = d - (nx * x + ny * y) / 2
    nx, ny = nx / wider, ny / higher
    length = np.sqrt(nx * nx + ny * ny)
    nx, ny, d = nx / length, ny / length, d / length
    return np.ascontiguousarray(np.stack([nx, ny, d + (nx * x + ny * y) / 2], axis=1))
