"""Templates read back from their drawing, and brought home to the block's own face."""

from shapely import Polygon, union_all
from shapely.affinity import scale, translate
from shapely.geometry.base import BaseGeometry

from converter.drawing import template_svg
from converter.model import Pattern
from tests.drawing import reading


def sections(pattern: Pattern):
    """Each section's group of the whole drawing, and the way from its place there to the block's own face.

    The way back is worked out from the bounding boxes alone: a mirror image has the same size.
    """
    glyph = pattern.glyphs[0]
    root = reading.parse(template_svg(pattern, glyph))
    for section in glyph.sections:
        group = reading.group(root, f"template-{section.id}")
        drawn = reading.polygon(reading.of_class(group, "section-line")[0])
        sewn = union_all([Polygon(glyph.piece(i).polygon).buffer(1e-4) for i in section.pieces])

        def back(shape: BaseGeometry, drawn=drawn, sewn=sewn) -> BaseGeometry:
            flipped = scale(shape, -1, 1, origin=(drawn.bounds[0], 0))
            dx = sewn.bounds[0] + 1e-4 - (2 * drawn.bounds[0] - drawn.bounds[2])
            return translate(flipped, dx - 0.0, sewn.bounds[1] + 1e-4 - drawn.bounds[1])

        yield section, group, drawn, sewn, back
