"""A figure as rings of lines, on numbers: what the moves change. Corners follow from the lines.

An edge is a place in a ring, a line may carry several edges. Symmetric figures keep for each line the index of its
image under every symmetry, and each change is made on all images at once.
"""

from typing import NamedTuple

import numpy as np

from converter.compiled import Floats, Integers, compiled, inner
from converter.straighten.outline.lines import SAME_NORMAL, image_of, normal_form

PARALLEL = 1e-9  # sine of the angle between two lines that do not meet
SAME_CORNER = 1e-6  # mm
SAME_DISTANCE = 1e-3  # mm: an image that a line has in the figure, but for rounding


class Drawing(NamedTuple):
    """Rings of lines. Lines without an edge may be among them."""

    lines: Floats  # (lines, 3): nx, ny, d
    edges: Integers  # the line of each edge, ring by ring
    rings: Integers  # (rings + 1,): where each ring's edges begin
    senses: Floats  # for each ring 1 or -1: the way round that it turns
    images: Integers  # (symmetries, lines): the index of each line's image


@compiled
def corners_of(drawing: Drawing) -> tuple[Floats, bool]:
    """The corners, the k-th where edge k ends, shape (edges, 2); False where neighbours are parallel."""
    corners = np.empty((len(drawing.edges), 2))
    for r in range(len(drawing.rings) - 1):
        first, last = drawing.rings[r], drawing.rings[r + 1]
        if last - first < 3:
            return corners, False
        for k in range(first, last):
            a, b = (
                drawing.lines[drawing.edges[k]],
                drawing.lines[drawing.edges[k + 1 if k + 1 < last else first]],
            )
            det = a[0] * b[1] - a[1] * b[0]
            if abs(det) < PARALLEL:
                return corners, False
            corners[k, 0] = (a[2] * b[1] - b[2] * a[1]) / det
            corners[k, 1] = (a[0] * b[2] - b[0] * a[2]) / det
    return corners, True


@compiled
def previous(drawing: Drawing) -> Integers:
    """For each edge the one before it in its ring."""
    before = np.empty(len(drawing.edges), np.int64)
    for k in range(len(before)):
        before[k] = k - 1
    for r in range(len(drawing.rings) - 1):
        before[drawing.rings[r]] = drawing.rings[r + 1] - 1
    return before


@compiled
def keeps_sense(drawing: Drawing, corners: Floats) -> bool:
    """Whether all rings turn the way round that they did."""
    for r in range(len(drawing.rings) - 1):
        first, last = drawing.rings[r], drawing.rings[r + 1]
        area = 0.0
        j = last - 1
        for k in range(first, last):
            area += corners[j, 0] * corners[k, 1] - corners[k, 0] * corners[j, 1]
            j = k
        if area * drawing.senses[r] <= 0:
            return False
    return True


@inner
def rings_cross(drawing: Drawing, corners: Floats) -> bool:
    """Whether any two edges cross or touch that are not neighbours."""
    before = previous(drawing)
    count = len(drawing.edges)
    for i in range(count):
        ax, ay, bx, by = corners[before[i], 0], corners[before[i], 1], corners[i, 0], corners[i, 1]
        low_x, high_x, low_y, high_y = min(ax, bx), max(ax, bx), min(ay, by), max(ay, by)
        for j in range(i + 1, count):
            cx, cy, dx, dy = corners[before[j], 0], corners[before[j], 1], corners[j, 0], corners[j, 1]
            if max(cx, dx) < low_x or min(cx, dx) > high_x or max(cy, dy) < low_y or min(cy, dy) > high_y:
                continue
            if before[j] == i or before[i] == j:
                continue
            s = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
            t = (bx - ax) * (dy - ay) - (by - ay) * (dx - ax)
            u = (dx - cx) * (ay - cy) - (dy - cy) * (ax - cx)
            v = (dx - cx) * (by - cy) - (dy - cy) * (bx - cx)
            if s * t <= 0 and u * v <= 0:
                return True
    return False


@inner
def lines_used(drawing: Drawing) -> int:
    """How many lines carry an edge."""
    used = np.zeros(len(drawing.lines), np.int64)
    count = 0
    for k in range(len(drawing.edges)):
        count += 1 - used[drawing.edges[k]]
        used[drawing.edges[k]] = 1
    return count


@inner
def is_first_image(drawing: Drawing, line: int) -> bool:
    """Whether no image of a line has a lower number: one of each orbit."""
    for g in range(len(drawing.images)):
        if drawing.images[g, line] < line:
            return False
    return True


