"""What a run wrote, so that a later one can tell a designer's work from its own.

``record.json`` in the folder holds, for each block, the hash of the drawing as the program wrote it, and what a
check needs and the pattern does not hold: the font's own outline in the block, and the size that limits refer to.
"""

import json
import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from converter.budgets import fonts, words
from converter.errors import InputError
from converter.files import parse_json
from converter.folder.soundness import mended
from converter.model import Point, Polygons
from converter.output import digest
from converter.packed import Packed

RECORD = "record.json"
BLOCKS, BACKUPS = "blocks", "backups"
_FORMAT, _VERSION = "font2foundation-record", 1
_HEAD = f'{{\n "format": "{_FORMAT}",\n "version": {_VERSION},\n "blocks": {{\n'
_FOOT = "\n }\n}\n"
FARTHEST = 100_000.0  # mm
_KEY = re.compile(r"[^/\\\x00-\x1f]{1,255}")  # as in the pattern file


@dataclass(frozen=True, slots=True)
class Kept:
    """One block as a run left it.

    ``written`` is the hash of its drawing, empty where none was written; ``outline`` is the font's own, in mm on
    the block. ``seams`` and ``shape`` are what the drawing's layers of these names had in them: lines, and the figure
    of each fabric; nothing in records of earlier versions.
    """

    written: str = ""
    size: float = 0.0
    outline: Polygons = ()
    seams: tuple[tuple[Point, Point], ...] = ()
    shape: tuple[tuple[str, Polygons], ...] = ()


def is_key(name: str) -> bool:
    """Whether a file's name without ending can stand in a pattern: printable, and not endless."""
    return name.isprintable() and len(name) <= words.KEY.most


def record_json(kept: Mapping[str, Kept], as_written: Mapping[str, str] = MappingProxyType({})) -> str:
    """The text of ``record.json``; one block a line. ``as_written``: lines, by key, that stay as they are."""
    lines = [
        as_written.get(key)
        or f"  {json.dumps(key)}: "
        + json.dumps(
            {
                "written": block.written,
                "size": round(block.size, 4),
                "outline": _rounded(block.outline),
                **({"seams": _rounded(block.seams)} if block.seams else {}),
                **(
                    {"shape": {fabric: _rounded(figure) for fabric, figure in block.shape}}
                    if block.shape
                    else {}
                ),
            },
            separators=(",", ":"),
        )
        for key, block in sorted(kept.items())
    ]
    return _HEAD + ",\n".join(lines) + _FOOT


def record_lines(text: str) -> dict[str, str]:
    """The line of each block in the text of ``record.json``, by key; none where the file has another layout."""
    if not (text.startswith(_HEAD) and text.endswith(_FOOT)):
        return {}
    lines = text[len(_HEAD) : -len(_FOOT)].split(",\n")
    return {key: line for line in lines for key in parse_json(f"{{{line}}}")}


def parse_record(text: str | bytes) -> Packed[Kept]:
    """What :func:`record_json` wrote. Raises :class:`InputError` for anything else."""
    try:
        # As data in one piece, a file takes ten times its size; so block by block where it is as we wrote it.
        with suppress(ValueError):
            return _by_line(text if isinstance(text, str) else text.decode("utf-8"))
        data = parse_json(text)
        if data["format"] != _FORMAT or data["version"] != _VERSION:
            raise ValueError("another format")
        return Packed((key, _kept(key, value)) for key, value in data["blocks"].items())
    except (ValueError, KeyError, TypeError, AttributeError):
        raise InputError(
            f"{RECORD} is damaged; without it, edits cannot be recognised; restore it."
        ) from None


def _by_line(text: str) -> Packed[Kept]:
    if not (text.startswith(_HEAD) and text.endswith(_FOOT)):
        raise ValueError("another layout")
    kept: Packed[Kept] = Packed()
    for line in text[len(_HEAD) : -len(_FOOT)].split(",\n"):
        for key, value in parse_json(f"{{{line}}}").items():
            kept[key] = _kept(key, value)
    return kept


def _kept(key: str, value: Mapping[str, Any]) -> Kept:
    written, size = value["written"], float(value["size"])
    outline = _polygons(value["outline"])
    rings = [ring for polygon in outline for ring in polygon]
    if not isinstance(written, str) or not 0 <= size <= FARTHEST or not _KEY.fullmatch(key):
        raise ValueError("no block")
    if not all(outline) or any(len(ring) < 3 for ring in rings) or sum(map(len, rings)) > fonts.CORNERS.most:
        raise ValueError("no outline")
    seams = tuple((_corner(p), _corner(q)) for p, q in value.get("seams", ()))
    shape = tuple((fabric, _polygons(figure)) for fabric, figure in value.get("shape", {}).items())
    rings += [ring for _, figure in shape for polygon in figure for ring in polygon]
    corners = [corner for ring in (*rings, *seams) for corner in ring]
    if any(abs(value) > FARTHEST for corner in corners for value in corner):
        raise ValueError("a drawing far away")
    if len(corners) > 2 * fonts.CORNERS.most or not all(map(is_key, dict(shape))):
        raise ValueError("no drawing")
    return Kept(written, size, mended(outline), seams, shape)


def _polygons(value: Any) -> Polygons:
    return tuple(tuple(tuple(map(_corner, ring)) for ring in polygon) for polygon in value)


def _corner(value: Any) -> Point:
    x, y = value
    return float(x), float(y)


def _rounded(points: Any) -> Any:
    """Points, or lists of them in lists, as the file has them."""
    if isinstance(points, float | int):
        return round(points, 4)
    return [_rounded(one) for one in points]


def edits_among(drawings: Mapping[str, bytes], kept: Mapping[str, Kept]) -> dict[str, bytes]:
    """The drawings (by key) that are not as the program wrote them: edited, or new by hand."""
    return {key: data for key, data in drawings.items() if digest(data) != kept.get(key, Kept()).written}


def discard(
    edits: Mapping[str, bytes], keys: Sequence[str], older: Mapping[str, bytes]
) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """The edits without those of ``keys``, and all backups (path: content): ``older`` ones and what was dropped.

    Each dropped drawing gets the next free number. Raises :class:`InputError` for a key that has no edit.
    """
    backups = dict(older)
    left = dict(edits)
    for key in keys:
        if key not in left:
            there = ", ".join(sorted(left)) or "none"
            raise InputError(
                f"{key}: there is no edit of that block to discard; blocks edited by hand: {there}."
            )
        number = 1
        while f"{BACKUPS}/{key}.{number}.svg" in backups:
            number += 1
        backups[f"{BACKUPS}/{key}.{number}.svg"] = left.pop(key)
    return left, backups
