"""One picture a sewing step, as if sewing: what is there, what is added, and the seam between them."""

from converter.covering import centre_marks
from converter.drawing.block import block_size, fabric_colour, ink_under
from converter.drawing.labels import Label, Sizes, inner_radius, number_labels
from converter.drawing.pictures import NAME_CLEAR, draw_frame, name_em, picture_sheet
from converter.drawing.shapes import box
from converter.drawing.svg import INK, LABEL_FONT
from converter.model import Glyph, Pattern, Piece, Ring
from converter.seams import Seam, assemblies, outline, seams

FAINT = "#c9c9c9"
ARROW = 16.0  # pens, the size of the arrow where the middle of a patch lies


def step_picture(pattern: Pattern, glyph: Glyph, step: int, font: str = LABEL_FONT, em: float = 0.0) -> str:
    """What is there is pale, what is added is strong and has its name, their seam is bold.

    ``step`` counts from 0 in the order of :func:`converter.seams.seams`; IndexError when there is none.
    ``em``: of the names, mm on the block; 0 for one by the block's size.
    """
    seam = seams(glyph)[step]
    there, added = step_pieces(glyph, seam)
    sheet, pen = picture_sheet(pattern, glyph, f"step {step + 1}", font)
    rest = sheet.group(fill="none", stroke=FAINT, stroke_width=pen * 0.7)
    for section in glyph.sections:
        sheet.polygon(rest, outline(glyph, section.pieces))
    for name, pieces, opacity in (("there", there, 0.4), ("added", added, 1.0)):
        group = sheet.group(class_=name, stroke=INK, stroke_width=pen * 0.7, stroke_linejoin="round")
        for piece in pieces:
            fill = fabric_colour(pattern, piece.fabric)
            sheet.polygon(group, piece.polygon, fill=fill, fill_opacity=opacity)
    draw_frame(sheet, pattern, glyph, pen, FAINT)
    bold = sheet.group(class_="seam", stroke_linecap="butt")
    sheet.line(bold, seam.start, seam.end, stroke="#ffffff", stroke_width=pen * 5.5)
    sheet.line(bold, seam.start, seam.end, stroke=INK, stroke_width=pen * 3)
    arrows = sheet.group(class_="patch-arrow", fill=INK, stroke="#ffffff", stroke_width=pen * 0.8)
    for mark in centre_marks(glyph, pattern.block):
        if seam.kind == "inner" and mark.piece == seam.added:
            sheet.polygon(arrows, mark.arrow(pen * ARROW))
    texts = sheet.group(class_="names", font_weight="bold")
    own = {piece.id for piece in added}
    for name, label in _names(pattern, glyph, seam, em or name_em(pattern, glyph)):
        on_added = label.leader is None and name in own
        sheet.label(texts, label, ink_under(pattern, glyph, label) if on_added else INK, "#ffffff")
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


def _names(pattern: Pattern, glyph: Glyph, seam: Seam, em: float) -> list[tuple[str, Label]]:
    """The piece that a seam adds (its first seam both), or the sections that it joins; and in which piece."""
    there, added = step_pieces(glyph, seam)
    shown = {piece.id: piece.polygon for piece in there + added}
    named: list[tuple[str, str]] = [(piece.id, piece.id) for piece in added]
    if seam.kind == "join":
        named = [(s.id, _roomiest(shown, s.pieces)) for s in glyph.sections if s.pieces[0] in shown]
    elif seam.step == 2:
        named.insert(0, (there[0].id, there[0].id))
    width, height = block_size(pattern, glyph)
    block = box((width / 2, height / 2), width, height)
    unnamed = [ring for piece, ring in shown.items() if piece not in {p for _, p in named}]
    off_lines = [(block, outline(glyph, list(shown))), *((ring, None) for ring in unnamed)]
    labels = number_labels(
        [(text, shown[piece]) for text, piece in named],
        Sizes(em, em),
        beside_in=[off_lines, [(block, None)]],
        clear=em * NAME_CLEAR,
    )
    return [(piece, label) for (_, piece), label in zip(named, labels, strict=True)]


def _roomiest(shown: dict[str, Ring], pieces: tuple[str, ...]) -> str:
    """The piece of a section in which a name has most room, so that it stands on no seam."""
    return max(pieces, key=lambda piece: round(inner_radius(shown[piece]), 4))
