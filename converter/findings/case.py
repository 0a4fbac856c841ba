"""A planned block with what it is held against, and the figures of it."""

from collections.abc import Mapping
from dataclasses import dataclass

import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from converter.difficulty import difficulty_score, level
from converter.fidelity import cloth, hausdorff, iou
from converter.geometry import convex_width, corner_degrees
from converter.measures import Units, measured_text
from converter.model import Finding, Metrics
from converter.sewing.plan import Plan
from converter.straighten.outline.symmetry import Symmetry, asymmetry, mirrored


@dataclass(frozen=True, slots=True)
class Case:
    """One planned block and what it is held against. Lengths in mm."""

    plan: Plan
    figure: MultiPolygon
    outline: MultiPolygon  # the font's own, in the block
    block_width: float
    block_height: float
    size: float  # the height of capitals in the block
    width_factor: float  # 0.8: the letter was narrowed to 80 % of its width
    symmetry: Symmetry  # of the outline
    repairs: tuple[Finding, ...]  # of the outline in the font
    min_piece_width: float
    limits: Mapping[str, float]
    units: Units = "mm"  # that findings speak in
    in_line: bool = True  # it stands in a row with the others; not where each fills its block

    def length(self, mm: float) -> str:
        """A length in words."""
        return measured_text(mm, self.units)

    @property
    def shape(self) -> BaseGeometry:
        """What of the figure is in the block; its cloth where its rings cross, so that areas can be taken of it."""
        block = shapely.box(0, 0, self.block_width, self.block_height)
        if not self.figure.is_valid:
            return cloth(self.plan.pieces)
        return self.figure if block.covers(self.figure) else self.figure.intersection(block)

    @property
    def asymmetry(self) -> float | None:
        """Share share of the figure that its mirror image does not cover; None where the outline is not symmetric."""
        return (
            asymmetry(self.figure, mirrored(self.figure, self.symmetry)) if self.symmetry.order > 1 else None
        )


def measure(case: Case) -> Metrics:
    """The figures of a block."""
    plan = case.plan
    narrowest = min(convex_width(p.polygon) for p in plan.pieces)
    sharpest = min(min(corner_degrees(p.polygon)) for p in plan.pieces)
    score = difficulty_score(
        len(plan.pieces),
        len(plan.sections),
        plan.match_points,
        max(narrowest, 1e-3),
        max(sharpest, 1e-3),
        case.block_width * case.block_height,
    )
    return Metrics(
        pieces=len(plan.pieces),
        sections=len(plan.sections),
        joins=len(plan.joins),
        iou=iou(case.shape, case.outline),
        hausdorff=hausdorff(case.shape, case.outline),
        min_piece_width=narrowest,
        min_corner_degrees=sharpest,
        lower_bound=plan.lower_bound,
        proved_minimal=plan.proved_minimal,
        difficulty=score,
        level=level(score),
        match_points=plan.match_points,
        distinct_lines=plan.distinct_lines,
        width_factor=case.width_factor,
        block_width=case.block_width,
        asymmetry=case.asymmetry,
    )
