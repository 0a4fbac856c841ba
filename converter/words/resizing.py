"""A block made narrower or wider at its sides: only the background beside the letter changes.

Trimmed, the pieces along the edge are cut back by a straight line; widened, the seams that end at the edge run on.
Neither adds a piece, and both can be sewn as before: every seam still runs straight across what it ran across.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from converter.difficulty import difficulty_score, level
from converter.geometry import Line, convex_width, corner_degrees, split_convex
from converter.model import BACKGROUND, Glyph, Point, Ring
from converter.words.framing import moved_glyph

Side = Literal["left", "right", "bottom"]
CLEAR = 1.0  # mm of background that stays beside the letter, so that no corner of it is lost in a seam
_SAME = 1e-3  # mm
_BENT = 1e-2  # mm; seams that differ by more at an end are two
_HALVINGS = 14


@dataclass(frozen=True, slots=True)
class Change:
    """By how much a block grows at each side, mm; negative where it is trimmed."""

    left: float = 0.0
    right: float = 0.0
    bottom: float = 0.0


def resize(glyph: Glyph, width: float, height: float, change: Change) -> Glyph:
    """The block of finished width × height mm changed so; its key, name and text stay.

    ``change`` must be within :func:`reach` at each side.
    """
    pieces = {piece.id: piece.polygon for piece in glyph.pieces}
    sides: tuple[tuple[Side, float], ...] = (
        ("left", change.left), ("right", change.right), ("bottom", change.bottom),
    )  # fmt: skip
    for side, by in sides:  # the edges lie where they lay until the block is moved in the end
        moved = _at_edge(tuple(pieces.values()), side, (width, height), by)
        pieces = dict(zip(pieces, moved, strict=True))
    narrowest = min(map(convex_width, pieces.values()))
    sharpest = min(min(corner_degrees(ring)) for ring in pieces.values())
    metrics = glyph.metrics
    area = (width + change.left + change.right) * (height + change.bottom)
    score = difficulty_score(
        metrics.pieces, metrics.sections, metrics.match_points, narrowest, sharpest, area
    )
    metrics = replace(
        metrics,
        block_width=width + change.left + change.right,
        min_piece_width=narrowest,
        min_corner_degrees=sharpest,
        difficulty=score,
        level=level(score),
    )
    changed = replace(
        glyph,
        pieces=tuple(replace(piece, polygon=pieces[piece.id]) for piece in glyph.pieces),
        metrics=metrics,
    )
    return moved_glyph(changed, change.left, 0.0)


def reach(glyph: Glyph, size: tuple[float, float], side: Side, wanted: float, least: float) -> float:
    """How far a side can go towards ``wanted`` mm (negative: inwards).

    No piece becomes narrower than ``least`` mm, or than it is where it is narrower already, and the letter
    keeps :data:`CLEAR` beside it.
    """
    rings = tuple(piece.polygon for piece in glyph.pieces)
    letter = tuple(piece.polygon for piece in glyph.pieces if piece.fabric != BACKGROUND)

    def can(by: float) -> bool:
        return _keeps_clear(letter, side, size, by) and _holds(rings, side, size, by, least)

    if can(wanted):
        return wanted
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if can(wanted * middle) else (low, middle)
    return wanted * low


def _keeps_clear(letter: tuple[Ring, ...], side: Side, size: tuple[float, float], by: float) -> bool:
    if by >= 0:
        return True
    towards, edge, _ = _turned(side, size)
    farthest = max((towards(p)[0] for ring in letter for p in ring), default=0.0)
    return farthest <= edge + by - CLEAR + _SAME or not letter


def _holds(rings: tuple[Ring, ...], side: Side, size: tuple[float, float], by: float, least: float) -> bool:
    """Whether the pieces stay wide enough, and seams that run on neither cross nor leave the block."""
    changed = _at_edge(rings, side, size, by)
    if any(len(ring) < 3 for ring in changed):
        return False
    if by > 0:
        return _run_on(rings, side, size, by) is not None
    return all(
        new == old or convex_width(new) >= min(least, convex_width(old)) - _SAME
        for old, new in zip(rings, changed, strict=True)
    )


def _turned(side: Side, size: tuple[float, float]) -> tuple[Callable[[Point], Point], float, float]:
    """A mirroring that brings the side to the right, and is its own reverse; where that edge and the end of it are."""
    width, height = size
    if side == "left":
        return lambda p: (width - p[0], p[1]), width, height
    if side == "bottom":
        return lambda p: (p[1], p[0]), height, width
    return lambda p: p, width, height


def _at_edge(rings: tuple[Ring, ...], side: Side, size: tuple[float, float], by: float) -> list[Ring]:
    """The pieces with one edge of the block moved out or in; a piece that is trimmed away is empty."""
    if not by:
        return list(rings)
    turn, edge, _ = _turned(side, size)
    if by > 0:
        ends = _run_on(rings, side, size, by)
        return [tuple((ends or {}).get(p, p) for p in ring) for ring in rings]
    cut = Line(1.0, 0.0, edge + by)
    changed = []
    for ring in rings:
        turned = tuple(map(turn, ring))
        if max(x for x, _ in turned) <= cut.d:
            changed.append(ring)
        else:
            changed.append(tuple(map(turn, split_convex(turned, cut, _SAME)[1])))
    return changed


def _run_on(
    rings: tuple[Ring, ...], side: Side, size: tuple[float, float], by: float
) -> dict[Point, Point] | None:
    """Where each corner on the edge comes to lie when its seam runs on; None where seams would meet or leave."""
    turn, edge, end = _turned(side, size)
    slopes: dict[
        float, tuple[float, float]
    ] = {}  # by place on the edge: how much is known of the seam, its slope
    corners: dict[Point, float] = {}
    for ring in rings:
        turned = [turn(p) for p in ring]
        on_edge = [k for k, p in enumerate(turned) if p[0] > edge - _SAME]
        if len(on_edge) not in (0, 2):
            return None  # a piece that only touches the edge with a corner would need a side there
        for k in on_edge:
            x, y = turned[k]
            place = next((there for there in slopes if abs(there - y) < _SAME), y)
            corners[ring[k]] = place
            inner = next(n for n in (turned[k - 1], turned[(k + 1) % len(turned)]) if n[0] <= edge - _SAME)
            along = x - inner[0]
            slope = (y - inner[1]) / along
            known, known_slope = slopes.get(place, (along, slope))
            if abs(slope - known_slope) * min(along, known) > _BENT:
                return None  # a seam that ends in the corner of the block has no edge to run on to
            if along >= known:
                slopes[place] = (along, slope)
    places = sorted(slopes)
    moved = [place + slopes[place][1] * by for place in places]
    for (one, two), (new_one, new_two) in zip(pairwise(places), pairwise(moved), strict=True):
        if new_two - new_one < min(two - one, CLEAR):
            return None
    at_ends = moved and abs(moved[0]) < _SAME and abs(moved[-1] - end) < _SAME
    if not at_ends:
        return None
    to = dict(zip(places, moved, strict=True))
    return {corner: turn((edge + by, to[place])) for corner, place in corners.items()}
