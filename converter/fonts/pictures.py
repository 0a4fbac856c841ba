"""Which glyphs the font also holds as colour, bitmap or SVG pictures; only the directories are read.

Sources of the layouts: OpenType, tables COLR, SVG, CBLC, EBLC and sbix.
"""

import struct
from collections.abc import Iterator

from fontTools.ttLib import TTFont


def picture_glyph_ids(font: TTFont) -> frozenset[int]:
    """Glyph ids with a picture. A damaged directory counts as empty: it decides only a finding's wording."""
    readers = {
        "COLR": _colr,
        "SVG ": _svg,
        "CBLC": _bitmap_locations,
        "EBLC": _bitmap_locations,
        "sbix": _sbix,
    }
    found: set[int] = set()
    for tag, read in readers.items():
        if tag in font:
            try:
                data = font.reader[tag]
                found.update(read(data, font["maxp"].numGlyphs))
            except Exception:  # any of the exceptions that fontTools and struct let escape
                continue
    return frozenset(found)


def _colr(data: bytes, _: int) -> Iterator[int]:
    version, count, offset = struct.unpack_from(">HHL", data)
    for index in range(count):
        yield struct.unpack_from(">H", data, offset + 6 * index)[0]
    if version >= 1:
        (paints,) = struct.unpack_from(">L", data, 14)
        if paints:
            (count,) = struct.unpack_from(">L", data, paints)
            for index in range(min(count, 0xFFFF)):
                yield struct.unpack_from(">H", data, paints + 4 + 6 * index)[0]


def _svg(data: bytes, _: int) -> Iterator[int]:
    (offset,) = struct.unpack_from(">L", data, 2)
    (count,) = struct.unpack_from(">H", data, offset)
    for index in range(count):
        yield from _span(*struct.unpack_from(">HH", data, offset + 2 + 12 * index))


def _bitmap_locations(data: bytes, _: int) -> Iterator[int]:
    (sizes,) = struct.unpack_from(">L", data, 4)
    for size in range(min(sizes, 64)):
        yield from _span(*struct.unpack_from(">HH", data, 8 + 48 * size + 40))


def _sbix(data: bytes, glyphs: int) -> Iterator[int]:
    (strikes,) = struct.unpack_from(">L", data, 4)
    for strike in range(min(strikes, 64)):
        (start,) = struct.unpack_from(">L", data, 8 + 4 * strike)
        offsets = struct.unpack_from(f">{glyphs + 1}L", data, start + 4)
        yield from (glyph for glyph in range(glyphs) if offsets[glyph + 1] > offsets[glyph])


def _span(first: int, last: int) -> range:
    return range(first, last + 1)
