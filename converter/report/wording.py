"""Names, units and explanations of the figures that a report shows, in one table."""

from dataclasses import dataclass

from converter.measures import Units
from converter.model import LicenceVerdict, Status
from converter.units import MM_PER_INCH


@dataclass(frozen=True, slots=True)
class Figure:
    """One metric as people read it: ``name`` is its field in :class:`converter.model.Metrics`."""

    name: str
    label: str
    unit: str
    decimals: int
    worst: str  # "high" or "low": which end a designer wants to see first
    meaning: str


def unit_of(units: Units) -> tuple[str, float, int]:
    """The unit that lengths of a report are told in, what a millimetre is in it, and its decimals."""
    if units in ("in", "both"):
        return "in", 1 / MM_PER_INCH, 3
    return (units, 0.1, 2) if units == "cm" else ("mm", 1.0, 1)


FIGURES = (
    Figure("pieces", "pieces", "", 0, "high", "pieces of fabric in the block"),
    Figure("sections", "sections", "", 0, "high", "parts that are each sewn on one foundation"),
    Figure("joins", "joins", "", 0, "high", "seams that join sections"),
    Figure("match_points", "match points", "", 0, "high", "places where seams must meet across a join"),
    Figure("min_piece_width", "narrowest piece", "mm", 1, "low", "width of the narrowest piece"),
    Figure("min_corner_degrees", "sharpest corner", "°", 0, "low", "angle of the sharpest corner of a piece"),
    Figure("iou", "overlap", "%", 1, "low", "area in both outline and block, of the area in either"),
    Figure("hausdorff", "furthest off", "mm", 1, "high", "greatest distance between outline and block"),
    Figure(
        "asymmetry", "lopsided", "%", 1, "high", "share of the figure that its mirror image does not cover"
    ),
    Figure("width_factor", "narrowed to", "%", 0, "low", "width as drawn, of the font's own width"),
    Figure("difficulty", "difficulty", "", 1, "high", "score from pieces, joins, widths and corners"),
    Figure("distinct_lines", "lines", "", 0, "high", "straight lines that edges of the figure lie on"),
    Figure(
        "lower_bound",
        "fewest possible",
        "",
        0,
        "high",
        "no block of this figure can have fewer pieces",
    ),
)
# What tells figures of one character apart, in the order of FIGURES.
COMPARED = {
    "pieces", "sections", "match_points", "min_piece_width", "min_corner_degrees", "iou", "hausdorff",
}  # fmt: skip
PERCENT = {"iou", "asymmetry", "width_factor"}  # stored as shares of 1

STATUS_MEANING: dict[Status, str] = {
    "redesign": "cannot be sewn or read well at this size",
    "review": "can be sewn as it is, but deserves a look",
    "ready": "meets every limit",
    "blank": "has no ink",
}

VERDICT_MEANING: dict[LicenceVerdict, str] = {
    "open": "The font's licence was recognised as open.",
    "unknown": "The font's licence was not recognised: read it before you share what you make from it.",
    "restricted": "The font's licence restricts its use: ask its owner before you share what you make from it.",
}
NO_ADVICE = "This is not legal advice."

# What the letters of one run share, by its name in the settings: the unit, and what it says.
HAND = {
    "heights": ("mm", "where level edges stand, from the block’s top edge down"),
    "stems": ("mm", "how wide upright strokes are"),
    "bars": ("mm", "how thick level strokes are"),
    "slopes": ("°", "how slanted edges lean"),
}
