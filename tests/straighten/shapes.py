"""Outlines made for the tests, and blocks made of them by the whole pipeline."""

from shapely import affinity
from shapely.geometry import MultiPolygon

from converter.fonts.choosing import ChosenGlyph
from converter.fonts.outlines import Outline
from converter.pipeline import Job, Made, make_block
from converter.placement import Zones
from converter.settings import Settings
from converter.straighten.hand import Hand
from tests.sewing.figures import figure_of, shape_of

CAP = 700.0  # font units


def outline_of(shape, name: str = "x") -> Outline:
    """An outline in font units, y up, of a shape in font units, y down."""
    turned = affinity.scale(shape, 1, -1, origin=(0, 0))
    polygons = figure_of(turned)
    return Outline(name, polygons, 600.0, turned.bounds if polygons else None, (), "outline")


def made_of(shape, settings: Settings | None = None, hand: Hand | None = None) -> Made:
    """The block of a shape in font units, y down, that stands on the baseline y = 0."""
    job = Job(
        ChosenGlyph("x", (120,), "x"), "x", outline_of(shape), "", Zones(CAP, 0.0, CAP),
        hand or Hand(), settings or Settings(),
    )  # fmt: skip
    return make_block(job)


def standing(shape, height: float = CAP):
    """A shape moved and enlarged to stand on the baseline as high as a capital."""
    left, top, right, bottom = shape.bounds
    moved = affinity.translate(shape, -(left + right) / 2, -bottom)
    factor = height / (bottom - top)
    return affinity.scale(moved, factor, factor, origin=(0, 0))


def figure(made: Made) -> MultiPolygon:
    return shape_of(made.glyph.figure)


def guide(made: Made) -> MultiPolygon:
    return shape_of(made.guide)


def counters(shape: MultiPolygon) -> int:
    return sum(len(polygon.interiors) for polygon in shape.geoms)
