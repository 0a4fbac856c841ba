"""The data of ``proof.pdf``: each block at true size with what its tester should look at."""

from typing import Any

from converter.drawing.block import block_size
from converter.drawing.labels import tag
from converter.drawing.shapes import box
from converter.measures import Units, length_text, size_text
from converter.model import Glyph, Pattern
from converter.printing.paper import BODY
from converter.printing.sheets import PART
from converter.printing.tiles import Split, split

HEADING = 10.0  # mm above the block


def proof_split(pattern: Pattern, glyph: Glyph, picture: str) -> Split | None:
    """The block's picture in parts, where no page holds it whole."""
    width, height = block_size(pattern, glyph)
    if width <= BODY[0] and height <= BODY[1] - HEADING:
        return None
    return split(picture, (width, height), box((width / 2, height / 2), width, height), PART)


def checks(pattern: Pattern, glyph: Glyph, units: Units) -> list[str]:
    """What the tester ticks off."""
    width, height = block_size(pattern, glyph)
    more, metrics = 2 * pattern.block.seam_allowance, glyph.metrics
    found = [
        "the templates' scale bars measure 1 in and 2 cm",
        "the numbers were in an order that could be sewn",
        "every piece was covered, with allowance all round",
    ]
    if metrics.match_points:
        found.append(f"the seams meet at the joins (marks: {metrics.match_points})")
    elif glyph.joins:
        found.append("the joins are straight and lie flat")
    if metrics.min_piece_width is not None:
        found.append(f"the narrowest piece could be sewn ({length_text(metrics.min_piece_width, units)})")
    found += [
        f"trimmed, it measures {size_text(width + more, height + more, units)}",
        f"laid on this page, its seams lie on the drawing ({size_text(width, height, units)})",
        "it can be read at arm's length",
    ]
    return found


def card_data(pattern: Pattern, glyph: Glyph, parts: dict[str, Any] | None, units: Units) -> dict[str, Any]:
    """One block's card; ``parts``: the data of its parts, where it is too large for a page."""
    width, height = block_size(pattern, glyph)
    return {
        "tag": tag(glyph),
        "figure": f"{glyph.key}/map",
        "width": width,
        "height": height,
        "checks": checks(pattern, glyph, units),
        "split": parts,
    }
