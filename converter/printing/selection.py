"""What is printed: the characters that can be sewn, how often each, and what has to be left out."""

import re
import unicodedata
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from converter.drawing.labels import tag
from converter.errors import InputError
from converter.model import Glyph, Pattern
from converter.words.text import read_text

_REMEDY = "convert again with a larger --block or other settings, or give --include-redesign"


@dataclass(frozen=True, slots=True)
class Selection:
    """The characters to print, each once, in the pattern's order (or in the order of the wanted text)."""

    glyphs: tuple[Glyph, ...]
    copies: Mapping[str, int]  # glyph key: how many sets of templates
    left_out: tuple[Glyph, ...]  # they have ink but are not to be sewn as they are
    only: str = ""  # the wanted text, to be printed


@dataclass(frozen=True, slots=True)
class Group:
    """Characters of one kind, as a page guide lists them."""

    name: str
    one: str  # what a single one is called
    glyphs: tuple[Glyph, ...]


def select(
    pattern: Pattern,
    only: str | None = None,
    include_redesign: bool = False,
    counts: Mapping[str, int] | None = None,
) -> Selection:
    """All characters that can be sewn, or those of the text ``only``, as often as it has them.

    ``counts``: how often each glyph is wanted, by key, where that is known better than from the text alone.
    ``include_redesign``: print those with status ``redesign`` too, where they have pieces. Raises
    :class:`InputError` where nothing can be printed, or the text has what cannot be sewn.
    """
    statuses = ("ready", "review", "redesign") if include_redesign else ("ready", "review")
    sewn = {g.key for g in pattern.glyphs if g.pieces and g.status in statuses}
    if only is None:
        printed = tuple(g for g in pattern.glyphs if g.key in sewn)
        left_out = tuple(g for g in pattern.glyphs if g.key not in sewn and g.status != "blank")
        if not printed:
            raise InputError(f"no character of this set can be sewn as it is (see report.html); {_REMEDY}.")
        return Selection(printed, {g.key: 1 for g in printed}, left_out)
    if counts is None:
        wanted = [glyph for line in read_text(pattern, only) for word in line.words for glyph in word]
    else:
        by_key = {glyph.key: glyph for glyph in pattern.glyphs}
        wanted = [by_key[key] for key, count in counts.items() for _ in range(count)]
    bad = [tag(glyph) for glyph in dict.fromkeys(wanted) if glyph.key not in sewn and glyph.status != "blank"]
    if bad:
        raise InputError(f"{', '.join(bad)}: cannot be sewn as it is (see report.html); {_REMEDY}.")
    wanted = [glyph for glyph in wanted if glyph.key in sewn]
    if not wanted:
        raise InputError(f"{only!r} has no character to sew; give another text.")
    copies = Counter(glyph.key for glyph in wanted)
    return Selection(tuple(dict.fromkeys(wanted)), dict(copies), (), _plain(only))


def _plain(text: str) -> str:
    """A wanted text as it is printed: names of symbols without their braces."""
    return " ".join(re.sub(r"[{}]", " ", text).split())


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


_ONE = {
    "capital letters": "capital letter",
    "small letters": "small letter",
    "letters": "letter",
    "digits": "digit",
    "signs and symbols": "sign or symbol",
}
_GROUP_ORDER = tuple(_ONE)


def groups(glyphs: tuple[Glyph, ...]) -> tuple[Group, ...]:
    """The kinds that there are, each with its characters."""
    found: dict[str, list[Glyph]] = {name: [] for name in _GROUP_ORDER}
    for glyph in glyphs:
        found[group_of(glyph)].append(glyph)
    return tuple(Group(name, _ONE[name], tuple(members)) for name, members in found.items() if members)


def group_number(glyph: Glyph) -> int:
    """The place of a character's kind among the kinds."""
    return _GROUP_ORDER.index(group_of(glyph))
