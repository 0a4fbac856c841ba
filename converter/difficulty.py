"""How difficult a block is to sew: a score, and a level in the words that craft teaching uses.

    score = 1 + pieces / 8 + 0.9 · (sections − 1) + 0.25 · match points
              + narrow + sharp + small

    narrow = (6.35 / narrowest width in mm − 0.5) · 0.6, at least 0   (6.35 mm: a piece as wide as its allowance)
    sharp  = (45 / sharpest corner in degrees − 1) · 0.5, at least 0
    small  = (25.4 / mean side in mm − 1) · 2, at least 0

The mean side is that of a square as large as the block's pieces are in the mean: the root of area ÷ pieces. At 25.4 mm
a piece is four allowances wide, so that half of what is under the needle is seam; at half of that, all of it is.

The score rises (never falls) with pieces, sections and match points, and as the narrowest piece gets narrower, the
sharpest corner sharper or the block smaller. The weights are common practice, no source: a join costs a maker about as
much as seven pieces, a match point about as much as two. A letter of eleven pieces in 3 × 4 in is two levels harder in
1.5 × 2 in.
"""

from math import sqrt

NARROW = 12.7  # mm; a narrower piece makes a block harder
SMALL = 25.4  # mm; pieces with a smaller mean side make a block harder

LEVELS = (
    (3.0, "beginner"),
    (4.5, "confident beginner"),
    (6.5, "intermediate"),
    (float("inf"), "advanced"),
)


def difficulty_score(
    pieces: int, sections: int, match_points: int, narrowest: float, sharpest: float, area: float
) -> float:
    """The score; ``narrowest`` in mm, ``sharpest`` in degrees, ``area`` of the block in mm², all above 0."""
    narrow = max(0.0, (NARROW / 2 / narrowest - 0.5) * 0.6)
    sharp = max(0.0, (45 / sharpest - 1) * 0.5)
    small = max(0.0, (SMALL / sqrt(area / pieces) - 1) * 2)
    return 1 + pieces / 8 + 0.9 * (sections - 1) + 0.25 * match_points + narrow + sharp + small


def level(score: float) -> str:
    """The level of a score."""
    return next(name for limit, name in LEVELS if score < limit)
