"""What to buy and how to cut it: strips across the width of the fabric, patches out of the strips.

The strips are filled by rectpack's guillotine packing (straight cuts only, as a rotary cutter makes them),
in whole micrometres so that the result is the same on any machine. Every patch has its place in the plan.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

import rectpack

from converter.budgets.words import PATCHES
from converter.errors import InputError
from converter.fabric.cutting import Cut, Cutting, grouped
from converter.measures import length_text, metres, yards

MOST_FAT_QUARTERS = 4  # four are a yard: beyond that one buys by length


@dataclass(frozen=True, slots=True)
class PlacedPatch:
    """One patch in its strip, mm: ``x`` from the fabric's left edge, ``y`` from the strip's first cut."""

    cut: int  # index into the plan's cuts
    x: float
    y: float
    width: float  # across the fabric, as it lies
    height: float


@dataclass(frozen=True, slots=True)
class CutStrip:
    """One strip cut across the width of the fabric; ``start`` and ``height`` in mm along its length."""

    start: float
    height: float
    placed: tuple[PlacedPatch, ...]


@dataclass(frozen=True, slots=True)
class FabricPlan:
    """One fabric: what is cut from it, where, and how much to buy."""

    fabric: str
    width: float  # usable, mm
    cuts: tuple[Cut, ...]
    strips: tuple[CutStrip, ...]
    length: float  # needed, squaring included, mm
    fat_quarters: int | None  # how many hold everything; None where they do not or are too many

    @property
    def alike(self) -> tuple[tuple[CutStrip, int], ...]:
        """The strips, those that are cut into the same patches only once, and how many there are of each."""
        found: dict[tuple[float, tuple[PlacedPatch, ...]], tuple[CutStrip, int]] = {}
        for strip in self.strips:
            first, count = found.get((strip.height, strip.placed), (strip, 0))
            found[strip.height, strip.placed] = first, count + 1
        return tuple(found.values())

    @property
    def yards(self) -> Fraction:
        """To buy, rounded up to 1/8 yd."""
        return yards(self.length)

    @property
    def metres(self) -> Fraction:
        """To buy, rounded up to 0.1 m."""
        return metres(self.length)

    @property
    def used(self) -> float:
        """Share of the needed length that ends up in patches, 0 to 1."""
        area = sum(cut.length * cut.width * cut.count for cut in self.cuts)
        return area / (self.width * self.length)


def buy(cuts: Iterable[Cut], cutting: Cutting) -> tuple[FabricPlan, ...]:
    """A plan for each fabric, in the order of the fabrics' names; those that only finish a piece come last.

    Raises :class:`InputError` where something is wider than the fabric both ways, or there is far too much.
    """
    by_fabric: dict[str, list[Cut]] = {}
    total = 0
    for cut in grouped(cuts):
        by_fabric.setdefault(cut.fabric, []).append(cut)
        total += cut.count
        if cut.width > cutting.fabric_width + 1e-3:
            size = f"{length_text(cut.length, cutting.units)} by {length_text(cut.width, cutting.units)}"
            width = length_text(cutting.fabric_width, cutting.units)
            raise InputError(
                f"{cut.kind} of {size} ({cut.fabric}) does not fit on fabric {width} wide; "
                "make it smaller or use wider fabric."
            )
    if total > PATCHES.most:
        raise InputError(f"{total} patches are too many to plan ({PATCHES.most}); make fewer.")
    plans = [_plan(fabric, tuple(found), cutting) for fabric, found in sorted(by_fabric.items())]
    return tuple(sorted(plans, key=lambda plan: all(cut.kind in ("binding", "backing") for cut in plan.cuts)))


def _plan(fabric: str, cuts: tuple[Cut, ...], cutting: Cutting) -> FabricPlan:
    # Strips as high as the patches are narrow waste least as a rule, but not always: both are tried.
    tries = [_strips(cuts, cutting.fabric_width, stand) for stand in (False, True)]
    strips = min(tries, key=lambda t: (_end(t), len(t)))
    return FabricPlan(
        fabric,
        cutting.fabric_width,
        cuts,
        strips,
        _end(strips) + cutting.squaring,
        _fat_quarters(cuts, cutting),
    )


def _fat_quarters(cuts: tuple[Cut, ...], cutting: Cutting) -> int | None:
    width, height = cutting.fat_quarter
    if any(cut.length > max(width, height) or cut.width > min(width, height) for cut in cuts):
        return None
    area = sum(cut.length * cut.width * cut.count for cut in cuts)
    if area > MOST_FAT_QUARTERS * width * height:
        return None
    counts = [_quarters_for(_strips(cuts, width, stand), height) for stand in (False, True)]
    best = min((n for n in counts if n is not None), default=None)
    return best if best is not None and best <= MOST_FAT_QUARTERS else None


def _quarters_for(strips: tuple[CutStrip, ...], height: float) -> int | None:
    """Each strip goes into the first fat quarter that has room; None where one is too high for any."""
    room: list[float] = []
    for strip in strips:
        if strip.height > height + 1e-6:
            return None
        for index, left in enumerate(room):
            if strip.height <= left + 1e-6:
                room[index] -= strip.height
                break
        else:
            room.append(height - strip.height)
    return len(room)


def _end(strips: tuple[CutStrip, ...]) -> float:
    return strips[-1].start + strips[-1].height if strips else 0.0


def _strips(cuts: tuple[Cut, ...], fabric_width: float, stand: bool) -> tuple[CutStrip, ...]:
    """Strips one below the other; ``stand``: patches stand in their strip instead of lying down."""
    width = _um(fabric_width)
    sizes = []  # across the fabric, along it, index
    for index, cut in enumerate(cuts):
        long, short = _um(cut.length), _um(cut.width)
        upright = stand or long > width
        sizes.append((short, long, index) if upright else (long, short, index))
    sizes.sort(key=lambda size: (-size[1], -size[0], size[2]))
    left = {index: cuts[index].count for _, _, index in sizes}
    strips: list[CutStrip] = []
    start = 0
    while sizes:
        height = sizes[0][1]
        bin_ = rectpack.GuillotineBssfSas(width, height, rot=True, merge=False)
        placed = []
        for across, along, index in sizes:
            while left[index]:
                spot = bin_.add_rect(across, along)
                if spot is None:
                    break
                left[index] -= 1
                placed.append(
                    PlacedPatch(index, spot.x / 1000, spot.y / 1000, spot.width / 1000, spot.height / 1000)
                )
        sizes = [size for size in sizes if left[size[2]]]
        placed.sort(key=lambda p: (p.x, p.y))
        strips.append(CutStrip(start / 1000, height / 1000, tuple(placed)))
        start += height
    return tuple(strips)


def _um(mm: float) -> int:
    """Whole micrometres, so that packing never meets a rounding error."""
    return round(mm * 1000)
