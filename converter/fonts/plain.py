"""Words out of a font made safe to print: no control characters, no escapes, no bidi overrides, bounded."""

import re
import unicodedata

from converter.budgets import fonts as budgets

_SAFE_GLYPH_NAME = re.compile(rf"[!-~]{{1,{budgets.GLYPH_NAME.most}}}")
_ESCAPE_SEQUENCE = re.compile(r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]|\x1b[\]P^_].*?(?:\x07|\x1b\\|$)|\x1b.")
_UNPRINTABLE = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}  # Unicode general categories


def plain_text(text: str, limit: int) -> str:
    """One line of printable characters, runs of white space made one space, cut to ``limit`` characters.

    >>> plain_text("Sea\\x1b[31m  Glass\\u202e", 40)
    'Sea Glass'
    """
    text = _ESCAPE_SEQUENCE.sub("", text[: 4 * limit])
    kept = (c if c not in "\t\n\r\v\f\x85\u2028\u2029" else " " for c in text)
    line = "".join(c for c in kept if unicodedata.category(c) not in _UNPRINTABLE)
    line = " ".join(line.split())
    return line if len(line) <= limit else line[: limit - 1].rstrip() + "…"


def is_plain_glyph_name(name: str) -> bool:
    """True for the printable ASCII names without spaces that the glyph list specification has in mind."""
    return _SAFE_GLYPH_NAME.fullmatch(name) is not None
