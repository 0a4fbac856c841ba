"""The pool of figures that may yet be made better: the best is always gone on with, until the effort is used up.

Each figure in the pool goes one move on at a time. One that no move makes better is done. When nothing that waits is
near the best any more, the best is perturbed, and climbs again (iterated local search: Lourenço, Martin and Stützle,
"Iterated local search", Handbook of Metaheuristics, 2003).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from random import Random

import numpy as np

from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import Drawing, put_line
from converter.straighten.cost.evaluate import KEPT, Cost, estimate, evaluated
from converter.straighten.cost.figures import Holes
from converter.straighten.cost.nearest import beside
from converter.straighten.search.explore import EVALUATION, explored

STAGES = 3
HOPE = 1.0  # pieces: what is so much dearer than the best is left waiting
STRETCH = 1.16
KICK_SHIFT, KICK_TURN = 0.05, 0.15


@dataclass(frozen=True)
class Candidate:
    """A figure with its cost."""

    drawing: Drawing
    holes: Holes
    cost: Cost

    @property
    def rank(self) -> tuple[float, float]:
        """Less is better."""
        return (self.cost.violation if self.cost.violation > KEPT else 0.0, self.cost.price)


def candidate(drawing: Drawing, holes: Holes, aim: Aim, budget: int) -> Candidate | None:
    """The drawing with its full cost; None where it is no valid figure."""
    fit = beside(drawing, aim)
    if not fit.fine:
        return None
    least = estimate(drawing, aim)
    if not np.isfinite(least.price):
        return None
    return Candidate(drawing, holes, evaluated(drawing, aim, least, fit.farthest, budget))


def best_of(starts: Sequence[Candidate], aim: Aim, effort: int, budget: int) -> list[Candidate]:
    """All figures that no move makes better that were met, and what was left waiting, the best first."""
    waiting: list[tuple[tuple[float, float], int, int, Candidate]] = []
    met: set[bytes] = set()
    done: list[Candidate] = []
    count = work = 0
    random = Random(0).random

    def add(one: Candidate | None, stage: int = 0) -> None:
        nonlocal count
        if one is None:
            return
        if not stage:
            key = _key(one)
            if key in met:
                return
            met.add(key)
        count += 1
        heappush(waiting, (one.rank, count, stage, one))

    for start in starts:
        add(start)
    best = min(starts, key=lambda one: one.rank)
    kicks = 0
    while work < effort:
        if not waiting or (kicks and _is_far(waiting[0][3], best)) :
            kicks += 1
            kicked, steps = _kicked(best, aim, random, kicks, budget)
            work += steps
            add(kicked)
            if kicks > 200:
                break
            continue
        if not kicks and _is_far(waiting[0][3], best):
            kicks = 1
            continue
        _, _, stage, one = heappop(waiting)
        drawing, cost, better, steps = explored(
            one.drawing, one.cost.violation, one.cost.price, aim, stage, effort - work, budget
        )
        work += steps
        if better:
            found = Candidate(drawing, one.holes, cost)
            if found.rank < best.rank:
                best = found
            add(found)
            continue
        for later in range(stage + 1, STAGES):
            if _may_help(one, later, aim):
                add(one, later)
                break
        else:
            done.append(one)
    done += [one for _, _, _, one in waiting]
    return sorted(done, key=lambda one: one.rank)


def _may_help(one: Candidate, stage: int, aim: Aim) -> bool:
    """Whether moves of a later stage can make a figure better.

    One on to a crossing saves no line, so only a section or a line that is cut twice; a bevel costs a piece.
    """
    cost = one.cost
    if cost.violation > KEPT:
        return True
    lines = len(one.drawing.lines)
    if stage == 1:
        return cost.sections > 1 or cost.pieces > lines + 1
    return cost.price - cost.pieces - aim.section / 1000 * cost.sections > 1.0


def _is_far(one: Candidate, best: Candidate) -> bool:
    return one.cost.violation > best.cost.violation + KEPT or one.cost.price > best.cost.price + HOPE


def _key(one: Candidate) -> bytes:
    rounded = np.round(one.drawing.lines, 3) + 0.0
    return rounded.tobytes() + one.drawing.edges.tobytes()


def _kicked(best: Candidate, aim: Aim, random, number: int, budget: int) -> tuple[Candidate | None, int]:
    drawing = best.drawing
    lines = drawing.lines.copy()
    if number == 1:
        lines = _stretched(lines, aim)
        moved = drawing._replace(lines=lines)
    else:
        for _ in range(2 + int(2 * random())):
            k = int(random() * len(lines))
            nx, ny, d = lines[k].tolist()
            shift = (2 * random() - 1) * KICK_SHIFT * aim.size
            if nx and ny:
                t = (2 * random() - 1) * KICK_TURN
                x, y = nx * d, ny * d
                mx, my = nx - t * ny, ny + t * nx
                length = (mx * mx + my * my) ** 0.5
                c = drawing.edges == k
                mx, my = mx / length, my / length
                # about a point of its own
                px, py = aim.points[int(random() * len(aim.points))]
                off = nx * px + ny * py - d
                px, py = px - off * nx, py - off * ny
                nx, ny, d = mx, my, mx * px + my * py
            put_line(lines, drawing, aim.maps, k, nx, ny, d + shift)
        moved = drawing._replace(lines=lines)
    unit = len(drawing.edges) * len(aim.points)
    return candidate(moved, best.holes, aim, budget), 2 * unit + EVALUATION


def _stretched(lines, aim: Aim):
    cx = (aim.points[:, 0].min() + aim.points[:, 0].max()) / 2
    nx, ny, d = lines.T
    d = d - nx * cx
    nx = nx / STRETCH
    length = np.sqrt(nx * nx + ny * ny)
    nx, ny, d = nx / length, ny / length, d / length
    return np.ascontiguousarray(np.stack([nx, ny, d + nx * cx], axis=1))
