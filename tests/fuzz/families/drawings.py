"""``check`` on drawings that come back: those of the corpus, and mixtures of them."""

import random

from tests.fuzz.running import Case
from tests.redesign.corpus import CORPUS

NAMES = sorted(CORPUS)


def case(dice: random.Random) -> Case:
    """One drawing, by itself."""
    name = dice.choice(NAMES)
    return Case("corpus", ("check", "--quiet", "drawing.svg"), {"drawing.svg": CORPUS[name]()})
