"""The data of ``proof.pdf``: each block at true size with what its tester should look at."""

from dataclasses import dataclass
from typing import Any

from converter.drawing.block import block_size
from converter.drawing.labels import Sizes, number_labels, tag
from converter.drawing.meetings import match_count
from converter.drawing.shapes import box
from converter.drawing.svg import INK, SOFT_INK, Sheet, xml_id
from converter.drawing.template_labels import NUMBER_LEAST
from converter.measures import Units, length_text, size_text
from converter.model import Glyph, Pattern, Point, Ring
from converter.printing.paper import BODY
from converter.printing.sheets import PART
from converter.printing.tiles import Split, split
from converter.printing.typesetting import PAGE_FONT
from converter.seams import seams

HEADING = 10.0  # mm above the block
MARGIN = 0.3  # mm round the block, so that its edge is drawn with its whole width
EDGE_PEN, JOIN_PEN, SEAM_PEN = 0.3, 0.6, 0.25  # mm


@dataclass(frozen=True, slots=True)
class Proof:
    """One block's drawing at true size: size in mm, and its parts where no page holds it whole."""

    glyph: Glyph
    svg: str
    size: tuple[float, float]
    outline: Ring
    parts: Split | None

    @property
    def figure(self) -> str:
        """The id of its drawing."""
        return f"{self.glyph.key}/proof"


def draw_proof(pattern: Pattern, glyph: Glyph) -> Proof:
    """Edge, seams and numbers in thin lines, from the front, to lay the sewn block on."""
    width, height = block_size(pattern, glyph)
    size = width + 2 * MARGIN, height + 2 * MARGIN
    sheet = Sheet(*size, f"{tag(glyph)}: the block at true size", PAGE_FONT)
    rings = [(piece.id, tuple(_moved(p) for p in piece.polygon)) for piece in glyph.pieces]
    block = sheet.group(stroke_linecap="round")
    for seam in seams(glyph):
        pen = JOIN_PEN if seam.kind == "join" else SEAM_PEN
        ends = _moved(seam.start), _moved(seam.end)
        sheet.line(block, *ends, class_=f"{seam.kind}-seam", stroke=INK, stroke_width=pen)
    edge = box((size[0] / 2, size[1] / 2), width, height)
    sheet.polygon(block, edge, class_="block-edge", fill="none", stroke=INK, stroke_width=EDGE_PEN)
    em = max(2.4, min(4.5, min(width, height) * 0.05))
    for piece, label in zip(glyph.pieces, number_labels(rings, Sizes(em, NUMBER_LEAST)), strict=True):
        sheet.label(block, label, SOFT_INK, class_="piece-number", id=xml_id(f"number-{piece.id}"))
    outline = box((size[0] / 2, size[1] / 2), *size)
    svg = sheet.tostring()
    fits = size[0] <= BODY[0] and size[1] <= BODY[1] - HEADING
    return Proof(glyph, svg, size, outline, None if fits else split(svg, size, outline, PART))


def _moved(point: Point) -> Point:
    return point[0] + MARGIN, point[1] + MARGIN


def checks(pattern: Pattern, glyph: Glyph, units: Units) -> list[str]:
    """What the tester ticks off."""
    width, height = block_size(pattern, glyph)
    more, metrics = 2 * pattern.block.seam_allowance, glyph.metrics
    found = [
        "the scale bars on the templates are the length they state",
        "the pieces could be sewn in the order of their numbers",
        "every piece was covered, with allowance all round",
    ]
    if matches := match_count(glyph):
        found.append(f"the seams match at the joins ({matches} to match)")
    elif glyph.joins:
        found.append("the joins are straight and lie flat")
    if metrics.min_piece_width is not None:
        found.append(f"the narrowest piece could be sewn ({length_text(metrics.min_piece_width, units)})")
    found += [
        f"trimmed, the block measures {size_text(width + more, height + more, units)}",
        f"laid on this drawing, its seams match the lines ({size_text(width, height, units)})",
        "it can be read at arm's length",
    ]
    return found


def questions(glyph: Glyph) -> list[tuple[str, list[str]]]:
    """What the tester is asked, with the answers to tick."""
    level = f"“{glyph.metrics.level}” is" if glyph.metrics.level else "the level is"
    return [
        ("it looks", ["good", "so-so", "not good"]),
        (level, ["too low", "right", "too high"]),
        ("the patches were", ["too small", "enough", "too large"]),
        ("the fabric was", ["too little", "enough", "far too much"]),
    ]


def card_data(pattern: Pattern, proof: Proof, parts: dict[str, Any] | None, units: Units) -> dict[str, Any]:
    """One block's card; ``parts``: the data of its parts, where it is too large for a page."""
    return {
        "tag": tag(proof.glyph),
        "figure": proof.figure,
        "width": proof.size[0],
        "height": proof.size[1],
        "checks": checks(pattern, proof.glyph, units),
        "questions": questions(proof.glyph),
        "split": parts,
    }
