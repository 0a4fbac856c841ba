"""Letters that are alike, to be chosen side by side: what a change in one asks for in the others.

Families of the Latin alphabet by what their letters are drawn with; common practice, no source. Letters with accents
go with the letter under them (Unicode's canonical decomposition).
"""

import unicodedata

from converter.model import Pattern

_FAMILIES = {
    "round capitals": "CGOQSU",
    "capitals with bowls": "BDPRJ",
    "slanted capitals": "AKMNVWXYZ",
    "straight capitals": "EFHILT",
    "round small letters": "ceos",
    "small letters with bowls": "abdgpq",
    "arches": "hmnru",
    "slanted small letters": "kvwxyz",
    "straight small letters": "fijlt",
    "figures": "0123456789",
}
OTHERS = "all others"


def families_of(pattern: Pattern) -> list[tuple[str, list[str]]]:
    """The families that a set has, each with the keys of its letters; those that are in none come last."""
    home = {letter: name for name, letters in _FAMILIES.items() for letter in letters}
    found: dict[str, list[str]] = {}
    for glyph in pattern.glyphs:
        base = unicodedata.normalize("NFD", glyph.text)[:1]
        found.setdefault(home.get(base, OTHERS), []).append(glyph.key)
    return [(name, found[name]) for name in (*_FAMILIES, OTHERS) if name in found]
