"""Pictures of a block for pages and reports: coloured, blank, the map of sections, one picture a sewing step.

All show the finished face at true size (mm); pens and texts are sized by the block, so that a picture can be
shown smaller and still be read.
"""

from shapely import MultiPoint, MultiPolygon, Polygon

from converter.drawing.block import block_size, fabric_colour, ink_under
from converter.drawing.labels import (
    CAP_HEIGHT,
    Label,
    Sizes,
    extent,
    inner_radius,
    inside,
    number_labels,
    tag,
)
from converter.drawing.shapes import box
from converter.drawing.svg import INK, LABEL_FONT, SOFT_INK, Element, Sheet, number, xml_id
from converter.model import Glyph, Pattern, Piece, Point
from converter.seams import Seam, assemblies, outline, seams

FAINT = "#c9c9c9"
# Neighbouring sections get neighbouring tints: light enough for black text, apart enough to tell in grey.
TINTS = ("#ffffff", "#dcdcdc", "#efefef", "#cbcbcb", "#e6e6e6", "#d3d3d3")


def coloured_picture(pattern: Pattern, glyph: Glyph, font: str = LABEL_FONT) -> str:
    """The block as it will look: every piece in its fabric's colour."""
    sheet, pen = _sheet(pattern, glyph, "in its colours", font)
    group = sheet.group(stroke=INK, stroke_width=pen * 0.7, stroke_opacity=0.35, stroke_linejoin="round")
    for piece in glyph.pieces:
        sheet.polygon(group, piece.polygon, fill=fabric_colour(pattern, piece.fabric))
    _frame(sheet, pattern, glyph, pen)
    return sheet.tostring()


def blank_picture(pattern: Pattern, glyph: Glyph, font: str = LABEL_FONT) -> str:
    """The outlines of all pieces, to plan colours on."""
    sheet, pen = _sheet(pattern, glyph, "to plan colours on", font)
    group = sheet.group(fill="#ffffff", stroke=INK, stroke_width=pen, stroke_linejoin="round")
    for piece in glyph.pieces:
        sheet.polygon(group, piece.polygon)
    _frame(sheet, pattern, glyph, pen)
    return sheet.tostring()


def section_map(pattern: Pattern, glyph: Glyph, font: str = LABEL_FONT) -> str:
    """Which section each piece is in, its number there, and the order of the joins (a number on each)."""
    sheet, pen = _sheet(pattern, glyph, "sections, numbers and joins", font)
    fills = sheet.group(stroke="none")
    for place, section in enumerate(glyph.sections):
        sheet.polygon(fills, outline(glyph, section.pieces), fill=TINTS[place % len(TINTS)])
    every = seams(glyph)
    lines = sheet.group(stroke=INK, stroke_linecap="round")
    for seam in every:
        wide = pen * 2.6 if seam.kind == "join" else pen * 0.8
        sheet.line(lines, seam.start, seam.end, stroke_width=wide)
    _frame(sheet, pattern, glyph, pen)
    labels = _piece_labels(pattern, glyph, glyph.pieces)
    texts = sheet.group(class_="piece-numbers")
    for label in labels:
        sheet.label(texts, label)
    tabs = sheet.group(class_="join-numbers")
    for seam in every:
        if seam.kind == "join":
            _tab(sheet, tabs, seam, _unit(pattern, glyph) * 0.8, labels)
    return sheet.tostring()


