"""What a join asks of the templates: which edges it joins, and the places along them that must meet."""

from dataclasses import dataclass
from math import hypot

from converter.model import Glyph, Point, Ring
from converter.seams import TOLERANCE, Seam, assemblies, outline, seams


@dataclass(frozen=True, slots=True)
class JoinEdge:
    """The side of a section's outline that lies on a join; mm on the finished face."""

    section: str
    join: int
    start: Point
    end: Point
    marks: tuple[Point, ...]  # places on this side that must meet the same places on the other side
    ends: tuple[Point, ...]  # of the whole seam, those that lie on this side


def join_edges(glyph: Glyph) -> tuple[JoinEdge, ...]:
    """Every side of every section that is joined, in order of the joins.

    A mark stands where seams end on both sides of the join, and where a border between sections ends on
    either side: there the maker has something on both sides to put a pin through.
    """
    parts, all_seams = assemblies(glyph), seams(glyph)
    outlines = {section.id: outline(glyph, section.pieces) for section in glyph.sections}
    by_step = {seam.step: seam for seam in all_seams if seam.kind == "join"}
    edges: list[JoinEdge] = []
    for join in glyph.joins:
        seam = by_step[join.step]
        sides = [parts[name].sections for name in join.parts]
        inner, borders = zip(*(_ends_on(seam, set(side), all_seams, glyph) for side in sides), strict=True)
        places = [
            t
            for t in sorted({*inner[0], *borders[0], *inner[1], *borders[1]})
            if _has(borders[0], t) or _has(borders[1], t) or (_has(inner[0], t) and _has(inner[1], t))
        ]
        for section in sides[0] + sides[1]:
            side = _side_on(seam, outlines[section])
            if side:
                low, high = side
                marks = [t for t in _distinct(places) if low - TOLERANCE <= t <= high + TOLERANCE]
                ends = [t for t in (0.0, seam.length) if low - TOLERANCE <= t <= high + TOLERANCE]
                edges.append(
                    JoinEdge(
                        section,
                        join.step,
                        _at(seam, low),
                        _at(seam, high),
                        tuple(_at(seam, t) for t in marks),
                        tuple(_at(seam, t) for t in ends),
                    )
                )
    return tuple(edges)


def _ends_on(
    seam: Seam, sections: set[str], all_seams: tuple[Seam, ...], glyph: Glyph
) -> tuple[list[float], list[float]]:
    """Where seams and section borders of one side end on a join, in mm from its start; its ends left out."""
    names = {name for name, a in assemblies(glyph).items() if set(a.sections) <= sections}
    inner: list[float] = []
    borders: list[float] = []
    for other in all_seams:
        if other is seam or other.section not in names:
            continue
        for end in (other.start, other.end):
            t, off = _along(seam, end)
            if abs(off) <= TOLERANCE and TOLERANCE < t < seam.length - TOLERANCE:
                (inner if other.kind == "inner" else borders).append(t)
    return inner, borders


def _side_on(seam: Seam, ring: Ring) -> tuple[float, float] | None:
    near = [t for t, off in (_along(seam, p) for p in ring) if abs(off) <= TOLERANCE]
    low, high = (max(0.0, min(near)), min(seam.length, max(near))) if near else (0.0, 0.0)
    return (low, high) if high - low > TOLERANCE else None


def _along(seam: Seam, point: Point) -> tuple[float, float]:
    (ax, ay), (bx, by), length = seam.start, seam.end, seam.length
    ux, uy = (bx - ax) / length, (by - ay) / length
    x, y = point[0] - ax, point[1] - ay
    return x * ux + y * uy, y * ux - x * uy


def _at(seam: Seam, t: float) -> Point:
    share = t / hypot(seam.end[0] - seam.start[0], seam.end[1] - seam.start[1])
    return (
        seam.start[0] + share * (seam.end[0] - seam.start[0]),
        seam.start[1] + share * (seam.end[1] - seam.start[1]),
    )


def _has(places: list[float], t: float) -> bool:
    return any(abs(p - t) <= TOLERANCE for p in places)


def _distinct(places: list[float]) -> list[float]:
    kept: list[float] = []
    for t in places:
        if not kept or t - kept[-1] > TOLERANCE:
            kept.append(t)
    return kept
