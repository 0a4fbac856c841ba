"""A figure as rings of lines: what the improving moves change. Corners follow from the lines.

An edge is a place in a ring, a line may carry several edges. Symmetric figures keep for each line the index of
its image under every symmetry, and each move is made on all images at once.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import shapely
from shapely.geometry import MultiPolygon

from converter.geometry import Line, meet, signed_area, without_flat_corners
from converter.model import Point
from converter.sewing.problem import Figure, distinct_lines
from converter.straighten.figure import polygons_of
from converter.straighten.symmetry import Symmetry

FLAT = 1e-6  # mm; a corner that is nearer to the line of its neighbours is none

RingOfLines = tuple[int, ...]


@dataclass(frozen=True)  # without slots, so that corners can be kept
class LineDrawing:
    """``rings[k]`` lists the line of each edge; ``polygons[k]`` tells which rings make polygon k."""

    lines: tuple[Line, ...]
    rings: tuple[RingOfLines, ...]
    polygons: tuple[tuple[int, ...], ...]
    images: tuple[tuple[int, ...], ...]  # per symmetry: the index of each line's image
    symmetry: Symmetry

    def orbit(self, line: int) -> tuple[int, ...]:
        """The line and its images, each once, in order."""
        found = {line}
        for _ in self.images:
            found |= {image[k] for image in self.images for k in found}
        return tuple(sorted(found))

    def corners(self, ring: int) -> Sequence[Point] | None:
        """The ring's corners, the k-th between edges k and k + 1; None where neighbours are parallel."""
        return self._corners[ring]

    @cached_property
    def _corners(self) -> Sequence[Sequence[Point] | None]:
        rings: list[Sequence[Point] | None] = []
        for row in self.rings:
            lines = [self.lines[k] for k in row]
            corners = [meet(a, b) for a, b in zip(lines, [*lines[1:], *lines[:1]], strict=True)]
            there = [corner for corner in corners if corner is not None]
            rings.append(there if len(there) == len(corners) else None)
        return rings

    def figure(self) -> Figure | None:
        """All rings as corners, or None where lines do not close to rings."""
        rings = []
        for ring in range(len(self.rings)):
            corners = self.corners(ring)
            if corners is None or len(corners) < 3:
                return None
            rings.append(without_flat_corners(corners, FLAT))
        return tuple(tuple(rings[k] for k in polygon) for polygon in self.polygons)

    def with_line(self, moved: dict[int, Line]) -> "LineDrawing":
        """The drawing with some lines replaced."""
        lines = list(self.lines)
        for k, line in moved.items():
            lines[k] = line
        # Not by `replace`, which is slower: this is done for every move.
        return LineDrawing(tuple(lines), self.rings, self.polygons, self.images, self.symmetry)

    def moved(self, index: int, line: Line) -> "LineDrawing | None":
        """The drawing with one line moved and its images with it; None where the line is its own image and
        would have to be in two places."""
        moved = self.images_of(index, line)
        return None if moved is None else self.with_line(moved)

    def images_of(self, index: int, line: Line) -> dict[int, Line] | None:
        """The line with its images, each with its index; None where one would have to be in two places."""
        moved = {index: line}
        for image, line_map in zip(self.images, self.symmetry.line_maps(), strict=True):
            for k, new in list(moved.items()):
                there = line_map(new)
                old = moved.setdefault(image[k], there)
                if max(abs(old.nx - there.nx), abs(old.ny - there.ny), abs(old.d - there.d)) > 1e-6:
                    return None
        return moved

    def without_lines(self, dropped: tuple[int, ...]) -> "LineDrawing | None":
        """The drawing without the edges on some lines; their neighbours meet instead.

        Neighbours that are parallel, as on both sides of a serif or a bump, cannot meet: the shorter of them goes
        too. None where a ring loses its shape.
        """
        rings = []
        for ring, row in enumerate(self.rings):
            corners = self.corners(ring)
            if corners is None:
                return None
            kept = [(line, math.dist(corners[k - 1], corners[k])) for k, line in enumerate(row)]
            kept = self._meeting([edge for edge in kept if edge[0] not in dropped])
            if len(kept) < 3:
                return None
            rings.append(tuple(line for line, _ in kept))
        return replace(self, rings=tuple(rings))

    def _meeting(self, edges: list[tuple[int, float]]) -> list[tuple[int, float]]:
        """The edges (line, length) without those whose neighbours could not meet them."""
        k = 0
        while len(edges) > 2 and k < len(edges):
            (a, length_a), (b, length_b) = edges[k - 1], edges[k]
            if a == b:
                edges[k - 1] = (a, length_a + length_b)
                del edges[k]
                k = 0
            elif meet(self.lines[a], self.lines[b]) is None:
                del edges[k if length_b <= length_a else k - 1]
                k = 0
            else:
                k += 1
        return edges

    def with_merged(self, into: dict[int, int]) -> "LineDrawing":
        """The drawing with each line that is a key carried over to the line that is its value."""
        rings = tuple(tuple(into.get(line, line) for line in row) for row in self.rings)
        return replace(self, rings=_merged(rings))


