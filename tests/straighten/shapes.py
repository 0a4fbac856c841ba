"""Outlines made for the tests, and blocks made of them by the whole pipeline."""

from dataclasses import replace

from shapely import affinity
from shapely.geometry import MultiPolygon

from converter.fonts.choosing import ChosenGlyph
from converter.fonts.outlines import Outline
from converter.geometry import Line
from converter.pipeline import Job, Made, make_block
from converter.placement import Zones
from converter.settings import Settings
from converter.sewing.search import Prices
from converter.straighten.cost.drawing import Drawing
from converter.straighten.cost.figures import drawing_of
from converter.straighten.cost.figures import figure_of as rings_drawn
from converter.straighten.finish.verdict import Target
from converter.straighten.outline.crests import Crest
from converter.straighten.outline.hand import Hand
from converter.straighten.outline.lines import symmetry_maps
from converter.straighten.outline.symmetry import Symmetry
from tests.sewing.figures import figure_of, shape_of

CAP = 700.0  # font units
JUDGED_SIZE = 100.0  # mm
NONE = Symmetry()


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


def target_of(outline, symmetry: Symmetry = NONE, crests: tuple[Crest, ...] = (), **changed) -> Target:
    """What figures for an outline (mm) in a block of 120 × 120 mm are judged by."""
    outline = outline if isinstance(outline, MultiPolygon) else MultiPolygon([outline])
    target = Target(
        outline=outline, width=120.0, height=120.0, size=JUDGED_SIZE, prices=Prices.of(1.0), min_piece_width=3.0,
        truth=12.0, least_overlap=0.9, farthest=5.0, sharpest=10.0, crests=crests, symmetry=symmetry, budget=400,
    )  # fmt: skip
    return replace(target, **changed)


def drawing(shape, symmetry: Symmetry = NONE) -> Drawing:
    """The lines of a shape that has the symmetry."""
    found = drawing_of(figure_of(shape), symmetry_maps(symmetry))
    assert found is not None
    return found


def drawn_shape(found: Drawing, holes: tuple[int, ...] = (1,)) -> MultiPolygon:
    """A drawing of one ring, or of polygons with so many rings, as a shape."""
    rings = rings_drawn(found, holes)
    assert rings is not None
    return shape_of(rings)


def drawn_lines(found: Drawing) -> list[Line]:
    """The lines that carry an edge, each once."""
    return [Line(*found.lines[k].tolist()) for k in sorted(set(found.edges.tolist()))]


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
