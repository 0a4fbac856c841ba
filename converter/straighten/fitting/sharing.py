"""Lines that several edges of a letter could share, so that one cut serves them all."""

import math
from collections.abc import Sequence

from converter.geometry import Line, normal_form
from converter.model import Point
from converter.straighten.fitting.edges import SHARED_TURN
from converter.straighten.outline.symmetry import Symmetry

Segment = tuple[Point, Point]


def shared_lines(
    edges: Sequence[tuple[Line, Segment]], symmetry: Symmetry, reach: float
) -> list[tuple[Line, float]]:
    """Lines near to two or more edges, each with all its images, and the price of an edge on it (in pieces).

    ``edges`` are those of the letter's part: line and segment (mm); ``reach`` is how far (mm) an edge's ends
    may be from the line. A line that k edges can share costs each of
    them one piece in k.
    """
    waiting = sorted(range(len(edges)), key=lambda n: (-_length(edges[n][1]), n))
    taken: set[int] = set()
    found: list[tuple[Line, float]] = []
    for seed in waiting:
        if seed in taken:
            continue
        line = edges[seed][0]
        members: dict[int, tuple[Line, Segment]] = {seed: edges[seed]}
        for n in waiting:
            if n in members or n in taken:
                continue
            for image, segment in _images(edges[n], symmetry):
                if _alike(line, image) and all(abs(line.side(p)) <= reach for p in segment):
                    members[n] = (image, segment)
                    break
        if len(members) > 1:
            taken |= members.keys()
            common = _common(line, list(members.values()))
            found += [(image, 1 / len(members)) for image in symmetry.images(common)]
    return found


def _images(edge: tuple[Line, Segment], symmetry: Symmetry) -> list[tuple[Line, Segment]]:
    images = [edge]
    for line_map, point_map in zip(symmetry.line_maps(), symmetry.point_maps(), strict=True):
        images += [(line_map(line), (point_map(p), point_map(q))) for line, (p, q) in list(images)]
    return images


def _common(seed: Line, members: Sequence[tuple[Line, Segment]]) -> Line:
    """The line that serves all members best; a level one stays level, and a dominant one stays put."""
    lengths = [_length(segment) for _, segment in members]
    if seed.is_level:
        if lengths[0] >= 0.6 * sum(lengths):
            return seed
        mean = sum(line.d * n for (line, _), n in zip(members, lengths, strict=True)) / sum(lengths)
        return Line(seed.nx, seed.ny, mean)
    # Total least squares through the members' ends, weighted by length.
    weights = [n for n in lengths for _ in range(2)]
    points = [p for _, segment in members for p in segment]
    total = sum(weights)
    mx = sum(w * p[0] for w, p in zip(weights, points, strict=True)) / total
    my = sum(w * p[1] for w, p in zip(weights, points, strict=True)) / total
    cxx = sum(w * (p[0] - mx) ** 2 for w, p in zip(weights, points, strict=True))
    cyy = sum(w * (p[1] - my) ** 2 for w, p in zip(weights, points, strict=True))
    cxy = sum(w * (p[0] - mx) * (p[1] - my) for w, p in zip(weights, points, strict=True))
    angle = 0.5 * math.atan2(2 * cxy, cxx - cyy)
    nx, ny, _ = normal_form(-math.sin(angle), math.cos(angle))
    return Line(nx, ny, nx * mx + ny * my)


def _alike(a: Line, b: Line) -> bool:
    """Nearly one direction; what is level stays level."""
    if abs(a.nx * b.ny - a.ny * b.nx) > SHARED_TURN:
        return False
    return (a.nx == 0.0) == (b.nx == 0.0) and (a.ny == 0.0) == (b.ny == 0.0)


def _length(segment: Segment) -> float:
    return math.dist(*segment)
