"""Pictures of a block for pages and reports: coloured, blank, the map of sections.

All show the finished face at true size (mm); pens and texts are sized by the block, so that a picture can be
shown smaller and still be read.
"""

from shapely import MultiPoint, MultiPolygon, Polygon

from converter.drawing.block import block_size, fabric_colour, ink_under
from converter.drawing.labels import CAP_HEIGHT, Label, Sizes, extent, inside, number_labels, tag
from converter.drawing.shapes import box
from converter.drawing.svg import INK, LABEL_FONT, SOFT_INK, Element, Sheet, number, xml_id
from converter.fabric_codes import fabric_codes, has_several
from converter.model import Glyph, Pattern, Point
from converter.seams import Seam, outline, seams

# Neighbouring sections get neighbouring tints: light enough for black text, apart enough to tell in grey.
TINTS = ("#ffffff", "#dcdcdc", "#efefef", "#cbcbcb", "#e6e6e6", "#d3d3d3")

NAME_CLEAR = 0.2  # em between a name and any line


def coloured_picture(pattern: Pattern, glyph: Glyph, font: str = LABEL_FONT, em: float = 0.0) -> str:
    """The block as it will look: every piece in its fabric's colour, with its letter where there are several.

    ``em``: of the letters, mm on the block; 0 for one by the block's size.
    """
    sheet, pen = picture_sheet(pattern, glyph, "in its colours", font)
    group = sheet.group(stroke=INK, stroke_width=pen * 0.7, stroke_opacity=0.35, stroke_linejoin="round")
    for piece in glyph.pieces:
        sheet.polygon(group, piece.polygon, fill=fabric_colour(pattern, piece.fabric))
    draw_frame(sheet, pattern, glyph, pen)
    if has_several(glyph):
        _draw_codes(sheet, pattern, glyph, em or name_em(pattern, glyph))
    return sheet.tostring()


def _draw_codes(sheet: Sheet, pattern: Pattern, glyph: Glyph, em: float) -> None:
    """The letter of each fabric but the background on its pieces."""
    codes = fabric_codes(pattern.fabrics)
    coded = [piece for piece in glyph.pieces if piece.fabric in codes]
    texts = sheet.group(class_="fabric-codes")
    labels = [
        inside(codes[piece.fabric], piece.polygon, Sizes(em, em / 3), clear=em * NAME_CLEAR)
        for piece in coded
    ]
    for label in filter(None, labels):
        sheet.label(texts, label, ink_under(pattern, glyph, label))


def blank_picture(pattern: Pattern, glyph: Glyph, font: str = LABEL_FONT) -> str:
    """The outlines of all pieces, to colour in."""
    sheet, pen = picture_sheet(pattern, glyph, "to colour in", font)
    group = sheet.group(fill="#ffffff", stroke=INK, stroke_width=pen, stroke_linejoin="round")
    for piece in glyph.pieces:
        sheet.polygon(group, piece.polygon)
    draw_frame(sheet, pattern, glyph, pen)
    return sheet.tostring()


def section_map(pattern: Pattern, glyph: Glyph, font: str = LABEL_FONT, em: float = 0.0) -> str:
    """Which section each piece is in, its number there, and the order of the joins (a number on each).

    ``em``: of the smallest name, mm on the block; 0 for one by the block's size.
    """
    sheet, pen = picture_sheet(pattern, glyph, "sections, numbers and joins", font)
    em = em or name_em(pattern, glyph)
    fills = sheet.group(stroke="none")
    for place, section in enumerate(glyph.sections):
        sheet.polygon(fills, outline(glyph, section.pieces), fill=TINTS[place % len(TINTS)])
    every = seams(glyph)
    lines = sheet.group(stroke=INK, stroke_linecap="round")
    for seam in every:
        wide = pen * 2.6 if seam.kind == "join" else pen * 0.8
        sheet.line(lines, seam.start, seam.end, stroke_width=wide)
    draw_frame(sheet, pattern, glyph, pen)
    codes = fabric_codes(pattern.fabrics) if has_several(glyph) else {}
    rings = [(piece.id + codes.get(piece.fabric, ""), piece.polygon) for piece in glyph.pieces]
    labels = number_labels(rings, Sizes(em * 1.25, em), clear=em * NAME_CLEAR)
    texts = sheet.group(class_="piece-numbers")
    for label in labels:
        sheet.label(texts, label)
    tabs = sheet.group(class_="join-numbers")
    for seam in every:
        if seam.kind == "join":
            _tab(sheet, tabs, seam, em, labels)
    return sheet.tostring()


def _tab(sheet: Sheet, group: Element, seam: Seam, size: float, labels: list[Label]) -> None:
    """A join's number on a white tab on its seam, smaller where it would cover a piece's number."""
    text = str(seam.step)
    taken = MultiPolygon([Polygon(label.box()) for label in labels])
    dots = MultiPoint([label.leader[1] for label in labels if label.leader])
    shares = (10, 9, 11, 8, 12, 7, 13, 6, 14, 5, 15, 4, 16, 3, 17)
    for em in (size, size * 0.8, size * 0.6):
        width, height = extent(text, em)[0] + em * 0.55, em * (CAP_HEIGHT + 0.5)
        rings = [box(_on(seam, share / 20), width, height) for share in shares]
        free = [r for r in rings if not (Polygon(r).intersects(taken) or Polygon(r).intersects(dots))]
        if free:
            break
    ring = (free or rings)[0]
    sheet.polygon(group, ring, id=xml_id(f"join-{text}"), fill="#ffffff", stroke=INK, stroke_width=em / 12)
    sheet.text(
        group, text, ((ring[0][0] + ring[2][0]) / 2, (ring[0][1] + ring[2][1]) / 2), em, font_weight="bold"
    )


def _on(seam: Seam, share: float) -> Point:
    (ax, ay), (bx, by) = seam.start, seam.end
    return ax + share * (bx - ax), ay + share * (by - ay)


def name_em(pattern: Pattern, glyph: Glyph) -> float:
    """The em of a piece's name, mm on the block, where nothing says how large the picture will be shown."""
    width, height = block_size(pattern, glyph)
    return min(max(width, height * 0.6), height) * 0.06


def picture_sheet(pattern: Pattern, glyph: Glyph, what: str, font: str) -> tuple[Sheet, float]:
    """A sheet of the block's size, and the width of a thin pen for it."""
    width, height = block_size(pattern, glyph)
    return Sheet(width, height, f"{tag(glyph)}: {what}", font), max(width, height) / 250


def draw_frame(sheet: Sheet, pattern: Pattern, glyph: Glyph, pen: float, ink: str = SOFT_INK) -> None:
    """The block's edge, wholly inside the drawing."""
    width, height = block_size(pattern, glyph)
    ring = box((width / 2, height / 2), width - pen, height - pen)
    sheet.polygon(sheet.group(), ring, fill="none", stroke=ink, stroke_width=number(pen))
