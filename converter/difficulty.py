"""How difficult a block is to sew: a score, and a level in the words that craft teaching uses.

    score = 1 + pieces / 8 + 0.9 · (sections − 1) + 0.25 · match points
              + narrow + sharp

    narrow = (6.35 / narrowest width in mm − 0.5) · 0.6, at least 0   (6.35 mm: a piece as wide as its allowance)
    sharp  = (45 / sharpest corner in degrees − 1) · 0.5, at least 0

The score rises (never falls) with pieces, sections and match points, and as the narrowest piece gets narrower
or the sharpest corner sharper. The weights are common practice, no source: a join costs a maker about as
much as seven pieces, a match point about as much as two.
"""

LEVELS = (
    (3.0, "beginner"),
    (4.5, "confident beginner"),
    (6.5, "intermediate"),
    (float("inf"), "advanced"),
)


def difficulty_score(
    pieces: int, sections: int, match_points: int, narrowest: float, sharpest: float
) -> float:
    """The score; ``narrowest`` in mm, ``sharpest`` in degrees, both above 0."""
    narrow = max(0.0, (6.35 / narrowest - 0.5) * 0.6)
    sharp = max(0.0, (45 / sharpest - 1) * 0.5)
    return 1 + pieces / 8 + 0.9 * (sections - 1) + 0.25 * match_points + narrow + sharp


def level(score: float) -> str:
    """The level of a score."""
    return next(name for limit, name in LEVELS if score < limit)
