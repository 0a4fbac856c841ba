"""The pattern file: :class:`~converter.model.Pattern` to JSON text and back, both checked by the schema.

UTF-8 JSON, keys in a fixed order, numbers rounded to 1e-4 mm, no dates and no absolute paths: the same
pattern is always the same bytes.
"""

import json
import math
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import asdict, replace
from functools import cache
from importlib.resources import files
from sys import intern
from types import MappingProxyType
from typing import Any

import jsonschema_rs

from converter.errors import InputError
from converter.files import parse_json
from converter.model import (
    Block,
    Fabric,
    Finding,
    Glyph,
    Join,
    Licence,
    Metrics,
    Pattern,
    Piece,
    Section,
    Source,
    Spacing,
)

FORMAT = "font2foundation-pattern"
VERSION = 1
MOST_GLYPHS = 70_000  # as in the schema
_BEFORE, _AFTER = ',\n "glyphs": [\n', " ]\n}\n"
DECIMALS = 4  # 1e-4 mm: finer than any printer, coarse enough to hide floating point noise
SCALE_DECIMALS = 10  # mm per font unit: 1e-4 would be 1.6 mm at the far end of a 16384 unit em


def to_json(pattern: Pattern, as_written: Mapping[str, str] = MappingProxyType({})) -> str:
    """The pattern file's text; ``as_written``: lines of glyphs, by key, that stay as they are.

    Raises ValueError if it does not fit the schema (a fault of the program).
    """
    data = {
        "format": FORMAT,
        "version": VERSION,
        "unit": "mm",
        "source": asdict(pattern.source),
        "block": {name: value for name, value in asdict(pattern.block).items() if value is not None},
        "settings": dict(pattern.settings),
        "fabrics": {name: asdict(fabric) for name, fabric in pattern.fabrics.items()},
        **({"spacing": asdict(pattern.spacing)} if pattern.spacing else {}),
    }
    data = _rounded(data)
    _hold(_first_fault(data | {"glyphs": []}))
    spacing = data.pop("spacing", None)
    head = json.dumps(data, ensure_ascii=False, indent=1)[: -len("\n}")]
    if spacing:
        head += ',\n "spacing": ' + _line(spacing)
    # One glyph a line: a change in one letter is one line in a diff, and thousands are written and read one by one.
    lines = ",\n".join(
        as_written.get(glyph.key) or "  " + _held_line(n, glyph) for n, glyph in enumerate(pattern.glyphs)
    )
    return head + _BEFORE + lines + ("\n" if lines else "") + _AFTER


def from_json(text: str | bytes, name: str = "pattern.json") -> Pattern:
    """The pattern in a pattern file's text; ``name`` is used in messages.

    Raises :class:`InputError` when the text is not JSON, is another format or version, or breaks the schema.
    """
    # As data in one piece, a file takes ten times its size; so glyph by glyph where it is as `to_json` wrote it.
    head, lines = _by_line(text)
    if head:
        with suppress(ValueError):  # only looked as if
            return _pattern(parse_json(head), map(parse_json, lines), name)
    try:
        data = parse_json(text)
    except ValueError as error:
        raise InputError(f"{name} is not a readable JSON file ({error}); run convert again.") from None
    glyphs = data.get("glyphs") if isinstance(data, dict) else None
    if not isinstance(glyphs, list) or len(glyphs) > MOST_GLYPHS:
        return _pattern(data, (), name)
    return _pattern({**data, "glyphs": []}, glyphs, name)


def _by_line(text: str | bytes) -> tuple[str, list[str]]:
    """The text without its glyphs, and the line of each; nothing where it has another layout than ours."""
    try:
        whole = text if isinstance(text, str) else text.decode("utf-8")
    except UnicodeDecodeError:
        return "", []
    head, before, rest = whole.partition(_BEFORE)
    lines = rest.removesuffix(_AFTER).removesuffix("\n").split(",\n")
    if not before or not rest.endswith("\n" + _AFTER) or len(lines) > MOST_GLYPHS:
        return "", []
    return f"{head}{_BEFORE}{_AFTER}", lines


