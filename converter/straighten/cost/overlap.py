"""How much figure and outline have in common, and how far the figure's edges are from the outline."""

import numpy as np

from converter.compiled import Floats, compiled, inner
from converter.straighten.cost.aim import Aim
from converter.straighten.cost.drawing import Drawing, previous

ALONG = 0.05  # of size: between the places of an edge whose distance from the outline is taken
NEAR_LIMIT = (
    0.75  # of the limit: where an edge is farther, its farthest place is looked for between the others
)
HALVINGS = 4
LEVEL = 1e-6  # mm: an edge whose ends are level by this is level


@inner
def area_of(drawing: Drawing, corners: Floats) -> float:
    """The figure's area (mm²)."""
    area = 0.0
    before = previous(drawing)
    for k in range(len(before)):
        j = before[k]
        area += corners[j, 0] * corners[k, 1] - corners[k, 0] * corners[j, 1]
    return abs(area) / 2


@inner
def common_area(drawing: Drawing, corners: Floats, outline: Floats) -> float:
    """The area (mm²) that figure and outline have in common, exactly.

    Either is, but for a sign at each edge, the sum of the strips between its edges and a base line far below; so what
    both have is a sum over pairs of edges, of the area under the lower of two straight lines. No crossing has to be
    found and no case is special.
    """
    before = previous(drawing)
    base = np.inf
    for k in range(len(corners)):
        base = min(base, corners[k, 1])
    for m in range(len(outline)):
        base = min(base, outline[m, 1])
    strips = np.empty((len(outline), 5))  # from x to x, the height there, its rise, the sign
    for m in range(len(outline)):
        first = 0 if outline[m, 0] <= outline[m, 2] else 2
        cx, cy = outline[m, first], outline[m, first + 1]
        dx, dy = outline[m, 2 - first], outline[m, 3 - first]
        strips[m, 0], strips[m, 1], strips[m, 2] = cx, dx, cy - base
        strips[m, 3] = (dy - cy) / (dx - cx) if dx > cx else 0.0
        strips[m, 4] = 1.0 if first == 0 else -1.0
    total = 0.0
    for k in range(len(before)):
        ax, ay, bx, by = (
            corners[before[k], 0],
            corners[before[k], 1] - base,
            corners[k, 0],
            corners[k, 1] - base,
        )
        sign = 1.0
        if ax > bx:
            ax, ay, bx, by, sign = bx, by, ax, ay, -1.0
        if bx - ax < 1e-12:
            continue
        slope = (by - ay) / (bx - ax)
        strip = 0.0
        for m in range(len(outline)):
            cx = strips[m, 0]
            low, high = max(ax, cx), min(bx, strips[m, 1])
            if low >= high:
                continue
            cy, rise = strips[m, 2], strips[m, 3]
            p0, p1 = ay + slope * (low - ax), ay + slope * (high - ax)
            q0, q1 = cy + rise * (low - cx), cy + rise * (high - cx)
            u, v = p0 - q0, p1 - q1
            run = high - low
            if u <= 0 and v <= 0:
                part = (p0 + p1) * run
            elif u >= 0 and v >= 0:
                part = (q0 + q1) * run
            else:
                f = u / (u - v)
                at = p0 + f * (p1 - p0)
                first, last = (p0, q1) if u < 0 else (q0, p1)
                part = (first + at) * f * run + (at + last) * (1 - f) * run
            strip += strips[m, 4] * part
        total += sign * strip
    return abs(total) / 2


@inner
def overlap_of(drawing: Drawing, corners: Floats, aim: Aim) -> float:
    """Area in both ÷ area in either."""
    both, area = common_area(drawing, corners, aim.outline), area_of(drawing, corners)
    return both / (area + aim.area - both)


@inner
def distance_back(drawing: Drawing, corners: Floats, aim: Aim, least: float) -> float:
    """The farthest (mm) that a place of the figure's edges is from the outline; ``least`` where none is farther."""
    before = previous(drawing)
    farthest, near = least * least, (NEAR_LIMIT * aim.farthest) ** 2
    farther = False
    m = 0  # the edge of the outline that is looked at first: the one that was near to the place before
    for k in range(len(before)):
        ax, ay = corners[before[k], 0], corners[before[k], 1]
        wx, wy = corners[k, 0] - ax, corners[k, 1] - ay
        steps = int(np.sqrt(wx * wx + wy * wy) / (ALONG * aim.size)) + 1
        at, most = 0.0, 0.0  # where on this edge it is farthest, as far as was looked at
        for n in range(1, steps + 1):
            # Little that is near enough anyway is measured to the end.
            best, m = _apart(ax + wx * n / steps, ay + wy * n / steps, min(farthest, near), m, aim.outline)
            if best > most:
                at, most = n / steps, best
        step = 0.5 / steps
        for _ in range(HALVINGS if most > near else 0):  # a peak between two places
            for side in range(2):
                t = min(max(at + (step if side else -step), 0.0), 1.0)
                best, m = _apart(ax + wx * t, ay + wy * t, most, m, aim.outline)
                if best > most:
                    at, most = t, best
            step /= 2
        if most > farthest:
            farthest, farther = most, True
    return float(np.sqrt(farthest)) if farther else least


@inner
def _apart(x: float, y: float, enough: float, m: int, outline: Floats) -> tuple[float, int]:
    """The square (mm²) of how far a place is from the outline, or less than ``enough``; and the edge looked at last.

    ``m``: the edge of the outline that is looked at first.
    """
    best = np.inf
    for _ in range(len(outline)):
        px, py = outline[m, 0], outline[m, 1]
        dx, dy = outline[m, 2] - px, outline[m, 3] - py
        t = ((x - px) * dx + (y - py) * dy) / max(dx * dx + dy * dy, 1e-12)
        t = min(max(t, 0.0), 1.0)
        ox, oy = px + t * dx - x, py + t * dy - y
        best = min(best, ox * ox + oy * oy)
        if best <= enough:
            break
        m = m + 1 if m + 1 < len(outline) else 0
    return best, m


@compiled
def price_of_beaks(drawing: Drawing, corners: Floats, crests: Floats) -> float:
    """The price (pieces) of all crests at which the figure has no level edge."""
    before = previous(drawing)
    price = 0.0
    for c in range(len(crests)):
        x, y, along_x, reach = crests[c, 0], crests[c, 1], crests[c, 2] > 0, crests[c, 4]
        kept = False
        for k in range(len(before)):
            px, py, qx, qy = corners[before[k], 0], corners[before[k], 1], corners[k, 0], corners[k, 1]
            if abs(py - qy if along_x else px - qx) > LEVEL:
                continue
            low, high = (min(px, qx), max(px, qx)) if along_x else (min(py, qy), max(py, qy))
            at = x if along_x else y
            along = max(low - at, at - high, 0.0)
            across = py - y if along_x else px - x
            if along * along + across * across <= reach * reach:
                kept = True
                break
        if not kept:
            price += crests[c, 3]
    return price