def _merged(rings: Sequence[RingOfLines]) -> tuple[RingOfLines, ...]:
    """Neighbouring edges on one line are one edge."""
    merged = []
    for row in rings:
        kept = [line for k, line in enumerate(row) if line != row[k - 1] or len(row) == 1]
        merged.append(tuple(kept))
    return tuple(merged)


def line_drawing(figure: Figure, symmetry: Symmetry) -> LineDrawing | None:
    """The lines of a figure; None where an image of a line is missing, so that the symmetry does not hold."""
    edges: list[tuple[Point, Point]] = []
    rings: list[range] = []
    polygons: list[tuple[int, ...]] = []
    for polygon in figure:
        members = []
        for ring in polygon:
            members.append(len(rings))
            rings.append(range(len(edges), len(edges) + len(ring)))
            edges += [(ring[k - 1], ring[k]) for k in range(len(ring))]
        polygons.append(tuple(members))
    lines, owner = distinct_lines(edges)
    images = []
    for line_map in symmetry.line_maps():
        image = []
        for line in lines:
            index = _find(line_map(line), lines)
            if index is None:
                return None
            image.append(index)
        images.append(tuple(image))
    return LineDrawing(
        tuple(lines),
        _merged([tuple(owner[e] for e in ring) for ring in rings]),
        tuple(polygons),
        tuple(images),
        symmetry,
    )


def edge_ends(drawing: LineDrawing) -> list[list[Point]]:
    """For each line the ends of its edges, two an edge."""
    ends: list[list[Point]] = [[] for _ in drawing.lines]
    for ring, row in enumerate(drawing.rings):
        corners = drawing.corners(ring)
        if corners is None:
            continue
        for k, line in enumerate(row):
            ends[line] += [corners[k - 1], corners[k]]
    return ends


def turned_alike(figure: Figure, symmetry: Symmetry, reach: float) -> Figure | None:
    """The figure made exactly symmetric under a half turn: each line and its image's meet half way.

    None where a line has no image within ``reach`` (mm) and a few degrees.
    """
    drawing = line_drawing(figure, Symmetry())
    if drawing is None:
        return None
    lines = list(drawing.lines)
    waiting = list(range(len(lines)))
    while waiting:
        k = waiting.pop(0)
        image = symmetry.turned(lines[k])
        near = [
            m
            for m in (k, *waiting)
            if abs(image.nx * lines[m].ny - image.ny * lines[m].nx) < 0.1
            and abs(image.d - lines[m].d) < reach
        ]
        if not near:
            return None
        m = min(near, key=lambda n: (abs(image.d - lines[n].d), n))
        length = math.hypot(image.nx + lines[m].nx, image.ny + lines[m].ny)
        if length < 1.0:
            return None
        half = Line(
            (image.nx + lines[m].nx) / length,
            (image.ny + lines[m].ny) / length,
            (image.d + lines[m].d) / length,
        )
        lines[m] = half
        if m != k:
            lines[k] = symmetry.turned(half)
            waiting.remove(m)
    return replace(drawing, lines=tuple(lines)).figure()


def _find(line: Line, lines: Sequence[Line]) -> int | None:
    for index, other in enumerate(lines):
        if abs(line.nx - other.nx) < 1e-6 and abs(line.ny - other.ny) < 1e-6 and abs(line.d - other.d) < 1e-3:
            return index
    return None


def shape_of(figure: Figure) -> MultiPolygon | None:
    """The figure as a shape; None where its rings cross."""
    shape = polygons_of(figure)
    return shape if shapely.is_valid(shape) else None


def keeps_sense(before: Figure, after: Figure) -> bool:
    """Whether polygons and holes are as many as before and turn the same way round."""
    return [len(p) for p in before] == [len(p) for p in after] and all(
        signed_area(r) * signed_area(s) > 0
        for p, q in zip(before, after, strict=True)
        for r, s in zip(p, q, strict=True)
    )
