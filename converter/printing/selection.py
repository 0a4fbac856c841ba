"""What is printed: the characters that can be sewn, how often each, and what has to be left out."""

import fnmatch
import re
import unicodedata
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from converter.drawing.labels import tag
from converter.errors import InputError
from converter.model import Glyph, Pattern
from converter.words.text import read_text

Only = str | Sequence[str] | None  # a text; names, which may have wildcards; or all
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
    only: Only = None,
    include_redesign: bool = False,
    counts: Mapping[str, int] | None = None,
) -> Selection:
    """All characters that can be sewn, or those of the text ``only``, as often as it has them.

    Where ``only`` is names, or a text that has names with wildcards (``{sea-*}``), each character is printed once, and
    what cannot be sewn is left out, as in a whole set. ``counts``: how often each glyph is wanted, by key, where that
    is known better than from the text alone.
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
    if isinstance(only, str) and counts is None and _has_patterns(only):
        only = _names_in(pattern, only)
    if not isinstance(only, str):
        chosen = _chosen(pattern, only)
        left_out = tuple(g for g in chosen if g.key not in sewn and g.status != "blank")
        printed = tuple(g for g in chosen if g.key in sewn)
        if not printed:
            raise InputError(f"none of these characters can be sewn as it is (see report.html); {_REMEDY}.")
        return Selection(printed, {g.key: 1 for g in printed}, left_out, _shortened(only))
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


def chosen_glyphs(pattern: Pattern, only: Only) -> tuple[Glyph, ...]:
    """All glyphs, or each that ``only`` asks for once, whether or not they can be sewn. Raises :class:`InputError`."""
    if only is None:
        return pattern.glyphs
    if not isinstance(only, str) or _has_patterns(only):
        return tuple(_chosen(pattern, _names_in(pattern, only) if isinstance(only, str) else only))
    lines = read_text(pattern, only)
    return tuple(dict.fromkeys(glyph for line in lines for word in line.words for glyph in word))


def _has_patterns(text: str) -> bool:
    return any(map(_is_wild, _IN_BRACES.findall(text)))


def _names_in(pattern: Pattern, text: str) -> tuple[str, ...]:
    """The names and patterns in braces in a text, and the names of its other characters."""
    wild = [token for token in _IN_BRACES.findall(text) if _is_wild(token)]
    rest = _IN_BRACES.sub(lambda match: "" if _is_wild(match[1]) else match[0], text)
    lines = read_text(pattern, rest) if rest.strip() else ()
    return (*(glyph.name for line in lines for word in line.words for glyph in word), *wild)


def _chosen(pattern: Pattern, names: Sequence[str]) -> list[Glyph]:
    """The glyphs of these names and patterns, each once. Raises :class:`InputError` for what fits none."""
    by_name: dict[str, Glyph] = {}
    for glyph in pattern.glyphs:
        by_name.setdefault(glyph.name, glyph)
    found: dict[str, Glyph] = {}
    missing = []
    for name in names:
        fitting = [name] if name in by_name else fnmatch.filter(by_name, name) if _is_wild(name) else []
        found.update((one, by_name[one]) for one in fitting)
        if not fitting:
            missing.append(name)
    if missing:
        more = f" and {len(missing) - _MOST_TOLD} more" if len(missing) > _MOST_TOLD else ""
        raise InputError(
            f"the set has no symbol {', '.join(missing[:_MOST_TOLD])}{more}; the names are in report.csv."
        )
    return list(found.values())


def _is_wild(name: str) -> bool:
    return any(sign in name for sign in "*?[")


def _shortened(names: Sequence[str]) -> str:
    return ", ".join(names[:_MOST_TOLD]) + (" …" if len(names) > _MOST_TOLD else "")


_IN_BRACES = re.compile(r"\{\s*([^{}]+?)\s*\}")
_MOST_TOLD = 8  # names in one line


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
