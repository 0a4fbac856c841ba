"""Every threshold that decides a block's status, in one table, each with its unit and the reason for it.

A user can set any of them (``--limit ID=VALUE``). Values without another source are common practice, no source,
or were found by looking at sewn-size prints.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from converter.errors import InputError


@dataclass(frozen=True, slots=True)
class Limit:
    """One threshold, its unit in words, and why it is what it is."""

    id: str
    value: float
    unit: str
    reason: str


_TABLE = (
    Limit("sharp-corner", 14.0, "degrees", "sharper points cannot be trimmed and pressed"),
    Limit(
        "pieces-per-block", 26.0, "pieces in a 3 × 4 in block, as the root of the area",
        "beyond this, pieces are smaller than an allowance on either side",
    ),
    Limit("sections", 4.0, "sections", "every further section is one more join to match; four already take an evening"),
    Limit("overlap-review", 0.90, "area in both ÷ area in either", "below this the letter's weight looks changed"),
    Limit("overlap-redesign", 0.80, "area in both ÷ area in either", "below this it is another drawing"),
    Limit(
        "distance-review", 0.05, "of the height of capitals",
        "a stroke end that is off by more shows from across a room",
    ),
    Limit("distance-redesign", 0.10, "of the height of capitals", "by this much a feature is gone"),
    Limit(
        "stroke-end", 0.03, "of the height of capitals",
        "a serif or arm that is shorter by more stands out beside the other letters",
    ),
    Limit(
        "stands-out", 0.009, "of the height of capitals",
        "1/32 in at 3 × 4 in; round letters stand out about as far, so that a corner by more is a spike in the row",
    ),
    Limit(
        "edge-jumps", 0.009, "of the height of capitals",
        "1/32 in at 3 × 4 in; joins are matched about as well, so that a larger step looks like a fault in sewing",
    ),
    Limit(
        "cut-off", 0.015, "of the height of capitals",
        "round letters stand out about as far above flat ones, so that a level edge in their place looks right",
    ),
    Limit(
        "pinched-review", 0.5, "of the least width of pieces",
        "where pieces meet in so thin a neck, pressing and trimming decide whether the stroke is whole",
    ),
    Limit("pinched-redesign", 0.2, "of the least width of pieces", "so thin a neck is lost in the seams"),
    Limit("narrowed", 0.60, "of the font's own width", "below this upright strokes are far thinner than level ones"),
    Limit(
        "thin-strokes", 0.10, "of the inked area",
        "this share of the ink is thinner than the smallest piece: hairlines and serifs that cloth cannot show",
    ),
)  # fmt: skip

LIMITS: Mapping[str, Limit] = MappingProxyType({limit.id: limit for limit in _TABLE})
# Edges of a roughly followed outline. With more a block would have a hundred pieces and more, whatever is done: the
# letter gets a coarse figure at once, in place of a search that cannot end well. A blackletter's largest capital has
# some 60. Doubled, hopeless glyphs take minutes; halved, ornate capitals that can be sewn would be given up.
MOST_INTRICATE = 160
REFERENCE_AREA = 76.2 * 101.6  # mm², the block that `pieces-per-block` speaks of


def resolve_limits(given: Mapping[str, float]) -> dict[str, float]:
    """All limits, with the given ones in place of the table's.

    Raises :class:`InputError` for a limit that there is not, or a value that is not a positive number.
    """
    for name, value in given.items():
        if name not in LIMITS:
            raise InputError(f"unknown limit {name!r}; there are {', '.join(LIMITS)}.")
        if not (math.isfinite(value) and value > 0):
            raise InputError(f"limit {name}: {value} is not a positive number.")
    return {name: float(given.get(name, limit.value)) for name, limit in LIMITS.items()}


def most_pieces(limits: Mapping[str, float], width: float, height: float) -> float:
    """How many pieces a block of that size (mm) may have; grows with its side, not with its area."""
    return limits["pieces-per-block"] * math.sqrt(width * height / REFERENCE_AREA)