def _pattern(data: Any, glyphs: Iterable[Any], name: str) -> Pattern:
    """The pattern in parsed JSON; ``glyphs`` are beside it."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise InputError(f"{name} is not a pattern file of this program; give a folder made by convert.")
    if data.get("version") != VERSION:
        raise InputError(
            f"{name} has version {data.get('version')!r}, this program reads {VERSION}; run convert again."
        )
    if fault := _first_fault(data):
        raise InputError(f"{name} is damaged: {fault}; run convert again.")
    read = []
    for number, glyph in enumerate(glyphs):
        if fault := _first_fault(glyph, "glyph", f"glyphs/{number}"):
            raise InputError(f"{name} is damaged: {fault}; run convert again.")
        read.append(_glyph(glyph))
    source = data["source"]
    return Pattern(
        source=Source(**{**source, "licence": Licence(**source["licence"])}),
        block=Block(**data["block"]),
        settings=data["settings"],
        fabrics={key: Fabric(**value) for key, value in data["fabrics"].items()},
        glyphs=tuple(read),
        spacing=Spacing(**data["spacing"]) if "spacing" in data else None,
    )


def settled(pattern: Pattern) -> Pattern:
    """The pattern as its file will say it, so that whatever is made of it can be made of the file again."""
    common = from_json(to_json(replace(pattern, glyphs=())))
    lines = (_held_line(n, glyph) for n, glyph in enumerate(pattern.glyphs))
    return replace(common, glyphs=tuple(_glyph(parse_json(line)) for line in lines))


def glyph_line(glyph: Glyph) -> str:
    """One glyph as the pattern file has it, on one line."""
    return _line(_rounded(asdict(glyph)))


def glyph_lines(text: str) -> dict[str, str]:
    """The line of each glyph in a pattern file's text, by key; none where the file has another layout.

    Raises ValueError or KeyError for what is no glyph's line.
    """
    return {parse_json(line)["key"]: line for line in _by_line(text)[1]}


def glyph_from_data(data: Any) -> Glyph:
    """The glyph in parsed JSON. Raises :class:`InputError` where it breaks the schema."""
    fault = _first_fault(data, "glyph")
    if fault:
        raise InputError(f"a glyph is damaged: {fault}; run convert again.")
    return _glyph(data)


def _held_line(number: int, glyph: Glyph) -> str:
    data = _rounded(asdict(glyph))
    _hold(_first_fault(data, "glyph", f"glyphs/{number}"))
    return _line(data)


def _hold(fault: str) -> None:
    if fault:
        raise ValueError(f"the pattern does not fit its own schema: {fault}")


def _line(glyph: Any) -> str:
    return json.dumps(glyph, ensure_ascii=False, separators=(",", ":"))


def _glyph(data: Mapping[str, Any]) -> Glyph:
    values, same = dict(data), _Same()
    a, b, c, d, e, f = data["placement"]
    values["placement"] = (a, b, c, d, e, f)
    values["codepoints"] = tuple(data["codepoints"])
    values["reasons"] = tuple(
        Finding(**{**r, "where": tuple(r["where"]) if r.get("where") else None}) for r in data["reasons"]
    )
    values["figure"] = tuple(tuple(map(same.ring, polygon)) for polygon in data["figure"])
    values["pieces"] = tuple(
        Piece(intern(p["id"]), intern(p["fabric"]), same.ring(p["polygon"])) for p in data["pieces"]
    )
    values["sections"] = tuple(
        Section(intern(s["id"]), tuple(map(intern, s["pieces"]))) for s in data["sections"]
    )
    values["joins"] = tuple(
        Join(j["step"], (j["parts"][0], j["parts"][1]), j["makes"]) for j in data["joins"]
    )
    values["metrics"] = Metrics(**data["metrics"])
    return Glyph(**values)


class _Same:
    """Corners, each kept once: three pieces share one, and there may be thousands of blocks."""

    def __init__(self) -> None:
        self._corners: dict[tuple[float, float, bool, bool], tuple[float, float]] = {}

    def ring(self, points: list[list[float]]) -> tuple[tuple[float, float], ...]:
        # 24 and 24.0 are equal, but not written alike.
        return tuple(
            self._corners.setdefault((x, y, type(x) is int, type(y) is int), (x, y)) for x, y in points
        )


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError(f"the pattern does not fit its own schema: {value} is no number")
        return round(value, DECIMALS) + 0.0  # + 0.0 turns -0.0 into 0.0
    if isinstance(value, dict):
        return {
            key: [round(float(n), SCALE_DECIMALS) + 0.0 for n in item]
            if key == "placement"
            else _rounded(item)
            for key, item in value.items()
        }
    if isinstance(value, list | tuple):
        return [_rounded(item) for item in value]
    return value


@cache
def _validator(part: str = "") -> Any:
    schema = json.loads(files("converter").joinpath("pattern.schema.json").read_text(encoding="utf-8"))
    if part:
        schema = {"$schema": schema["$schema"], "$defs": schema["$defs"], "$ref": f"#/$defs/{part}"}
    return jsonschema_rs.validator_for(schema)


def _first_fault(data: Any, part: str = "", where: str = "") -> str:
    for error in _validator(part).iter_errors(data):
        place = "/".join([*filter(None, [where]), *map(str, error.instance_path)]) or "the file"
        message = error.message if len(error.message) < 200 else error.message[:200] + "…"
        return f"at {place}: {message}"
    return ""
