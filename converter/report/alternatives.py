"""Other finished figures of a glyph, from which a designer may choose; kept in a file of their own.

``alternatives.json`` has, for each glyph that has a choice, every figure as the pattern file would have it, in the
order that ``alternative = N`` in ``alphabet.toml`` counts.
"""

import json
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from converter.errors import InputError
from converter.files import parse_json
from converter.model import Glyph
from converter.packed import Packed
from converter.pattern import glyph_from_data, glyph_line
from converter.verify import NotSewableError, verify_glyph

ALTERNATIVES = "alternatives.json"
_FORMAT, _VERSION = "font2foundation-alternatives", 1
_HEAD = f'{{\n "format": "{_FORMAT}",\n "version": {_VERSION},\n "glyphs": {{\n'
_BLOCK = '  "'  # begins each glyph; its figures are further in
_FOOT = "\n }\n}\n"


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
    return _HEAD + ",\n".join(blocks) + _FOOT


def parse_alternatives(text: str | bytes) -> Mapping[str, Alternatives]:
    """What :func:`alternatives_json` wrote, by the glyph's key. What is damaged is left out: nothing depends on it."""
    try:
        # As data in one piece, a file takes ten times its size; so glyph by glyph where it is as we wrote it.
        with suppress(ValueError):
            return _by_glyph(text if isinstance(text, str) else text.decode("utf-8"))
        data = parse_json(text)
        if data["format"] != _FORMAT or data["version"] != _VERSION:
            return {}
        return _sound(data["glyphs"].items())
    except (ValueError, KeyError, TypeError, AttributeError):
        return {}


def _by_glyph(text: str) -> Packed[Alternatives]:
    if not (text.startswith(_HEAD) and text.endswith(_FOOT)):
        raise ValueError("another layout")
    inside = text[len(_HEAD) : -len(_FOOT)]
    blocks = inside.removeprefix(_BLOCK).split(f",\n{_BLOCK}") if inside else ()
    return _sound(item for block in blocks for item in parse_json(f'{{"{block}}}').items())


def _sound(items: Iterable[tuple[str, Any]]) -> Packed[Alternatives]:
    found = ((key, _parsed(key, value)) for key, value in items)
    return Packed((key, one) for key, one in found if one is not None)


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
