"""What figures of one outline are held against, on numbers. Lengths in mm, prices in pieces."""

from typing import NamedTuple

from converter.compiled import Floats


class Aim(NamedTuple):
    """The outline, its symmetries and crests, limits and prices.

    Of a crest: x, y, 1 where it is horizontal or 0, its price, how near a level edge must pass.
    """

    points: Floats  # (samples, 2) along the outline, or on the treatment that is wanted of it
    weights: Floats  # (samples,): the length that each stands for
    held: Floats  # (samples,): what it costs that the figure is elsewhere
    outline: Floats  # (edges, 4): x, y of both ends, with the ink on one side all round
    area: float  # of the outline
    maps: Floats  # (symmetries, 4), as in `lines.image_of`
    crests: Floats  # (crests, 5)
    top: float  # of the outline
    foot: float
    size: float  # height of the letters
    width: float  # of the block
    height: float
    least_width: float  # of a piece
    sharpest: float  # sine of the sharpest corner that a piece may have
    least_overlap: float
    farthest: float  # that figure and outline may be apart
    truth: float  # price of a whole overlap
    section: int  # prices of the search for seams, in thousandths of a piece
    match: int
