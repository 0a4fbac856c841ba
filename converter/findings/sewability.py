"""Findings of what is hard to sew in a block."""

from collections.abc import Iterator

from converter.findings.case import Case
from converter.geometry import centroid, convex_width, corner_degrees
from converter.limits import most_pieces
from converter.model import Finding, Metrics, Piece, Point


def sewing(case: Case, metrics: Metrics) -> Iterator[Finding]:
    """What is hard to sew in the block."""
    yield from _narrow_pieces(case)
    yield from _sharp_corners(case)
    yield from _counts(case, metrics)


def _narrow_pieces(case: Case) -> Iterator[Finding]:
    limit = case.min_piece_width
    for piece in case.plan.pieces:
        width = convex_width(piece.polygon)
        if width < limit - 1e-6:
            yield Finding(
                "narrow-piece", "redesign",
                f"Piece {piece.id} is {case.length(width)} wide; the least is {case.length(limit)}.",
                width, limit, centroid(piece.polygon), piece.id,
                "Move one of its seams outwards, leave out the detail or use a larger block.",
            )  # fmt: skip


def _sharp_corners(case: Case) -> Iterator[Finding]:
    limit = case.limits["sharp-corner"]
    worst: tuple[float, Piece, Point] | None = None
    for piece in case.plan.pieces:
        for corner, angle in zip(piece.polygon, corner_degrees(piece.polygon), strict=True):
            if angle < limit and (worst is None or angle < worst[0]):
                worst = (angle, piece, corner)
    if worst is not None:
        angle, piece, corner = worst
        yield Finding(
            "sharp-corner", "review",
            f"Piece {piece.id} has a corner of {angle:.0f}°; below {limit:.0f}° points are hard to sew.",
            angle, limit, corner, piece.id, "Blunt the tip: end it in a short edge.",
        )  # fmt: skip


def _counts(case: Case, metrics: Metrics) -> Iterator[Finding]:
    most = most_pieces(case.limits, case.block_width, case.block_height)
    if metrics.pieces > most:
        yield Finding(
            "many-pieces", "review",
            f"{metrics.pieces} pieces are a lot for a block of this size; the limit is {most:.0f}.",
            metrics.pieces, most, None, None, "Use less detail or a larger block.",
        )  # fmt: skip
    if metrics.sections > case.limits["sections"]:
        yield Finding(
            "many-sections", "review",
            f"{metrics.sections} sections are a lot; the limit is {case.limits['sections']:.0f}.",
            metrics.sections, case.limits["sections"], None, None,
            "Find a seam that can run straight through, or let edges share a line.",
        )  # fmt: skip
