"""A kept block as bytes, and back: JSON, compressed, behind a digest of it and of the key under which it lies.

No pickle: whatever comes to lie in a cache folder, reading it runs nothing.
"""

import json
import zlib
from collections.abc import Mapping
from dataclasses import asdict
from hashlib import sha256
from typing import Any

from converter.errors import InputError
from converter.files import parse_json
from converter.jobs import Job, Made
from converter.model import Glyph
from converter.output.entries import MOST_ENTRY_BYTES
from converter.pattern import glyph_from_data
from converter.verify import NotSewableError, verify_glyph

_HEAD = b"font2foundation-block 1\n"
_DIGEST_BYTES = 32
_MOST_BYTES = 4 * MOST_ENTRY_BYTES  # unpacked
_WHICH = {"key": "kept", "name": "", "codepoints": [], "text": ""}  # which glyph it is, is not kept


def to_entry(key: str, made: Made) -> bytes:
    """The bytes of a block that was made under a key."""
    data = {
        "figures": [_without_identity(figure) for figure in made.figures],
        "guide": made.guide,
        "size": made.size,
    }
    packed = zlib.compress(json.dumps(data, separators=(",", ":"), allow_nan=False).encode())
    return _HEAD + _digest(key, packed) + packed


def from_entry(key: str, job: Job, entry: bytes) -> Made | None:
    """The block in an entry, its first figure chosen and every figure sewn once more; None where anything is wrong."""
    start = len(_HEAD) + _DIGEST_BYTES
    packed = entry[start:]
    if entry[:start] != _HEAD + _digest(key, packed):
        return None
    try:
        data = parse_json(_unpacked(packed))
        figures = tuple(glyph_from_data(figure | _WHICH) for figure in data["figures"])
        for figure in figures:
            if figure.pieces:
                width, height = job.settings.block
                verify_glyph(figure, figure.metrics.block_width or width, height)
        guide = tuple(tuple(tuple((x, y) for x, y in ring) for ring in polygon) for polygon in data["guide"])
        return Made(figures[0], guide, figures[1:], size=float(data["size"]))
    except (InputError, NotSewableError, ValueError, LookupError, TypeError, zlib.error):
        return None


def _without_identity(figure: Glyph) -> Mapping[str, Any]:
    return {name: value for name, value in asdict(figure).items() if name not in _WHICH}


def _digest(key: str, packed: bytes) -> bytes:
    return sha256(key.encode() + packed).digest()


def _unpacked(packed: bytes) -> bytes:
    unpacking = zlib.decompressobj()
    data = unpacking.decompress(packed, _MOST_BYTES)
    if not unpacking.eof:
        raise ValueError("longer than any block")
    return data