@compiled
def put_line(
    lines: Floats, drawing: Drawing, maps: Floats, index: int, nx: float, ny: float, d: float
) -> bool:
    """Puts a line and its images into ``lines``; False, and nothing done, where one would be in two places."""
    line = np.empty(3)
    line[0], line[1], line[2] = normal_form(nx, ny, d)
    count = len(drawing.images)
    for g in range(count):
        if drawing.images[g, index] == index:
            ix, iy, there = image_of(line, maps, g)
            if (
                abs(ix - line[0]) > SAME_NORMAL
                or abs(iy - line[1]) > SAME_NORMAL
                or abs(there - line[2]) > 1e-6
            ):
                return False
    for g in range(count):
        k = drawing.images[g, index]
        if k != index:
            lines[k, 0], lines[k, 1], lines[k, 2] = image_of(line, maps, g)
    lines[index, 0], lines[index, 1], lines[index, 2] = line[0], line[1], line[2]
    return True


@compiled
def copy_lines(lines: Floats, room: int) -> Floats:
    """The lines with room for some more."""
    copy = np.empty((len(lines) + room, 3))
    for k in range(len(lines)):
        copy[k, 0], copy[k, 1], copy[k, 2] = lines[k, 0], lines[k, 1], lines[k, 2]
    return copy


@inner
def first_of(numbers: Integers, count: int) -> Integers:
    """The first so many of some numbers, in an array of their own."""
    copy = np.empty(count, np.int64)
    for k in range(count):
        copy[k] = numbers[k]
    return copy


@compiled
def with_images(lines: Floats, maps: Floats) -> tuple[Integers, bool]:
    """The index of each line's image under each symmetry; False where one is missing."""
    images = np.empty((len(maps), len(lines)), np.int64)
    for g in range(len(maps)):
        for k in range(len(lines)):
            nx, ny, d = image_of(lines[k], maps, g)
            found = -1
            for j in range(len(lines)):
                if (
                    abs(lines[j, 0] - nx) < SAME_NORMAL
                    and abs(lines[j, 1] - ny) < SAME_NORMAL
                    and abs(lines[j, 2] - d) < SAME_DISTANCE
                ):
                    found = j
                    break
            if found < 0:
                return images, False
            images[g, k] = found
    return images, True


@compiled
def compact(drawing: Drawing) -> Drawing:
    """The same drawing without lines that carry no edge."""
    number, edges = np.zeros(len(drawing.lines), np.int64), np.empty(len(drawing.edges), np.int64)
    for k in range(len(edges)):
        number[drawing.edges[k]] = 1
    count = 0
    for k in range(len(number)):
        if number[k]:
            number[k] = count
            count += 1
        else:
            number[k] = -1
    lines, images = np.empty((count, 3)), np.empty((len(drawing.images), count), np.int64)
    for k in range(len(number)):
        if number[k] >= 0:
            for c in range(3):
                lines[number[k], c] = drawing.lines[k, c]
            for g in range(len(images)):
                images[g, number[k]] = number[drawing.images[g, k]]
    for k in range(len(edges)):
        edges[k] = number[drawing.edges[k]]
    return Drawing(lines, edges, drawing.rings, drawing.senses, images)


@inner
def joined(drawing: Drawing, edges: Integers, lengths: Floats, rings: Integers) -> tuple[Drawing, bool]:
    """The drawing with other edges, of which neighbours on one line become one; where neighbours are parallel, as on
    both sides of a serif or a bump, the shorter goes. ``lengths`` (mm) are the edges'. False where a ring is lost."""
    kept, length, starts = (
        np.empty(len(edges), np.int64),
        np.empty(len(edges)),
        np.zeros(len(rings), np.int64),
    )
    count = 0
    for r in range(len(rings) - 1):
        first = count
        for k in range(rings[r], rings[r + 1]):
            kept[count], length[count] = edges[k], lengths[k]
            count += 1
        k = first
        while count - first > 2 and k < count:
            j = k - 1 if k > first else count - 1
            a, b = kept[j], kept[k]
            la, lb = drawing.lines[a], drawing.lines[b]
            if a == b:
                length[j] += length[k]
                gone = k
            elif abs(la[0] * lb[1] - la[1] * lb[0]) < PARALLEL:
                gone = k if length[k] <= length[j] else j
            else:
                k += 1
                continue
            for m in range(gone, count - 1):
                kept[m], length[m] = kept[m + 1], length[m + 1]
            count -= 1
            k = first
        if count - first < 3:
            return drawing, False
        starts[r + 1] = count
    return Drawing(drawing.lines, first_of(kept, count), starts, drawing.senses, drawing.images), True


@inner
def edge_lengths(drawing: Drawing, corners: Floats) -> Floats:
    """The length of each edge (mm)."""
    before = previous(drawing)
    lengths = np.empty(len(before))
    for k in range(len(before)):
        dx, dy = corners[k, 0] - corners[before[k], 0], corners[k, 1] - corners[before[k], 1]
        lengths[k] = np.sqrt(dx * dx + dy * dy)
    return lengths
