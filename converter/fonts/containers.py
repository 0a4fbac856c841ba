"""Opening TTF, OTF, WOFF, WOFF2 and collections without unpacking more than the limits allow.

Sources of the layouts: OpenType font file chapter; W3C WOFF File Format 1.0; W3C WOFF File Format 2.0.
"""

import struct
import zlib
from io import BytesIO

import brotli  # type: ignore[import-untyped, unused-ignore]
from fontTools.ttLib import TTFont
from fontTools.ttLib.woff2 import WOFF2DirectoryEntry

from converter.budgets import fonts as budgets
from converter.errors import InputError

_SFNT_VERSIONS = (b"\0\1\0\0", b"OTTO", b"true")
_WOFF2_HEADER = 48
_KNOWN_STRANGERS = {
    b"%PDF": "a PDF",
    b"\x89PNG": "a PNG picture",
    b"PK\x03\x04": "a ZIP archive: unpack it first",
    b"%!PS": "a PostScript Type 1 font: convert it to OTF first",
    b"\x80\x01": "a PostScript Type 1 font: convert it to OTF first",
    b"<?xm": "XML, perhaps an SVG font or a TTX dump",
    b"<svg": "an SVG picture",
    b"<!DO": "a web page, so the download failed",
    b"<htm": "a web page, so the download failed",
}


def open_container(data: bytes, file: str, face: int | None) -> TTFont:
    """A lazily read font from the bytes of a file; ``face`` counts from 0 and matters in collections only.

    Raises :class:`InputError` for what is no font, is cut short, or unpacks to more than the limits allow.
    Other exceptions may escape from damaged data: the caller turns them into an :class:`InputError`.
    """
    magic = data[:4]
    start = 0
    if magic == b"ttcf":
        start = _face_start(data, file, face or 0)
    elif face:
        raise InputError(f"{file}: holds a single face; leave --face out, or give --face 0.")
    if magic == b"wOFF":
        data = _unpack_woff(data, file)
    elif magic == b"wOF2":
        return _open_woff2(data, file)
    elif data[start : start + 4] not in _SFNT_VERSIONS:
        raise InputError(f"{file}: {_what_it_is(data)}; give a TTF, OTF, WOFF, WOFF2, TTC or OTC file.")
    _check_directory(data, start, file)
    number = (face or 0) if magic == b"ttcf" else -1
    return TTFont(BytesIO(data), fontNumber=number, lazy=True, recalcBBoxes=False, recalcTimestamp=False)


def _what_it_is(data: bytes) -> str:
    for magic, what in _KNOWN_STRANGERS.items():
        if data.startswith(magic):
            return f"not a font but {what}" if not what.startswith("a PostScript") else f"is {what}"
    return "not a font"


def _cut_short(file: str) -> InputError:
    return InputError(f"{file}: the font is truncated or damaged; download the file again.")


def _face_start(data: bytes, file: str, face: int) -> int:
    if len(data) < 12:
        raise _cut_short(file)
    (count,) = struct.unpack_from(">L", data, 8)
    if not 1 <= count <= budgets.FACES.most or len(data) < 12 + 4 * count:
        raise _cut_short(file)
    if not 0 <= face < count:
        raise InputError(f"{file}: holds {count} faces; give --face N with N from 0 to {count - 1}.")
    (start,) = struct.unpack_from(">L", data, 12 + 4 * face)
    if start + 12 > len(data):
        raise _cut_short(file)
    return int(start)


def _check_directory(data: bytes, start: int, file: str) -> None:
    """Every table lies inside the file."""
    if len(data) < start + 12:
        raise _cut_short(file)
    (count,) = struct.unpack_from(">H", data, start + 4)
    if count > budgets.TABLES.most:
        raise InputError(f"{file}: claims {count} tables, so it is damaged; download the file again.")
    if len(data) < start + 12 + 16 * count:
        raise _cut_short(file)
    for index in range(count):
        offset, length = struct.unpack_from(">LL", data, start + 12 + 16 * index + 8)
        if offset + length > len(data):
            raise _cut_short(file)


def _too_large(file: str) -> InputError:
    limit = budgets.UNPACKED.most // 2**20
    return InputError(
        f"{file}: unpacks to more than {limit} MB, more than any genuine font needs; the file was not opened."
    )


def _unpack_woff(data: bytes, file: str) -> bytes:
    """The plain font inside a WOFF; no table may unpack to more than it declares."""
    if len(data) < 44:
        raise _cut_short(file)
    flavour, length, count = struct.unpack_from(">4sLH", data, 4)
    if length > len(data) or len(data) < 44 + 20 * count:
        raise _cut_short(file)
    if flavour not in _SFNT_VERSIONS or count > budgets.TABLES.most:
        raise InputError(f"{file}: this WOFF does not hold a single TrueType or OpenType font.")
    entries = [struct.unpack_from(">4sLLLL", data, 44 + 20 * index) for index in range(count)]
    if sum(entry[3] for entry in entries) > budgets.UNPACKED.most:
        raise _too_large(file)
    directory, body = bytearray(struct.pack(">4sHHHH", flavour, count, 0, 0, 0)), bytearray()
    first = 12 + 16 * count
    for tag, offset, packed, unpacked, checksum in entries:
        if offset + packed > len(data):
            raise _cut_short(file)
        table = data[offset : offset + packed]
        if packed < unpacked:
            table = zlib.decompressobj().decompress(table, unpacked + 1)
        if len(table) != unpacked:
            raise _cut_short(file)
        directory += struct.pack(">4sLLL", tag, checksum, first + len(body), unpacked)
        body += table + bytes(-len(table) % 4)
    return bytes(directory + body)


def _open_woff2(data: bytes, file: str) -> TTFont:
    """fontTools unpacks a WOFF2 whole, so that its stream is measured first, piece by piece."""
    if len(data) < _WOFF2_HEADER:
        raise _cut_short(file)
    flavour, length, count, _, total, packed = struct.unpack_from(">4sLHHLL", data, 4)
    if flavour == b"ttcf":
        raise InputError(
            f"{file}: collections inside WOFF2 files are not supported; give the TTC, or one face as WOFF2."
        )
    if length != len(data):
        raise _cut_short(file)
    if count > budgets.TABLES.most or flavour not in _SFNT_VERSIONS:
        raise InputError(f"{file}: this WOFF2 does not hold a single TrueType or OpenType font.")
    stream = BytesIO(data)
    stream.seek(_WOFF2_HEADER)
    declared = 0
    for _index in range(count):
        entry = WOFF2DirectoryEntry()
        entry.fromFile(stream)
        declared += max(entry.length, entry.origLength)
    if max(declared, total) > budgets.UNPACKED.most:
        raise _too_large(file)
    _measure_brotli(stream.read(packed), file)
    # The metadata block is packed too, and never needed: without it fontTools cannot be made to unpack it.
    harmless = data[:28] + bytes(_WOFF2_HEADER - 28) + data[_WOFF2_HEADER:]
    return TTFont(BytesIO(harmless), lazy=True, recalcBBoxes=False, recalcTimestamp=False)


def _measure_brotli(packed: bytes, file: str) -> None:
    unpacker = brotli.Decompressor()
    seen = len(unpacker.process(packed, output_buffer_limit=2**20))
    while not unpacker.is_finished():
        piece = unpacker.process(b"", output_buffer_limit=2**20)
        seen += len(piece)
        if seen > budgets.UNPACKED.most:
            raise _too_large(file)
        if not piece:
            raise _cut_short(file)
