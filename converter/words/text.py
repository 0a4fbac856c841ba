"""What a maker writes, read as glyphs of a set: lines, words, symbols by name."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from converter.budgets.words import TEXT
from converter.errors import InputError
from converter.model import Glyph, Pattern

_BEYOND = 0x530  # the typeface of drawings and pages holds Latin, Greek and Cyrillic


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its words, and how many spaces stand between each and the next. No words: an empty line."""

    words: tuple[tuple[Glyph, ...], ...]
    gaps: tuple[int, ...]

    @property
    def text(self) -> str:
        """The line as it reads, symbols as ``{name}``."""
        return " ".join("".join(label(glyph) for glyph in word) for word in self.words)


def label(glyph: Glyph) -> str:
    """What a glyph is called in text: its character, or ``{name}`` where the page's typeface has none."""
    text = glyph.text
    readable = text and text.isprintable() and not _private(text) and all(ord(c) < _BEYOND for c in text)
    return text if readable else f"{{{glyph.name}}}"


def read_text(pattern: Pattern, text: str) -> tuple[Line, ...]:
    """The text's lines in glyphs of the pattern; empty lines before and after are dropped.

    ``{leaf}`` is the glyph of that name, ``{{`` and ``}}`` are braces. Text is normalised (NFC), the longest
    match first where a glyph stands for several characters. Raises :class:`InputError` for text that is
    empty, too long or malformed, and for characters that the set lacks: all of them, in one message.
    """
    if len(text) > TEXT.most:
        raise InputError(f"the text has {len(text)} characters; at most {TEXT.most} can be laid out.")
    if not text.strip():
        raise InputError("there is nothing to lay out: the text is empty or only spaces.")
    finder = _Finder(pattern)
    lines = [finder.line(line) for line in unicodedata.normalize("NFC", text).splitlines()]
    finder.complain()
    while lines and not lines[0].words:
        lines.pop(0)
    while lines and not lines[-1].words:
        lines.pop()
    if not lines:
        raise InputError("there is nothing to lay out: every character of the text is blank.")
    return tuple(lines)


class _Finder:
    """Looks glyphs up and collects what is missing, so that one message can tell all."""

    def __init__(self, pattern: Pattern) -> None:
        self.by_text: dict[str, Glyph] = {}
        self.by_name: dict[str, Glyph] = {}
        for glyph in pattern.glyphs:
            for text in (glyph.text, *map(chr, glyph.codepoints if len(glyph.codepoints) == 1 else ())):
                if text:
                    self.by_text.setdefault(unicodedata.normalize("NFC", text), glyph)
            self.by_name.setdefault(glyph.name, glyph)
        self.longest = max(map(len, self.by_text), default=1)
        self.missing: dict[str, None] = {}
        self.unsewable: dict[str, None] = {}

    def line(self, text: str) -> Line:
        words: list[tuple[Glyph, ...]] = []
        gaps: list[int] = []
        word: list[Glyph] = []
        spaces = 0
        for glyph in self._glyphs(text):
            if glyph is None or (glyph.status == "blank" and not glyph.pieces):
                spaces += 1
                if word:
                    words.append(tuple(word))
                    word = []
                continue
            if not glyph.pieces:
                self.unsewable.setdefault(label(glyph))
            if not word and words:
                gaps.append(spaces)
            word.append(glyph)
            spaces = 0
        if word:
            words.append(tuple(word))
        return Line(tuple(words), tuple(gaps))

    def _glyphs(self, text: str) -> Sequence[Glyph | None]:
        """Glyphs in order, None for a space; what is missing is noted and left out."""
        found: list[Glyph | None] = []
        at = 0
        while at < len(text):
            if text[at] in "{}":
                token, name = _braces(text, at)
                at += len(token)
                glyph = self.by_text.get(name[0]) if token in ("{{", "}}") else self._named(name)
                if glyph is None:
                    self.missing.setdefault(name[0] if token in ("{{", "}}") else token)
                else:
                    found.append(glyph)
                continue
            length = next((n for n in range(self.longest, 0, -1) if text[at : at + n] in self.by_text), 0)
            if length:
                found.append(self.by_text[text[at : at + length]])
            elif text[at].isspace():
                found.append(None)
            else:
                self.missing.setdefault(text[at])
            at += max(length, 1)
        return found

    def _named(self, name: str) -> Glyph | None:
        if name in self.by_name:
            return self.by_name[name]
        alike = [glyph for own, glyph in self.by_name.items() if own.casefold() == name.casefold()]
        return alike[0] if len(alike) == 1 else None

    def _symbols(self) -> str:
        """What can be written by name where a name was not found."""
        names = [name for name, glyph in self.by_name.items() if glyph.pieces and not glyph.text.isalnum()]
        shown = ", ".join(f"{{{name}}}" for name in names[:_MOST_NAMED])
        return f"it has {shown}{' …' if len(names) > _MOST_NAMED else ''}" if shown else ""

    def complain(self) -> None:
        if self.missing:
            shown = ", ".join(_shown(token) for token in self.missing)
            hint = "convert them too, or write other words"
            if any(len(token) > 1 for token in self.missing):
                hint = self._symbols() or hint
            if all(len(t) == 1 and t.upper() != t and t.upper() in self.by_text for t in self.missing):
                hint = "it has capitals, so write in capitals, or convert small letters too"
            raise InputError(f"the set lacks {len(self.missing)} of the characters: {shown}; {hint}.")
        if self.unsewable:
            shown = ", ".join(self.unsewable)
            raise InputError(f"these characters have no pieces yet, see the report: {shown}.")


_MOST_NAMED = 16  # symbols in one error message
_SYMBOL = re.compile(r"\{\s*([^{}]+?)\s*\}")


def _braces(text: str, at: int) -> tuple[str, str]:
    """What stands at a brace, as (what is written, the name or brace meant)."""
    if text[at : at + 2] in ("{{", "}}"):
        return text[at : at + 2], text[at]
    match = _SYMBOL.match(text, at)
    if match is None:
        raise InputError(
            f"character {at + 1} of the line {text[:40]!r} is a single brace; "
            "write {name} for a symbol, and {{ or }} for a brace."
        )
    return match[0], match[1]


def _shown(token: str) -> str:
    if len(token) == 1 and (not token.isprintable() or _private(token) or unicodedata.combining(token)):
        return f"U+{ord(token):04X}"
    return token


def _private(text: str) -> bool:
    return any(unicodedata.category(character) in ("Co", "Cn", "Cc", "Cf") for character in text)
