"""Outlines made for the tests, and blocks made of them by the whole pipeline."""

from converter.straighten.measured import sample_outline
from shapely import affinity
from shapely.geometry import MultiPolygon

from converter.fonts.choosing import ChosenGlyph
from converter.fonts.outlines import Outline
from converter.pipeline import Job, Made, make_block
from converter.placement import Zones
from converter.settings import Settings
from converter.sewing.search import Prices
from converter.straighten.finish.verdict import Judge
from converter.straighten.outline.crests import Crest
from converter.straighten.outline.hand import Hand
from converter.straighten.outline.symmetry import Symmetry
from tests.sewing.figures import figure_of, shape_of

CAP = 700.0  # font units
JUDGED_SIZE = 100.0  # mm


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


def judge_of(outline: MultiPolygon, symmetry: Symmetry, crests: tuple[Crest, ...] = ()) -> Judge:
    """A judge of figures for an outline (mm) in a block of 120 × 120 mm."""
    return Judge(
        outline=outline, width=120.0, height=120.0, size=JUDGED_SIZE, prices=Prices.of(1.0), min_piece_width=3.0,
        truth=12.0, level=1.0, least_iou=0.9, most_hausdorff=5.0, sharpest=10.0, crests=crests,
        samples=sample_outline(outline, JUDGED_SIZE / 60), symmetry=symmetry,
    )  # fmt: skip


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
