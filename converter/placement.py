"""Where a glyph lies in its block: the affine map from font units (y up) to the finished face (mm, y down)."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from shapely.geometry import MultiPolygon, Polygon

from converter.errors import InputError
from converter.fonts.outlines import Outline
from converter.model import Affine
from converter.units import MM_PER_INCH

Fit = Literal["together", "each"]
Width = Literal["fixed", "proportional"]

# Of the cap height: the farthest a curve may be from its chords (0.02 mm in a 3 × 4 in block).
FLATTENING = 1 / 4000
OVERSHOOT = 0.035  # of the cap height: round letters may stand out this far above and below flat ones
WIDTH_STEP = MM_PER_INCH / 8  # proportional blocks come in eighths of an inch, as rulers do


@dataclass(frozen=True, slots=True)
class Frame:
    """The block's size and how glyphs are placed in it. Lengths in mm.

    ``side_margin``: at the left and the right, where it is not ``margin``.
    """

    width: float
    height: float
    margin: float
    fit: Fit = "together"
    widths: Width = "fixed"
    side_margin: float | None = None

    @property
    def side(self) -> float:
        """The margin at the left and the right."""
        return self.margin if self.side_margin is None else self.side_margin

    def __post_init__(self) -> None:
        if self.width <= 2 * self.side or self.height <= 2 * self.margin:
            raise InputError(
                "the margin leaves no room in the block; give a smaller --margin or a larger --block."
            )


@dataclass(frozen=True, slots=True)
class Zones:
    """What the height of the block stands for, in font units: ``top`` to ``bottom``, with the cap height."""

    top: float
    bottom: float
    cap_height: float


@dataclass(frozen=True, slots=True)
class Placed:
    """A glyph's outline in its block, in mm."""

    outline: MultiPolygon
    placement: Affine
    block_width: float
    block_height: float
    size: float  # the cap height in mm, or the glyph's own larger side where each fills its block
    baseline: float  # mm from the top of the block
    width_factor: float  # 1: as wide as in the font


def zones(outlines: Iterable[Outline], cap_height: float, ascender: float, descender: float) -> Zones:
    """The heights that decide the scale of a run: cap height, ascender, descender, as the glyphs need them.

    Overshoots of round letters do not count. What reaches higher than the ascender or lower than the
    descender (an accented capital, a bracket) counts as it is. All in font units.
    """
    bounds = [outline.bounds for outline in outlines if outline.bounds is not None]
    slack = OVERSHOOT * cap_height
    highest = max((b[3] for b in bounds), default=cap_height)
    lowest = min((b[1] for b in bounds), default=0.0)
    top = next((z for z in sorted({cap_height, max(ascender, cap_height)}) if highest <= z + slack), highest)
    bottom = 0.0 if lowest >= -slack else lowest
    return Zones(top, bottom, cap_height)


def place(outline: Outline, frame: Frame, run: Zones) -> Placed:
    """Places an outline that has ink. All glyphs of a run get one scale and one baseline, unless each is to fill
    its block; a glyph wider than its block is narrowed. Raises ValueError for an outline without ink."""
    if outline.bounds is None:
        raise ValueError(f"{outline.name} has no ink to place")
    left, bottom, right, top = outline.bounds
    room_width, room_height = frame.width - 2 * frame.side, frame.height - 2 * frame.margin
    if frame.fit == "each":
        scale = room_height / (top - bottom)
        if frame.widths == "fixed":
            scale = min(scale, room_width / (right - left))
        baseline = frame.height / 2 + scale * (top + bottom) / 2
        size = scale * max(top - bottom, right - left)
    else:
        scale = room_height / (run.top - run.bottom)
        baseline = frame.margin + scale * run.top
        size = scale * run.cap_height
    block_width = frame.width
    ink = scale * (right - left)
    if frame.widths == "proportional":
        steps = -(-(ink + 2 * frame.side - 1e-9) // WIDTH_STEP)
        block_width = steps * WIDTH_STEP
    factor = 1.0 if frame.widths == "proportional" else min(1.0, room_width / ink)
    a = scale * factor
    placement = (a, 0.0, 0.0, -scale, block_width / 2 - a * (left + right) / 2, baseline)
    return Placed(_moved(outline, placement), placement, block_width, frame.height, size, baseline, factor)


def _moved(outline: Outline, placement: Affine) -> MultiPolygon:
    def moved(ring: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        a, b, c, d, e, f = placement
        return [(a * x + c * y + e, b * x + d * y + f) for x, y in ring]

    return MultiPolygon([Polygon(moved(p[0]), [moved(hole) for hole in p[1:]]) for p in outline.polygons])
