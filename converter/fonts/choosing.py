"""Which glyphs of the font are meant, by the conventions of fontTools' subsetter.

``--text`` takes characters, ``--unicodes`` code points and ranges in hexadecimal, ``--glyphs`` glyph names;
``*`` in the latter two means all. (Source: the help text of ``pyftsubset``.)
"""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from string import ascii_uppercase

from converter.budgets import fonts as budgets
from converter.errors import InputError
from converter.fonts.loading import Font
from converter.fonts.plain import plain_text

_CODE_POINT = r"(?:[Uu]\+)?([0-9A-Fa-f]{1,8})"
_CODE_POINTS = re.compile(rf"{_CODE_POINT}(?:-{_CODE_POINT})?")
_LAST_CODE_POINT = 0x10FFFF
_WITHOUT_PICTURE = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}  # categories that print as nothing, or anything


@dataclass(frozen=True, slots=True)
class ChosenGlyph:
    """A glyph of the font with the characters that it draws.

    ``codepoints``: those that were asked for first, then the rest that the font draws with the same glyph;
    empty for a glyph without any. ``text``: the first of them where it can be printed, else empty.
    """

    name: str
    codepoints: tuple[int, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Choice:
    """What was asked for, in that order and once each, and in readable words all that the font lacks."""

    glyphs: tuple[ChosenGlyph, ...]
    missing: tuple[str, ...]


def choose_glyphs(font: Font, *, text: str = "", unicodes: str = "", glyphs: str = "") -> Choice:
    """The glyphs for the characters of ``text``, then for ``unicodes``, then those named in ``glyphs``.

    Without any of the three: A to Z. ``*`` in ``glyphs`` leaves out ``.notdef``, which stands for what is
    missing; it can be asked for by name. Line breaks and other control characters in ``text`` are passed
    over; letters and combining accents are composed where Unicode has the composed character and the font
    draws it. Raises :class:`InputError` for what is not a code point, and for more than a font can hold.

    >>> from pathlib import Path
    >>> from converter.fonts.loading import load_font
    >>> choice = choose_glyphs(load_font(Path("sample_fonts/jost/jost-latin-800-normal.woff2")), text="KELP😀")
    >>> [glyph.name for glyph in choice.glyphs], choice.missing
    (['K', 'E', 'L', 'P'], ('😀 (U+1F600)',))
    """
    if not (text or unicodes.strip(" ,") or glyphs.strip(" ,")):
        text = ascii_uppercase
    codes = dict.fromkeys((*_codes_of_text(font, text), *_codes_of_ranges(font, unicodes)))
    asked: dict[str, list[int]] = {}
    missing: list[str] = []
    for code in codes:
        if code in font.cmap:
            asked.setdefault(font.cmap[code], []).append(code)
        else:
            missing.append(describe_character(code))
    known = set(font.glyph_names)
    for name in _names(font, glyphs):
        if name in known:
            asked.setdefault(name, [])
        else:
            missing.append(f"glyph name {plain_text(name, budgets.NAME.most)}")
    drawn: dict[str, list[int]] = {}
    for code, name in font.cmap.items():
        drawn.setdefault(name, []).append(code)
    chosen = tuple(_chosen(name, first, drawn.get(name, [])) for name, first in asked.items())
    return Choice(chosen, tuple(dict.fromkeys(missing)))


def describe_character(code: int) -> str:
    """A character in words that are safe to print.

    >>> describe_character(0x416), describe_character(0x202E)
    ('Ж (U+0416)', 'U+202E')
    """
    shown = printable(code).strip()
    if unicodedata.category(chr(code)).startswith("M"):
        shown = f"◌{shown}"  # a combining mark needs something to stand on
    return f"{shown} (U+{code:04X})" if shown else f"U+{code:04X}"


def printable(code: int) -> str:
    """The character, or nothing where it is a control, private, unassigned or bidi character."""
    return "" if unicodedata.category(chr(code)) in _WITHOUT_PICTURE else chr(code)


def _chosen(name: str, first: list[int], drawn: list[int]) -> ChosenGlyph:
    codes = tuple(dict.fromkeys((*first, *drawn)))
    return ChosenGlyph(name, codes, printable(codes[0]) if codes else "")


def _codes_of_text(font: Font, text: str) -> Iterator[int]:
    composed = unicodedata.normalize("NFC", text)
    if any(ord(character) not in font.cmap for character in set(composed) - set(text)):
        composed = text
    for character in dict.fromkeys(composed):
        if unicodedata.category(character) != "Cc":
            yield ord(character)


def _codes_of_ranges(font: Font, unicodes: str) -> list[int]:
    codes: list[int] = []
    for item in re.split(r"[\s,]+", unicodes.strip(" \t\r\n,")):
        if not item:
            continue
        if item == "*":
            codes.extend(font.cmap)
            continue
        match = _CODE_POINTS.fullmatch(item)
        shown = plain_text(item, 40)
        if match is None:
            raise InputError(
                f"--unicodes: {shown} is not a code point; write U+0041, 41 or a range like 41-5A."
            )
        first, last = int(match[1], 16), int(match[2] or match[1], 16)
        if last > _LAST_CODE_POINT or first > last:
            raise InputError(f"--unicodes: {shown} is not an ascending range within 0 to 10FFFF.")
        if len(codes) + last - first + 1 > budgets.CHOSEN.most:
            raise InputError(
                f"--unicodes: {shown} asks for more than {budgets.CHOSEN.most} characters, more than a font can hold; "
                "give * for all that the font has."
            )
        codes.extend(range(first, last + 1))
    return codes


def _names(font: Font, glyphs: str) -> Iterator[str]:
    for name in re.split(r"[\s,]+", glyphs.strip(" \t\r\n,")):
        if name == "*":
            yield from (each for each in font.glyph_names if each != ".notdef")
        elif name:
            yield name
