"""Other finished figures of a glyph, from which a designer may choose; kept in a file of their own.

``alternatives.json`` has, for each glyph that has a choice, every figure as the pattern file would have it, in the
order that ``alternative = N`` in ``alphabet.toml`` counts.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from converter.errors import InputError
from converter.files import parse_json
from converter.model import Glyph
from converter.pattern import glyph_from_data, glyph_line
from converter.verify import NotSewableError, verify_glyph

ALTERNATIVES = "alternatives.json"
_FORMAT, _VERSION = "font2foundation-alternatives", 1


@dataclass(frozen=True, slots=True)
class Alternatives:
    """The figures of one glyph, number 1 first.

    ``chosen`` is the number of the one that the pattern has; 0 where the block was changed by hand.
    """

    chosen: int
    figures: tuple[Glyph, ...]

    def to_offer(self) -> list[tuple[int, Glyph]]:
        """The figures with their numbers, without the chosen one and those that were never planned."""
        return [(n, g) for n, g in enumerate(self.figures, 1) if n != self.chosen and g.pieces]


def alternatives_json(alternatives: Mapping[str, Alternatives]) -> str:
    """The text of ``alternatives.json``; one figure a line, glyphs without a choice left out."""
    blocks = [
        f'  {json.dumps(key)}: {{"chosen": {one.chosen}, "figures": [\n'
        + ",\n".join(f"   {glyph_line(figure)}" for figure in one.figures)
        + "]}"
        for key, one in sorted(alternatives.items())
        if one.to_offer()
    ]
    inside = ",\n".join(blocks)
    return f'{{\n "format": "{_FORMAT}",\n "version": {_VERSION},\n "glyphs": {{\n{inside}\n }}\n}}\n'


def parse_alternatives(text: str | bytes) -> dict[str, Alternatives]:
    """What :func:`alternatives_json` wrote, by the glyph's key. What is damaged is left out: nothing depends on it."""
    try:
        data = parse_json(text)
        if data["format"] != _FORMAT or data["version"] != _VERSION:
            return {}
        found = {key: _parsed(key, value) for key, value in data["glyphs"].items()}
    except (ValueError, KeyError, TypeError, AttributeError):
        return {}
    return {key: one for key, one in found.items() if one is not None}


def _parsed(key: str, value: Any) -> Alternatives | None:
    try:
        figures = tuple(glyph_from_data(figure) for figure in value["figures"])
        chosen = value["chosen"]
        for figure in figures:
            if figure.pieces:
                corners = [corner for piece in figure.pieces for corner in piece.polygon]
                verify_glyph(figure, max(x for x, _ in corners), max(y for _, y in corners))
    except (InputError, NotSewableError, ValueError, KeyError, TypeError, OverflowError):
        return None
    is_sound = type(chosen) is int and 1 <= chosen <= len(figures) and all(g.key == key for g in figures)
    return Alternatives(chosen, figures) if is_sound else None