def step_picture(pattern: Pattern, glyph: Glyph, step: int, font: str = LABEL_FONT) -> str:
    """One sewing step, as if sewing: what is there is pale, what is added is strong, their seam is bold.

    ``step`` counts from 0 in the order of :func:`converter.seams.seams`; IndexError when there is none.
    """
    seam = seams(glyph)[step]
    there, added = step_pieces(glyph, seam)
    sheet, pen = _sheet(pattern, glyph, f"step {step + 1}", font)
    rest = sheet.group(fill="none", stroke=FAINT, stroke_width=pen * 0.7)
    for section in glyph.sections:
        sheet.polygon(rest, outline(glyph, section.pieces))
    for name, pieces, opacity in (("there", there, 0.4), ("added", added, 1.0)):
        group = sheet.group(class_=name, stroke=INK, stroke_width=pen * 0.7, stroke_linejoin="round")
        for piece in pieces:
            fill = fabric_colour(pattern, piece.fabric)
            sheet.polygon(group, piece.polygon, fill=fill, fill_opacity=opacity)
    _frame(sheet, pattern, glyph, pen, FAINT)
    bold = sheet.group(class_="seam", stroke_linecap="butt")
    sheet.line(bold, seam.start, seam.end, stroke="#ffffff", stroke_width=pen * 5.5)
    sheet.line(bold, seam.start, seam.end, stroke=INK, stroke_width=pen * 3)
    texts = sheet.group(class_="names")
    for label, strong in _step_labels(pattern, glyph, seam, there, added):
        ink = ink_under(pattern, glyph, label) if strong else INK
        sheet.label(texts, label, ink, font_weight="bold" if strong else "normal")
    return sheet.tostring()


def step_pieces(glyph: Glyph, seam: Seam) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    """The pieces that are there before a seam is sewn, and the pieces that it adds."""
    if seam.kind == "inner":
        ids = next(s.pieces for s in glyph.sections if s.id == seam.section)
        first, second = ids[: seam.step - 1], ids[seam.step - 1 : seam.step]
    else:
        parts = assemblies(glyph)
        join = next(j for j in glyph.joins if j.step == seam.step)
        first, second = parts[join.parts[0]].pieces, parts[join.parts[1]].pieces
    return tuple(glyph.piece(i) for i in first), tuple(glyph.piece(i) for i in second)


def _step_labels(
    pattern: Pattern, glyph: Glyph, seam: Seam, there: tuple[Piece, ...], added: tuple[Piece, ...]
) -> list[tuple[Label, bool]]:
    if seam.kind == "inner":
        labels = _piece_labels(pattern, glyph, there + added)
        return [(label, place >= len(there)) for place, label in enumerate(labels)]
    unit, found = _unit(pattern, glyph), []
    new = {piece.id for piece in added}
    ids = {piece.id for piece in there} | new
    for section in glyph.sections:
        if section.pieces[0] in ids:
            # In its roomiest piece, so that the name stands on no seam.
            rings = [glyph.piece(i).polygon for i in section.pieces]
            roomiest = max(rings, key=lambda ring: round(inner_radius(ring), 4))
            label = inside(section.id, roomiest, Sizes(unit * 1.6, unit * 0.5))
            if label:
                found.append((label, section.pieces[0] in new))
    return found


def _piece_labels(pattern: Pattern, glyph: Glyph, pieces: tuple[Piece, ...]) -> list[Label]:
    unit = _unit(pattern, glyph)
    rings = [(piece.id, piece.polygon) for piece in pieces]
    others = [piece.polygon for piece in glyph.pieces if piece not in pieces]
    return number_labels(rings, Sizes(unit, unit * 0.55), others=others)


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


def _unit(pattern: Pattern, glyph: Glyph) -> float:
    """The em of a piece's number in mm."""
    width, height = block_size(pattern, glyph)
    return min(max(width, height * 0.6), height) * 0.075


def _sheet(pattern: Pattern, glyph: Glyph, what: str, font: str) -> tuple[Sheet, float]:
    """A sheet of the block's size, and the width of a thin pen for it."""
    width, height = block_size(pattern, glyph)
    return Sheet(width, height, f"{tag(glyph)}: {what}", font), max(width, height) / 250


def _frame(sheet: Sheet, pattern: Pattern, glyph: Glyph, pen: float, ink: str = SOFT_INK) -> None:
    """The block's edge, wholly inside the drawing."""
    width, height = block_size(pattern, glyph)
    ring = box((width / 2, height / 2), width - pen, height - pen)
    sheet.polygon(sheet.group(), ring, fill="none", stroke=ink, stroke_width=number(pen))
