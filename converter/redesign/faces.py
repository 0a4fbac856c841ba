"""The pieces that clean lines make, and what is wrong with them."""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import shapely

from converter.budgets.drawings import PIECES
from converter.errors import InputError
from converter.geometry import convex_width, line_through, meet, signed_area, without_flat_corners
from converter.measures import Units, measured_text, place_text
from converter.model import Finding, Point, Ring
from converter.redesign.edited import Stroke
from converter.redesign.strokes import distance_to
from converter.redesign.tolerances import Tolerances


def faces_of(
    lines: Sequence[Stroke], tolerances: Tolerances, units: Units
) -> tuple[list[tuple[Ring, shapely.Polygon]], list[Finding]]:
    """The pieces between lines that meet exactly, each as its ring and as the face with its neighbours' corners too.

    Raises :class:`InputError` where there are too many.
    """
    edges = [shapely.LineString(edge) for edge in sorted(_spans(lines, tolerances))]
    polygons, *leftovers = (shapely.get_parts(found) for found in shapely.polygonize_full(edges))
    if len(polygons) > PIECES.most:
        raise InputError(f"{len(polygons)} pieces are more than the {PIECES.most} that can be worked out.")
    faults = [
        _bounds_nothing(shapely.get_coordinates(line)[0], units) for lines in leftovers for line in lines
    ]
    pieces: list[tuple[Ring, shapely.Polygon]] = []
    for polygon in polygons:
        ring = without_flat_corners([(x, y) for x, y in polygon.exterior.coords[:-1]], tolerances.flat)
        pieces.append((ring if signed_area(ring) > 0 else ring[::-1], polygon))
        faults += _piece_faults(polygon, ring, tolerances, units)
    pieces.sort(key=lambda piece: min((y, x) for x, y in piece[0]))
    return pieces, faults


def _spans(lines: Sequence[Stroke], tolerances: Tolerances) -> set[tuple[Point, Point]]:
    """Every line cut at every place where another meets it; each place is one and the same point."""
    places: list[Point] = []
    grid: dict[tuple[int, int], list[Point]] = {}
    size = 4 * tolerances.same

    def settled(point: Point) -> Point:
        cell = (math.floor(point[0] / size), math.floor(point[1] / size))
        for dx in (0, -1, 1):
            for dy in (0, -1, 1):
                for other in grid.get((cell[0] + dx, cell[1] + dy), ()):
                    if math.dist(other, point) <= tolerances.same:
                        return other
        places.append(point)
        grid.setdefault(cell, []).append(point)
        return point

    stops: list[set[Point]] = [{settled(s.start), settled(s.end)} for s in lines]
    whole = [line_through(s.start, s.end) for s in lines]
    for j, a in enumerate(lines):
        for k in range(j + 1, len(lines)):
            b = lines[k]
            place = meet(whole[j], whole[k])
            if (
                place
                and distance_to(place, a) <= tolerances.same
                and distance_to(place, b) <= tolerances.same
            ):
                stops[j].add(settled(place))
                stops[k].add(settled(place))
        # Lines that do not meet make no piece. Each new place of meeting makes one, or joins lines not joined so far.
        if len(places) > PIECES.most + 3 * len(lines):
            raise InputError(f"the seams make more than the {PIECES.most} pieces that can be worked out.")
    spans = set()
    for line, points in zip(lines, stops, strict=True):
        order = sorted(points, key=lambda p, s=line.start: math.dist(p, s))  # type: ignore[misc]
        spans |= {(min(p, q), max(p, q)) for p, q in pairwise(order)}
    return spans


def _piece_faults(
    polygon: shapely.Polygon, ring: Ring, tolerances: Tolerances, units: Units
) -> Iterator[Finding]:
    ring = ring if signed_area(ring) > 0 else ring[::-1]
    middle = inner_point(polygon)
    place = place_text(*middle, units)
    if polygon.interiors:
        yield Finding(
            "piece-not-convex", "redesign", f"The piece at {place} has another piece inside it.",
            where=middle, hint="Extend the seams around the inner piece to other seams.",
        )  # fmt: skip
        return
    for k, p in enumerate(ring):
        a, b = ring[k - 1], ring[(k + 1) % len(ring)]
        if (p[0] - a[0]) * (b[1] - p[1]) - (p[1] - a[1]) * (b[0] - p[0]) < -tolerances.flat * math.dist(a, b):
            yield Finding(
                "piece-not-convex", "redesign",
                f"The piece at {place} has an inward corner at {place_text(*p, units)}; "
                "no straight seam can make it.",
                where=p, hint="Extend one of the seams that meet there across the piece.",
            )  # fmt: skip
            return
    width = convex_width(ring)
    if width < tolerances.sliver:
        yield Finding(
            "piece-sliver", "redesign",
            f"The piece at {place} is a sliver {measured_text(width, units)} wide.",
            width, tolerances.sliver, middle, None,
            "Remove one of its seams or move them apart.",
        )  # fmt: skip


def inner_point(polygon: shapely.Polygon) -> Point:
    """The point of a polygon that is furthest from its edge."""
    x, y = shapely.maximum_inscribed_circle(polygon).coords[0][:2]
    return x, y


def _bounds_nothing(place: Sequence[float], units: Units) -> Finding:
    return Finding(
        "seam-open-end", "redesign", f"A seam does not bound a piece at {place_text(place[0], place[1], units)}.",
        where=(float(place[0]), float(place[1])), hint="Move its ends onto seams or onto the block's edge.",
    )  # fmt: skip
