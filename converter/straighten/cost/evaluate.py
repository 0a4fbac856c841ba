"""What a drawing costs. Figures are compared by how far they break limits, then by their cost (Deb 2000).

K. Deb, "An efficient constraint handling method for genetic algorithms", Computer Methods in Applied Mechanics and
Engineering 186 (2000): of two solutions the one that breaks limits less is better; of two that keep them the cheaper.
"""

from typing import NamedTuple

import numpy as np

from converter.compiled import Floats, compiled, inner, int64
from converter.sewing.cutting import Tree, carried_out, width_of
from converter.sewing.spans import clip_to_block, find_spans
from converter.sewing.trees import ENDLESS, PIECE, best_tree
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import (
    Drawing,
    corners_of,
    keeps_sense,
    lines_used,
    previous,
    rings_cross,
)
from converter.straighten.cost.overlap import distance_back, overlap_of, price_of_beaks

KEPT = 1e-4  # a limit broken by less, as a share of it, is kept
SPIKE = 0.009  # of size: what stands out of the line of letters by more is seen


class Cost(NamedTuple):
    """``violation``: the sum of the excesses over the limits, each as a share of its limit; ``price`` in pieces."""

    violation: float
    price: float
    pieces: int
    sections: int
    overlap: float
    distance: float  # mm


@inner
def is_less(violation: float, price: float, other_violation: float, other_price: float) -> bool:
    """Whether the first of two figures is better."""
    if violation < other_violation - KEPT:
        return True
    return violation <= other_violation + KEPT and price < other_price


@compiled
def excess_of(overlap: float, distance: float, aim: Aim) -> float:
    """By how much overlap and distance (mm) break their limits."""
    most = 1 - aim.least_overlap
    return max((1 - overlap) / most - 1, 0.0) + max(distance / aim.farthest - 1, 0.0)


@compiled
def spike_of(corners: Floats, aim: Aim) -> float:
    """By how much a corner stands out above or below the letter, as a share of what it may."""
    most, out = SPIKE * aim.size, 0.0
    for k in range(len(corners)):
        out = max(out, aim.top - corners[k, 1], corners[k, 1] - aim.foot)
    return max(out / most - 1, 0.0)


@compiled
def estimate(
    drawing: Drawing, farthest: float, unlike: float, aim: Aim, violation: float, price: float
) -> Cost:
    """The least that a drawing can cost: all but the search for seams and the shape of the pieces.

    ``farthest`` (mm): that the outline is from it; ``unlike``: the price of what is not as in other letters. Infinite
    where it is no valid figure, or no better than a ``violation`` and ``price``.
    """
    none = Cost(np.inf, np.inf, 0, 0, 0.0, np.inf)
    corners, fine = corners_of(drawing)
    if not fine or not keeps_sense(drawing, corners) or rings_cross(drawing, corners):
        return none
    lines = lines_used(drawing)
    least = lines + 1 + aim.section / PIECE + price_of_beaks(drawing, corners, aim.crests) + unlike
    out = spike_of(corners, aim)
    if not is_less(out + excess_of(1.0, farthest, aim), least, violation, price):
        return none
    overlap = overlap_of(drawing, corners, aim)
    least += aim.truth * (1 - overlap)
    if not is_less(out + excess_of(overlap, farthest, aim), least, violation, price):
        return none
    distance = distance_back(drawing, corners, aim, farthest)
    return Cost(out + excess_of(overlap, distance, aim), least, lines + 1, 1, overlap, distance)


@compiled
def evaluated(
    drawing: Drawing, farthest: float, unlike: float, aim: Aim, states: int, violation: float, price: float
) -> Cost:
    """The full cost of a drawing; infinite where it is no valid figure, or surely no better than a ``violation`` and
    ``price``. ``states``: of the search for seams."""
    least = estimate(drawing, farthest, unlike, aim, np.inf, np.inf)
    if least.price == np.inf:
        return least
    corners, _ = corners_of(drawing)
    before = previous(drawing)
    edges, owners = np.empty((len(before), 4)), np.empty(len(before), np.int64)
    for k in range(len(before)):
        owners[k] = drawing.edges[k]
        for c in range(2):
            edges[k, c], edges[k, c + 2] = corners[before[k], c], corners[k, c]
    count = clip_to_block(edges, owners, aim.width, aim.height)
    spans = find_spans(drawing.lines, edges[:count], owners[:count])
    beside_seams = least.price - least.pieces - aim.section / PIECE
    most = int64(ENDLESS)
    if violation <= KEPT and price < np.inf:
        most = int64(int((price - beside_seams) * PIECE) + 2)
    cost, memo = best_tree(spans, aim.section, aim.match, states, most)
    if cost >= most:
        return Cost(np.inf, np.inf, 0, 0, 0.0, np.inf)
    tree = carried_out(spans, memo, aim.width, aim.height, aim.least_width)
    narrow, pieces, sections = narrow_and_sharp(tree, aim)
    return Cost(
        least.violation + narrow, beside_seams + cost / PIECE, pieces, sections, least.overlap, least.distance
    )


@inner
def narrow_and_sharp(tree: Tree, aim: Aim) -> tuple[float, int, int]:
    """By how much the pieces break the limits of width and sharpness; how many they are, and their sections."""
    violation, pieces = 0.0, 0
    joins = 0
    for node in range(len(tree.line)):
        if tree.line[node] >= 0:
            joins += 1 - tree.one_section[node]
            continue
        pieces += 1
        count = tree.corners[node]
        if count < 3:
            violation += 10.0  # two seams side by side, with no cloth between them
            continue
        ring = tree.rings[node]
        width = width_of(ring, count)
        if width < aim.least_width - 1e-6:
            violation += 1 - width / aim.least_width
        sine = 1.0
        for k in range(count):
            i, j = (k - 1 if k else count - 1), (k + 1 if k + 1 < count else 0)
            ux, uy, vx, vy = (
                ring[i, 0] - ring[k, 0],
                ring[i, 1] - ring[k, 1],
                ring[j, 0] - ring[k, 0],
                ring[j, 1] - ring[k, 1],
            )
            if ux * vx + uy * vy > 0:
                length = np.sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy))
                sine = min(sine, abs(ux * vy - uy * vx) / length if length > 0 else 0.0)
        if sine < aim.sharpest:
            violation += 1 - sine / aim.sharpest
    return violation, pieces, joins + 1
