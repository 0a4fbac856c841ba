"""How far from true a hand may be, in one table. All in mm, but the bend."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tolerances:
    """What counts as meant."""

    same: float = 0.02  # the same place: files round to 1e-4 mm, and short sides pass that on enlarged
    unmoved: float = 0.05  # what editors round by at most, and less than a hand moves anything
    snap: float = (
        0.8  # an end this near to a line was meant to be on it: what a hand misses by without a magnet
    )
    doubled: float = 0.4  # two lines this near along their length are one, drawn twice
    bend: float = 2.0  # degrees: two lines that go on from each other with less of a bend are one line
    shortest: float = 0.2  # a shorter line is a slip of the hand
    sliver: float = 0.5  # no needle sews a piece as narrow as this
    flat: float = 5e-3  # as in the replay of the sewing
    least_share: float = 0.25  # of a piece's area that coloured shapes must cover
    clear_share: float = 2 / 3  # of the coloured area that the winning fabric must have


TOLERANCES = Tolerances()
