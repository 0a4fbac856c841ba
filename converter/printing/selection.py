"""What is printed: the characters that can be sewn, how often each, and what has to be left out."""

import unicodedata
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from converter.drawing.labels import tag
from converter.errors import InputError
from converter.model import Glyph, Pattern
from converter.words.text import read_text

_WAYS = "turn the text into one with other characters, or convert again with other settings"


@dataclass(frozen=True, slots=True)
class Selection:
    """The characters to print, each once, in the pattern's order (or in the order of the wanted text)."""

    glyphs: tuple[Glyph, ...]
    copies: Mapping[str, int]  # glyph key: how many sets of templates
    left_out: tuple[Glyph, ...]  # they have ink but are not to be sewn as they are
    only: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Characters of one kind, as a page guide lists them."""

    name: str
    glyphs: tuple[Glyph, ...]


def select(pattern: Pattern, only: str | None = None) -> Selection:
    """All characters that can be sewn, or those of the text ``only``, as often as it has them.

    Raises :class:`InputError` where nothing can be printed, or the text has what cannot be sewn.
    """
    if only is None:
        printed = tuple(g for g in pattern.glyphs if _can_be_sewn(g))
        left_out = tuple(g for g in pattern.glyphs if not _can_be_sewn(g) and g.status != "blank")
        if not printed:
            raise InputError("no character of this pattern can be sewn as it is; see report.html for the reasons.")
        return Selection(printed, {g.key: 1 for g in printed}, left_out)
    wanted = [glyph for line in read_text(pattern, only) for word in line.words for glyph in word]
    wanted = [glyph for glyph in wanted if glyph.status != "blank"]
    bad = [tag(glyph) for glyph in dict.fromkeys(wanted) if not _can_be_sewn(glyph)]
    if bad:
        raise InputError(f"{', '.join(bad)}: cannot be sewn as it is (see report.html); {_WAYS}.")
    if not wanted:
        raise InputError(f"{only!r} has no character to sew; {_WAYS}.")
    copies = Counter(glyph.key for glyph in wanted)
    return Selection(tuple(dict.fromkeys(wanted)), dict(copies), (), only)


def group_of(glyph: Glyph) -> str:
    """The kind of a character: letters, digits, or signs and symbols."""
    kind = unicodedata.category(glyph.text[0]) if glyph.text else "So"
    if kind in ("Lu", "Lt"):
        return "capital letters"
    if kind == "Ll":
        return "small letters"
    if kind[0] == "L":
        return "letters"
    return "digits" if kind == "Nd" else "signs and symbols"


_GROUP_ORDER = ("capital letters", "small letters", "letters", "digits", "signs and symbols")


def groups(glyphs: tuple[Glyph, ...]) -> tuple[Group, ...]:
    """The kinds that there are, each with its characters."""
    found: dict[str, list[Glyph]] = {name: [] for name in _GROUP_ORDER}
    for glyph in glyphs:
        found[group_of(glyph)].append(glyph)
    return tuple(Group(name, tuple(members)) for name, members in found.items() if members)


def group_number(glyph: Glyph) -> int:
    """The place of a character's kind among the kinds."""
    return _GROUP_ORDER.index(group_of(glyph))


def _can_be_sewn(glyph: Glyph) -> bool:
    return bool(glyph.pieces) and glyph.status in ("ready", "review")
