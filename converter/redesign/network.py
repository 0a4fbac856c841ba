"""Lines drawn by hand as a clean tiling: doubled and split lines made one, ends snapped, then the faces."""

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from converter.measures import Units
from converter.model import Finding, Ring
from converter.redesign.edited import Stroke
from converter.redesign.faces import faces_of
from converter.redesign.snapping import snapped
from converter.redesign.strokes import edge_of, single_lines
from converter.redesign.tolerances import Tolerances


@dataclass(frozen=True, slots=True)
class Tiling:
    """The pieces that lines make, or what is wrong with the lines. In mm.

    ``faces`` are the same pieces with a corner also wherever a neighbour has one, so that they join without gaps.
    """

    rings: tuple[Ring, ...] = ()
    faces: tuple[shapely.Polygon, ...] = ()
    faults: tuple[Finding, ...] = ()


def tile(
    strokes: Sequence[Stroke], width: float, height: float, tolerances: Tolerances, units: Units = "mm"
) -> Tiling:
    """The pieces that the strokes and the edge of a block of that size (mm) make; findings speak in ``units``."""
    edge = edge_of(width, height)
    lines, faults = single_lines(strokes, width, height, tolerances, units)
    if not faults and not lines:
        return Tiling(faults=(_no_seams(),))
    lines, in_the_open = snapped(lines, edge, tolerances, units)
    if faults or in_the_open:
        return Tiling(faults=(*faults, *in_the_open))
    pieces, faults = faces_of([*edge, *lines], tolerances, units)
    if faults:
        return Tiling(faults=tuple(faults))
    return Tiling(tuple(ring for ring, _ in pieces), tuple(face for _, face in pieces))


def _no_seams() -> Finding:
    return Finding(
        "no-seams", "redesign", "Nothing is drawn: the layer 'seams' has no line in it.",
        hint="Draw the seams as straight lines from edge to edge.",
    )  # fmt: skip
