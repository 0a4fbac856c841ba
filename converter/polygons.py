"""Polygons as the pattern file has them, rings of corners, and as shapely has them."""

from shapely.geometry import MultiPolygon, Polygon

from converter.model import Polygons


def rings_of(shape: MultiPolygon) -> Polygons:
    """The shape's rings, without repeated last points."""
    return tuple(
        tuple(tuple((x, y) for x, y in ring.coords[:-1]) for ring in (polygon.exterior, *polygon.interiors))
        for polygon in shape.geoms
    )


def polygons_of(polygons: Polygons) -> MultiPolygon:
    """The rings as a shape, valid or not: what :func:`rings_of` takes apart."""
    return MultiPolygon([Polygon(rings[0], rings[1:]) for rings in polygons if rings])
