"""What a maker should take care of in a block, in the page's own unit.

How a block looks beside the font's letter is the designer's concern and never stands on a maker's page.
"""

from collections.abc import Callable, Mapping

from converter.measures import Units, length_text
from converter.model import Finding, Glyph

Say = Callable[[Finding, Units], str]


def advice(glyph: Glyph, units: Units) -> list[str]:
    """A sentence for each finding that a maker should know of, also where the designer accepts it."""
    return [_SAID[reason.id](reason, units) for reason in glyph.reasons if reason.id in _SAID]


def _sharp(finding: Finding, units: Units) -> str:
    del units
    return (
        f"Piece {finding.piece} ends in a point of {finding.measured:.0f}°: sew exactly on the lines there, and trim "
        "the point before you press it."
    )


def _narrow(finding: Finding, units: Units) -> str:
    return f"Piece {finding.piece} is {_length(finding, units)} wide: sew exactly on its lines."


def _pinched(finding: Finding, units: Units) -> str:
    return f"A stroke is {_length(finding, units)} wide where pieces meet: sew exactly on the lines there."


def _pieces(finding: Finding, units: Units) -> str:
    del units
    return (
        f"{finding.measured:.0f} pieces are many for a block of this size: press each seam before the next."
    )


def _sections(finding: Finding, units: Units) -> str:
    del units
    return f"{finding.measured:.0f} sections are many: keep them in order as you cut them out."


def _length(finding: Finding, units: Units) -> str:
    return length_text(finding.measured or 0.0, units)


_SAID: Mapping[str, Say] = {
    "sharp-corner": _sharp,
    "narrow-piece": _narrow,
    "pinched": _pinched,
    "many-pieces": _pieces,
    "many-sections": _sections,
    "other-fabrics": lambda finding, _: finding.message,  # of words, and without a length in it
}
