"""How fabric is cut: the settings, and the one type that everything to be cut is told in."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from converter.errors import InputError
from converter.measures import Units, cut_step, is_metric, length_text, round_up
from converter.model import Pattern

# Common practice, no source: cotton is 42 to 44 in wide and 40 in of it usable; a fat quarter is about
# 18 × 21 in, of which 17 1/2 × 20 in are left when edges are straight and the selvedge is off; a patch is
# cut at least 1/4 in larger all round than its piece with allowance; 1 in a fabric goes to squaring it up.
QUARTER_INCH = 6.35
USABLE_WIDTH = 1016.0
FAT_QUARTER = (508.0, 444.5)
SQUARING = 25.4
METRIC_USABLE_WIDTH, METRIC_MARGIN, METRIC_SQUARING = 1000.0, 6.0, 25.0  # the same in round metric figures

_ROUNDINGS = (1.0, 101.6)  # a hair, and 4 in
_FABRIC_WIDTHS = (101.6, 10_160.0)  # what can be meant: 4 in to 400 in

CutKind = Literal["patch", "strip", "binding", "backing", "wadding"]


@dataclass(frozen=True, slots=True)
class Cutting:
    """Settings for cutting, lengths in mm. Raises :class:`InputError` where one cannot be."""

    units: Units = "in"
    allowance: float = QUARTER_INCH  # round every block and strip
    piece_allowance: float | None = None  # of the seams within a block; None: as round it
    margin: float = QUARTER_INCH  # that a patch is larger all round than its piece with allowance
    fabric_width: float = USABLE_WIDTH  # usable, selvedges off
    squaring: float = SQUARING  # length lost to the first straight cut
    fat_quarter: tuple[float, float] = FAT_QUARTER  # usable, along and across the strips
    round_to: float | None = None  # what patches are rounded up to; None: 1/8 in or 5 mm

    def __post_init__(self) -> None:
        for name in ("allowance", "margin", "squaring"):
            if not 0 <= getattr(self, name) < 1000:
                said, most = (length_text(w, self.units) for w in (getattr(self, name), 1000.0))
                raise InputError(f"{name} of {said}: give 0 or more, below {most}.")
        if self.round_to is not None and not _ROUNDINGS[0] <= self.round_to <= _ROUNDINGS[1]:
            step, least, most = (length_text(w, self.units) for w in (self.round_to, *_ROUNDINGS))
            raise InputError(f"patches rounded up to {step}: give {least} to {most}.")
        if not _FABRIC_WIDTHS[0] <= self.fabric_width <= _FABRIC_WIDTHS[1]:
            width, least, most = (length_text(w, self.units) for w in (self.fabric_width, *_FABRIC_WIDTHS))
            raise InputError(f"fabric width of {width}: give the usable width, {least} to {most}.")

    @property
    def inner_allowance(self) -> float:
        """The allowance of the seams within a block."""
        return self.allowance if self.piece_allowance is None else self.piece_allowance

    @property
    def step(self) -> float:
        """What patches are rounded up to, in mm."""
        return cut_step(self.units) if self.round_to is None else self.round_to


def cutting_for(
    pattern: Pattern,
    units: Units = "in",
    fabric_width: float | None = None,
    margin: float | None = None,
    round_to: float | None = None,
) -> Cutting:
    """Settings with the pattern's own seam allowances, all mm.

    ``fabric_width`` usable; ``margin`` of patches; ``round_to`` what these are rounded up to. What is not given is
    round in the units.
    """
    usual = Cutting(units)
    if is_metric(units):
        usual = replace(
            usual, margin=METRIC_MARGIN, fabric_width=METRIC_USABLE_WIDTH, squaring=METRIC_SQUARING
        )
    block = pattern.block
    return replace(
        usual,
        allowance=block.seam_allowance,
        piece_allowance=block.piece_allowance,
        margin=usual.margin if margin is None else margin,
        fabric_width=usual.fabric_width if fabric_width is None else fabric_width,
        round_to=round_to,
    )


@dataclass(frozen=True, slots=True)
class Cut:
    """So many equal rectangles of one fabric, as they are cut (allowance included), in mm.

    A strip longer than the fabric is wide is sewn end to end from several: ``count`` counts what is cut,
    ``joined_from`` how many of them make one strip.
    """

    kind: CutKind
    fabric: str
    length: float  # the longer side
    width: float
    count: int
    uses: tuple[str, ...] = ()  # where they go, each use once
    joined_from: int = 1
    turned: bool = False  # the longer side lies across the seam that the patch is sewn on by

    @property
    def sides(self) -> tuple[float, float]:
        """Along the seam and across it; of what lies on no seam the longer side first."""
        return (self.width, self.length) if self.turned else (self.length, self.width)


def grouped(cuts: Iterable[Cut]) -> tuple[Cut, ...]:
    """The same cuts with equal ones counted together: by fabric, then kind, the largest first."""
    groups: dict[tuple[object, ...], tuple[Cut, int, dict[str, None]]] = {}
    for cut in cuts:
        size = round(cut.length, 3), round(cut.width, 3)
        key = (cut.fabric, cut.kind, *size, cut.joined_from, cut.turned)
        first, count, uses = groups.get(key, (cut, 0, {}))
        uses.update(dict.fromkeys(cut.uses))
        groups[key] = (first, count + cut.count, uses)
    merged = (replace(first, count=count, uses=tuple(uses)) for first, count, uses in groups.values())
    return tuple(
        sorted(merged, key=lambda c: (c.fabric, c.kind, -c.width, -c.length, c.joined_from, c.turned))
    )


def times(cuts: Iterable[Cut], copies: int) -> tuple[Cut, ...]:
    """The cuts for so many copies. Raises :class:`InputError` below one copy."""
    if not 1 <= copies <= 100_000:
        raise InputError(f"{copies} copies: give a whole number from 1 to 100000.")
    return tuple(replace(cut, count=cut.count * copies) for cut in cuts)


def strip_cut(fabric: str, length: float, width: float, cutting: Cutting, use: str = "") -> Cut:
    """One strip of the given finished length and width (mm), cut exactly: allowance added, no margin.

    A strip longer than the usable width is made of equal lengths joined end to end, each join taking two
    allowances; they are rounded up to the cutting step, to be trimmed once joined.
    """
    long, short = sorted((length + 2 * cutting.allowance, width + 2 * cutting.allowance), reverse=True)
    parts, each = 1, long
    while each > cutting.fabric_width + 1e-6:
        parts += 1
        each = round_up((long + (parts - 1) * 2 * cutting.allowance) / parts, cutting.step)
        if parts > 1000:
            raise InputError(
                f"a strip of {length_text(long, cutting.units)} is too long for this fabric width."
            )
    long, short = max(each, short), min(each, short)
    return Cut("strip", fabric, long, short, parts, (use,) if use else (), parts)
