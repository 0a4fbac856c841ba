"""A figure that the search has met, with its cost."""

from dataclasses import dataclass

import numpy as np

from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import Drawing
from converter.straighten.cost.evaluate import KEPT, Cost, evaluated
from converter.straighten.cost.figures import Holes
from converter.straighten.cost.nearest import beside

Rank = tuple[float, float]


def rank(violation: float, price: float) -> Rank:
    """Less is better: who breaks limits less, then who costs less."""
    return (violation if violation > KEPT else 0.0), price


@dataclass(frozen=True)
class Candidate:
    """A figure with its cost. ``holes`` as in :mod:`converter.straighten.cost.figures`."""

    drawing: Drawing
    holes: Holes
    cost: Cost

    @property
    def rank(self) -> Rank:
        """Less is better."""
        return rank(self.cost.violation, self.cost.price)

    @property
    def key(self) -> bytes:
        """The same for figures whose lines are the same but for a hundredth of a hair."""
        return (np.round(self.drawing.lines, 3) + 0.0).tobytes() + self.drawing.edges.tobytes()


def candidate(drawing: Drawing, holes: Holes, aim: Aim, states: int) -> Candidate | None:
    """The drawing with its cost; None where it is no valid figure."""
    fit = beside(drawing, aim)
    if not fit.fine:
        return None
    cost = evaluated(drawing, fit.farthest, fit.unlike, aim, states, np.inf, np.inf)
    return Candidate(drawing, holes, cost) if cost.price < np.inf else None
