"""An empty block to draw in: a character that the font lacks, by hand."""

from converter.drawing.block import GUIDE_INK, SEAM_INK
from converter.drawing.svg import INK, SOFT_INK, Sheet, harmless
from converter.measures import Units, size_text
from converter.model import BACKGROUND, Polygons

COARSE = 4  # every so many grid lines one is bolder


def blank_svg(
    name: str,
    width: float,
    height: float,
    grid: float,
    background: str,
    outline: Polygons = (),
    levels: tuple[float, ...] = (),
    units: Units = "in",
    figure: str = INK,
) -> str:
    """An empty block's drawing with the layers that a check reads, and a ``grid``. Lengths in mm.

    ``background`` and ``figure`` are the fabrics' colours. ``outline``: the font's own, where it has one;
    ``levels``: heights (y) that the letters of the set keep.
    """
    pen = max(width, height) / 400
    sheet = Sheet(width, height, f"{name}: an empty block, {size_text(width, height, units)}")
    pieces = sheet.layer("pieces", "pieces: with seams, colour these")
    ring = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    sheet.polygon(pieces, ring, id="piece-A1", fill=background, **{"data-fabric": BACKGROUND})
    lines = sheet.layer("grid", "grid: a visual aid only", stroke=SOFT_INK, fill="none")
    for size, upright in ((width, True), (height, False)):
        for k in range(1, int((size - 1e-6) / grid) + 1):
            at = k * grid
            start, end = ((at, 0.0), (at, height)) if upright else ((0.0, at), (width, at))
            bold = k % COARSE == 0
            sheet.line(lines, start, end, stroke_width=pen / (2 if bold else 4), stroke_opacity=0.7)
    guide = sheet.layer("guide", "guide: heights of the set", fill="none", stroke=GUIDE_INK, stroke_width=pen)
    for polygon in outline:
        sheet.path(guide, polygon)
    for level in levels:
        if 0 < level < height:
            sheet.line(guide, (0.0, level), (width, level))
    sheet.layer(
        "shape", "shape: draw the letter here, as closed outlines; that is all",
        fill="none", stroke=figure, stroke_width=3 * pen, stroke_linejoin="round",
    )  # fmt: skip
    sheet.layer(
        "seams",
        "seams: or draw the seams here, as straight lines",
        stroke=SEAM_INK,
        stroke_width=pen,
        stroke_linecap="round",
    )
    sheet.layer("labels", harmless("labels: piece numbers"))
    return sheet.tostring()
