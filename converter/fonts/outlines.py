"""A glyph's outline as polygons in font units, with what was broken in it and how it was repaired."""

import math
from dataclasses import dataclass
from typing import Literal

import shapely

from converter.fonts.errors import GlyphError
from converter.fonts.flatten import flatten_contour
from converter.fonts.loading import Font
from converter.fonts.winding import nonzero_union, ring_area
from converter.model import Point, Polygons

OutlineKind = Literal["outline", "blank", "no-outline"]

_GRID_IN_TOLERANCE = 256  # the grid that edges are snapped to is at least this much finer than the tolerance
_SPECK_IN_EM = 1 / 500  # a part or hole smaller than a square of this side is dirt, not drawing


@dataclass(frozen=True, slots=True)
class Outline:
    """What one glyph fills, in font units, y up.

    ``polygons``: disjoint and valid, each an outer ring (anticlockwise) and its holes (clockwise), without
    a repeated last point. ``bounds``: left, bottom, right, top, or None without ink. ``repairs``: in plain
    words. ``colours``: how many it is drawn in. ``kind``: "blank" has no ink, "no-outline" exists as a colour,
    bitmap or SVG picture only.
    """

    name: str
    polygons: Polygons
    advance: float
    bounds: tuple[float, float, float, float] | None
    repairs: tuple[str, ...]
    kind: OutlineKind
    colours: int = 1


def read_outline(font: Font, glyph_name: str, tolerance: float) -> Outline:
    """The outline of a glyph with curves as chords no further than ``tolerance`` (font units) from them.

    Raises :class:`GlyphError` when this glyph is damaged or asks for absurd work, ValueError for a
    tolerance that is not positive, KeyError for a glyph that the font does not have.
    """
    if not 0 < tolerance < math.inf:
        raise ValueError(f"tolerance must be positive, not {tolerance}")
    tolerance = max(tolerance, font.units_per_em * 1e-5)
    contours = font.contours(glyph_name)
    repairs: list[str] = []
    opened = sum(not closed for _, closed in contours)
    if opened:
        repairs.append(f"{_count(opened, 'open contour')} closed with a straight line")
    rings = [flatten_contour(curves, tolerance) for curves, _ in contours]
    crossing = sum(_crosses_itself(ring) for ring in rings)
    if crossing:
        repairs.append(f"{_count(crossing, 'contour')} crossing itself resolved by nonzero winding")
    grid = 2.0 ** math.floor(math.log2(tolerance / _GRID_IN_TOLERANCE))
    try:
        polygons = nonzero_union(rings, grid)
    except shapely.errors.GEOSException:
        raise GlyphError("its contours are too damaged to be combined") from None
    polygons, specks = _without_specks(polygons, (font.units_per_em * _SPECK_IN_EM) ** 2)
    if specks:
        repairs.append(f"{_count(specks, 'speck')} too small to see removed")
    if contours and not polygons:
        repairs.append("contours without area removed")
    corners = [corner for polygon in polygons for corner in polygon[0]]
    kind: OutlineKind = "outline" if polygons else "no-outline" if font.is_picture(glyph_name) else "blank"
    advance = font.advance(glyph_name)
    colours = font.colours(glyph_name)
    return Outline(glyph_name, polygons, advance, _bounds(corners), tuple(repairs), kind, colours)


def _crosses_itself(ring: list[Point]) -> bool:
    return len(ring) >= 3 and not shapely.is_simple(shapely.LinearRing(ring))


def _without_specks(polygons: Polygons, least_area: float) -> tuple[Polygons, int]:
    kept = [
        (polygon[0], *(hole for hole in polygon[1:] if -ring_area(hole) >= least_area))
        for polygon in polygons
        if ring_area(polygon[0]) >= least_area
    ]
    return tuple(kept), sum(map(len, polygons)) - sum(map(len, kept))


def _bounds(corners: list[Point]) -> tuple[float, float, float, float] | None:
    if not corners:
        return None
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
