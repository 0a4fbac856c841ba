"""Which character is drawn by which glyph, read from a cmap table whose size is checked first.

Source of the formats: OpenType, cmap table.
"""

import struct
from typing import Any

from fontTools.ttLib import TTFont

from converter.budgets import fonts as budgets
from converter.errors import InputError

_SYMBOL, _MACINTOSH_ROMAN = (3, 0), (1, 0)


def read_characters(font: TTFont, file: str) -> dict[int, str]:
    """Glyph name of each code point, in the order of the code points; empty where the font has no usable
    cmap.

    Symbol fonts without a Unicode table keep their private code points (U+F020 and so on), and answer to
    the plain ones too, as systems do.
    """
    if "cmap" not in font:
        return {}
    _check_size(font.reader["cmap"], file)
    cmap = font["cmap"]
    best: dict[int, str] | None = cmap.getBestCmap()
    if best is None:
        best = _legacy(cmap)
    return {code: best[code] for code in sorted(best) if 0 <= code <= 0x10FFFF}


def _legacy(cmap: Any) -> dict[int, str]:
    tables = {(table.platformID, table.platEncID): table for table in cmap.tables}
    if _SYMBOL in tables:
        private: dict[int, str] = tables[_SYMBOL].cmap
        return {code - 0xF000: name for code, name in private.items() if 0xF020 <= code <= 0xF0FF} | private
    if _MACINTOSH_ROMAN in tables:
        return {
            ord(bytes([c]).decode("mac_roman")): n
            for c, n in tables[_MACINTOSH_ROMAN].cmap.items()
            if c < 256
        }
    return {}


def _check_size(data: bytes, file: str) -> None:
    """Add up the claims before unpacking: a group of 12 bytes can claim four thousand million characters."""
    (count,) = struct.unpack_from(">H", data, 2)
    entries = 0
    for index in range(count):
        _, _, offset = struct.unpack_from(">HHL", data, 4 + 8 * index)
        entries += _claimed_entries(data, offset)
        if entries > budgets.CHARACTERS.most:
            raise InputError(
                f"{file}: its character table lists more characters than exist; the font is damaged."
            )


def _claimed_entries(data: bytes, offset: int) -> int:
    (kind,) = struct.unpack_from(">H", data, offset)
    if kind == 4:
        (doubled,) = struct.unpack_from(">H", data, offset + 6)
        segments = doubled // 2
        last = struct.unpack_from(f">{segments}H", data, offset + 14)
        first = struct.unpack_from(f">{segments}H", data, offset + 16 + 2 * segments)
        return sum(max(0, b - a + 1) for a, b in zip(first, last, strict=True))
    if kind in (8, 12, 13):
        start = offset + (12 if kind != 8 else 12 + 8192)
        (groups,) = struct.unpack_from(">L", data, start)
        if groups * 12 > len(data):
            return budgets.CHARACTERS.most + 1
        values = struct.unpack_from(f">{3 * groups}L", data, start + 4)
        return sum(max(0, b - a + 1) for a, b in zip(values[::3], values[1::3], strict=True))
    return len(data)
