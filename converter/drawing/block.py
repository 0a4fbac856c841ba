"""The block that a designer edits, by its seams or by the shape of its figure."""

from collections.abc import Sequence

from shapely import Point as Spot
from shapely import Polygon, get_parts, normalize, union_all

from converter.drawing.labels import Label, Sizes, number_labels, tag
from converter.drawing.svg import INK, LABEL_FONT, Sheet, xml_id
from converter.geometry import without_flat_corners
from converter.measures import size_text, units_of
from converter.model import BACKGROUND, FIGURE, Glyph, Pattern, Polygons, Ring
from converter.seams import seams

# Both show on light and on dark fabrics.
SEAM_INK = "#c2417c"
GUIDE_INK = "#3d8bd4"

SHAPE_ID = "shape-of-"  # and the fabric

_FLAT = 5e-3  # mm, as in the replay of the sewing

Guide = Sequence[Sequence[Ring]]  # polygons, each an outer ring and its holes, mm on the block


def block_size(pattern: Pattern, glyph: Glyph) -> tuple[float, float]:
    """Finished width and height of a glyph's block in mm."""
    return glyph.metrics.block_width or pattern.block.width, pattern.block.height


def fabric_colour(pattern: Pattern, fabric: str) -> str:
    """The colour that a fabric is drawn in; grey for one that the pattern does not list."""
    return pattern.fabrics[fabric].colour if fabric in pattern.fabrics else "#bbbbbb"


def ink_on(colour: str) -> str:
    """Black or white, whichever can be read better on ``#rrggbb``."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    # Rec. 709 luma of the encoded values; good enough for a choice between two.
    return INK if 0.2126 * red + 0.7152 * green + 0.0722 * blue > 130 else "#ffffff"


def block_svg(pattern: Pattern, glyph: Glyph, guide: Guide | None = None, font: str = LABEL_FONT) -> str:
    """The block's SVG with the layers ``guide``, ``pieces``, ``shape``, ``seams`` and ``labels``.

    ``guide`` is the font's own placed outline. The drawing is as large as the finished block.
    """
    width, height = block_size(pattern, glyph)
    pen = max(width, height) / 400
    size = size_text(width, height, units_of(pattern))
    sheet = Sheet(width, height, f"{tag(glyph)}: the block from its front, {size}", font)
    pieces = sheet.layer("pieces", "pieces: recolour to change a fabric")
    for piece in glyph.pieces:
        sheet.polygon(
            pieces,
            piece.polygon,
            id=xml_id(f"piece-{piece.id}"),
            fill=fabric_colour(pattern, piece.fabric),
            **{"data-fabric": piece.fabric},
        )
    drawn = sheet.layer("guide", "guide: the font's outline", fill="none", stroke=GUIDE_INK, stroke_width=pen)
    for polygon in guide or ():
        sheet.path(drawn, polygon)
    # Without fill, so that the pieces can be picked through it; wider than the seams on it, so that both are seen.
    shape = sheet.layer(
        "shape", "shape: or redraw the letter here, and the seams follow",
        fill="none", stroke_width=3 * pen, stroke_linejoin="round",
    )  # fmt: skip
    for fabric, figure in fabric_figures(glyph):
        outline = [ring for polygon in figure for ring in polygon]
        name = xml_id(SHAPE_ID + fabric)
        sheet.path(shape, outline, id=name, stroke=fabric_colour(pattern, fabric))
    lines = sheet.layer(
        "seams", "seams: edit these lines", stroke=SEAM_INK, stroke_width=pen, stroke_linecap="round"
    )
    for seam in seams(glyph):
        name = f"seam-{seam.added}" if seam.kind == "inner" else f"join-{seam.step}"
        sheet.line(lines, seam.start, seam.end, id=xml_id(name), class_=f"{seam.kind}-seam")
    labels = sheet.layer("labels", "labels: piece numbers")
    em = max(2.4, min(width, height) * 0.055)
    sizes = Sizes(em, max(1.6, em / 2))
    rings = [(piece.id, piece.polygon) for piece in glyph.pieces]
    for piece, label in zip(glyph.pieces, number_labels(rings, sizes), strict=True):
        ink = ink_under(pattern, glyph, label)
        halo = INK if ink != INK else "#ffffff"
        sheet.label(labels, label, ink, halo, id=xml_id(f"label-{piece.id}"))
    return sheet.tostring()


def fabric_figures(glyph: Glyph) -> tuple[tuple[str, Polygons], ...]:
    """The straight-edged figure of each fabric that is not the background, mm on the block."""
    fabrics = sorted({piece.fabric for piece in glyph.pieces} - {BACKGROUND})
    if len(fabrics) < 2 and glyph.figure:  # without pieces it is all that there is
        return ((fabrics[0] if fabrics else FIGURE, glyph.figure),)
    return tuple((fabric, _cloth(glyph, fabric)) for fabric in fabrics)


def _cloth(glyph: Glyph, fabric: str) -> Polygons:
    cloth = normalize(union_all([Polygon(p.polygon) for p in glyph.pieces if p.fabric == fabric]))
    return tuple(
        tuple(
            without_flat_corners([(x, y) for x, y in ring.coords[:-1]], _FLAT)
            for ring in (part.exterior, *part.interiors)
        )
        for part in get_parts(cloth)
        if isinstance(part, Polygon)
    )


def ink_under(pattern: Pattern, glyph: Glyph, label: Label) -> str:
    """The ink for a label, from the colour of the piece that it stands on."""
    spot = Spot(label.middle)
    for piece in glyph.pieces:
        if Polygon(piece.polygon).intersects(spot):
            return ink_on(fabric_colour(pattern, piece.fabric))
    return INK
