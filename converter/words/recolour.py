"""The blocks of a layout in the layout's own fabrics, for the pages that are printed of them."""

from collections import Counter
from dataclasses import replace

from converter.model import BACKGROUND, Fabric, Finding, Glyph, Pattern
from converter.words.colours import Colouring
from converter.words.parts import Layout, PlacedBlock


def in_its_colours(layout: Layout, colouring: Colouring) -> Pattern:
    """The layout's pattern with each character in the fabrics of its first block.

    Where later blocks of the same character differ, it gets a finding that says so, since the page of a
    character can show one of them only. Fabrics are numbered as in the colour table.
    """
    ids = {row.id: f"{row.number:02}-{row.id}" for row in colouring.table}
    fabrics: dict[str, Fabric] = {ids[fabric_id]: fabric for fabric_id, fabric in colouring.fabrics.items()}
    background = _background(layout, colouring)
    fabrics[BACKGROUND] = colouring.fabrics[background]
    glyphs = tuple(
        _coloured(glyph, [b for b in layout.blocks if b.key == glyph.key], colouring, ids, background)
        for glyph in layout.pattern.glyphs
    )
    return replace(layout.pattern, fabrics=fabrics, glyphs=glyphs)


def _background(layout: Layout, colouring: Colouring) -> str:
    """The fabric that most pieces behind letters are of."""
    found = Counter(
        colouring.pieces[block.id, piece.id]
        for block in layout.blocks
        for piece in layout.glyph(block).pieces
        if piece.fabric == BACKGROUND
    )
    return max(found, key=lambda fabric: found[fabric], default=next(iter(colouring.fabrics)))


def _coloured(
    glyph: Glyph, blocks: list[PlacedBlock], colouring: Colouring, ids: dict[str, str], background: str
) -> Glyph:
    ways = [tuple(colouring.pieces[block.id, piece.id] for piece in glyph.pieces) for block in blocks]
    first = ways[0]
    pieces = []
    for piece, fabric in zip(glyph.pieces, first, strict=True):
        plain = piece.fabric == BACKGROUND and fabric == background
        pieces.append(replace(piece, fabric=BACKGROUND if plain else ids[fabric]))
    others = [block.id for block, way in zip(blocks, ways, strict=True) if way != first]
    reasons = glyph.reasons
    if others:
        message = (
            f"Block {blocks[0].id} of the words is shown. Blocks in other fabrics: {', '.join(others)}; "
            "cut their patches from the cutting list."
        )
        reasons = (*reasons, Finding("other-fabrics", "review", message))
    return replace(glyph, pieces=tuple(pieces), reasons=reasons)
