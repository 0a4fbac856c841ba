"""What a block is made from, and what is made: small enough to send to another process, or to keep."""

from dataclasses import dataclass

from converter.fonts.choosing import ChosenGlyph
from converter.fonts.outlines import Outline
from converter.model import Glyph, Polygons
from converter.placement import Zones
from converter.settings import Settings
from converter.straighten.finish.verdict import AS_IT_COMES, Treatment
from converter.straighten.outline.hand import Hand


@dataclass(frozen=True, slots=True)
class Job:
    """All that is needed to make one block.

    ``treatment``: how the parts are to be drawn that other letters have, too; ``known``: figures found before it was
    known. ``given``: the figure, where it is only to be planned and judged.
    """

    chosen: ChosenGlyph
    key: str
    outline: Outline | None
    damage: str
    zones: Zones
    hand: Hand
    settings: Settings
    treatment: Treatment = AS_IT_COMES
    known: tuple[Polygons, ...] = ()
    given: Polygons = ()


@dataclass(frozen=True, slots=True)
class Made:
    """One block with what is not in the pattern: the placed outline, other good figures, what went wrong.

    ``number``: which of the figures that were found the block is, from 1, as ``alternative`` in the settings counts.
    ``size``: what limits refer to, in mm, as in :class:`converter.placement.Placed`; 0 where nothing was placed.
    """

    glyph: Glyph
    guide: Polygons = ()
    others: tuple[Glyph, ...] = ()
    log: str = ""
    number: int = 1
    size: float = 0.0

    @property
    def figures(self) -> tuple[Glyph, ...]:
        """All figures that were found, in the order of their numbers."""
        return *self.others[: self.number - 1], self.glyph, *self.others[self.number - 1 :]


@dataclass(frozen=True, slots=True)
class Company:
    """A set that new blocks join: they stand as its blocks do, and follow them.

    ``zones``: None where nothing in the set says how its letters stand; ``jobs`` and ``made``: of the blocks that can
    be followed; ``keys``: of all.
    """

    zones: Zones | None
    hand: Hand
    jobs: tuple[Job, ...]
    made: tuple[Made, ...]
    keys: tuple[str, ...]
