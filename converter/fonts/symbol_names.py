"""Names of symbols from a file beside the font, since icon fonts often name their glyphs i1014 or uniF101.

Three kinds of files that come with such fonts are read:

- a style sheet with a rule for each symbol, like ``.sea-kelp::before { content: "\\f101" }``, or with the character in
  a custom property (``--icon: "\\f101"``); what all classes begin with, up to a hyphen, is left out of the names;
- code points, one name and its number in hexadecimal on a line, like ``kelp e901``;
- JSON: an object of names, each with its code point (a number, or hexadecimal text) or with an object that has it; or a
  list of objects that have both.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import tinycss2

from converter.errors import InputError
from converter.files import parse_json, read_file
from converter.fonts.loading import Font
from converter.fonts.plain import is_plain_glyph_name, plain_text

MOST_BYTES = 32_000_000  # metadata of 7,000 symbols with their aliases, tags and outlines take a third of it
_CODE_KEYS = ("codepoint", "unicode", "code", "hex")
_HEX = re.compile(r"(?:[Uu]\+|0x|\\)?([0-9A-Fa-f]{2,6})")
_LINE = re.compile(r"(\S+)\s+(\S+)")


def named(font: Font, file: Path) -> Font:
    """The font with its glyphs called as ``file`` calls their characters; others keep their names.

    Of several names for one glyph the first is taken; a name that another glyph has already gets ``_`` added. Raises
    :class:`InputError` where the file cannot be read or names no character of the font.
    """
    names = read_symbol_names(file)
    wanted: dict[str, str] = {}
    for code, name in names.items():
        if code in font.cmap and is_plain_glyph_name(name):
            wanted.setdefault(font.cmap[code], name)
    if not wanted:
        raise InputError(
            f"{file}: names no character of {font.file}; give the CSS, codepoints or JSON file that came with the font."
        )
    new: dict[str, str] = {}
    taken = set(font.glyph_names) - set(wanted)
    for name in font.glyph_names:
        own = wanted.get(name, name)
        while name in wanted and own in taken:
            own += "_"
        taken.add(own)
        new[name] = own
    return replace(
        font,
        glyph_names=tuple(new.values()),
        cmap={code: new[name] for code, name in font.cmap.items()},
        _own_names={new[name]: own for name, own in font._own_names.items()},
        _pictures=frozenset(new[name] for name in font._pictures),
    )


def read_symbol_names(file: Path) -> dict[int, str]:
    """The first name of each code point in the file, in the file's order. Raises :class:`InputError`."""
    shown = plain_text(file.name, 100)
    try:
        text = read_file(file, MOST_BYTES).decode("utf-8-sig")
    except FileNotFoundError:
        raise InputError(f"{shown}: no such file; check the path.") from None
    except UnicodeDecodeError:
        raise InputError(f"{shown}: is not UTF-8 text.") from None
    try:
        kind = file.suffix.lower()
        found = (
            _from_css(text) if kind == ".css" else _from_json(text) if kind == ".json" else _from_lines(text)
        )
        names: dict[int, str] = {}
        for name, code in found:
            names.setdefault(code, name)
    except (ValueError, RecursionError) as error:
        raise InputError(f"{shown}: cannot be read for names ({plain_text(str(error), 100)}).") from None
    if not names:
        raise InputError(f"{shown}: has no names of symbols; give a CSS, codepoints or JSON file.")
    return names


def _from_css(text: str) -> Iterator[tuple[str, int]]:
    rules = tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True)
    found = []
    for rule in rules:
        if rule.type != "qualified-rule":
            continue
        code = _content(rule.content)
        if code is not None:
            found += [(name, code) for name in _classes(rule.prelude)]
    first = found[0][0].partition("-")[0] + "-" if len(found) > 1 else ""
    shared = first if all(name.startswith(first) and name != first for name, _ in found) else ""
    for name, code in found:
        yield name.removeprefix(shared), code


def _classes(prelude: list[Any]) -> Iterator[str]:
    """The classes of selectors that are one class, and at most a pseudo-element."""
    for before, token in zip([None, *prelude], prelude, strict=False):
        if token.type == "ident" and before is not None and before == ".":
            yield token.value


def _content(tokens: list[Any]) -> int | None:
    """The one character of a rule's ``content``, or of a custom property."""
    for declaration in tinycss2.parse_blocks_contents(tokens, skip_comments=True, skip_whitespace=True):
        if declaration.type == "declaration" and (
            declaration.name == "content" or declaration.name.startswith("--")
        ):
            for value in declaration.value:
                if value.type == "string" and len(value.value) == 1:
                    return ord(value.value)
    return None


def _from_lines(text: str) -> Iterator[tuple[str, int]]:
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        match = _LINE.fullmatch(line.strip())
        code = _code(match[2]) if match else None
        if match is None or code is None:
            raise ValueError(f"line {number} is not a name and a code point, like kelp e901")
        yield match[1], code


def _from_json(text: str) -> Iterator[tuple[str, int]]:
    data = parse_json(text)
    if isinstance(data, Mapping):
        entries = [(name, value) for name, value in data.items()]
    elif isinstance(data, list):
        entries = [(one.get("name"), one) for one in data if isinstance(one, Mapping)]
    else:
        entries = []
    for name, value in entries:
        code = (
            next((_code(value[key]) for key in _CODE_KEYS if key in value), None)
            if isinstance(value, Mapping)
            else _code(value)
        )
        if isinstance(name, str) and code is not None:
            yield name, code


def _code(value: object) -> int | None:
    """A code point from a number or from hexadecimal text."""
    if isinstance(value, str):
        match = _HEX.fullmatch(value.strip())
        value = int(match[1], 16) if match else None
    return value if type(value) is int and 0 < value <= 0x10FFFF else None
