"""The pattern file: :class:`~converter.model.Pattern` to JSON text and back, both checked by the schema.

UTF-8 JSON, keys in a fixed order, numbers rounded to 1e-4 mm, no dates and no absolute paths: the same
pattern is always the same bytes.
"""

import json
import math
from collections.abc import Mapping
from dataclasses import asdict
from functools import cache
from importlib.resources import files
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
DECIMALS = 4  # 1e-4 mm: finer than any printer, coarse enough to hide floating point noise
SCALE_DECIMALS = 10  # mm per font unit: 1e-4 would be 1.6 mm at the far end of a 16384 unit em


def to_json(pattern: Pattern) -> str:
    """The pattern file's text. Raises ValueError if it does not fit the schema (a fault of the program)."""
    data = {
        "format": FORMAT,
        "version": VERSION,
        "unit": "mm",
        "source": asdict(pattern.source),
        "block": {name: value for name, value in asdict(pattern.block).items() if value is not None},
        "settings": dict(pattern.settings),
        "fabrics": {name: asdict(fabric) for name, fabric in pattern.fabrics.items()},
        **({"spacing": asdict(pattern.spacing)} if pattern.spacing else {}),
        "glyphs": [asdict(glyph) for glyph in pattern.glyphs],
    }
    data = _rounded(data)
    fault = _first_fault(data)
    if fault:
        raise ValueError(f"the pattern does not fit its own schema: {fault}")
    glyphs, spacing = data.pop("glyphs"), data.pop("spacing", None)
    head = json.dumps(data, ensure_ascii=False, indent=1)[: -len("\n}")]
    if spacing:
        head += ',\n "spacing": ' + _line(spacing)
    # One glyph a line: a change in one letter is one line in a diff, and 2,000 glyphs stay readable.
    lines = ",\n".join("  " + _line(g) for g in glyphs)
    return head + ',\n "glyphs": [\n' + lines + ("\n" if lines else "") + " ]\n}\n"


def from_json(text: str | bytes, name: str = "pattern.json") -> Pattern:
    """The pattern in a pattern file's text; ``name`` is used in messages.

    Raises :class:`InputError` when the text is not JSON, is another format or version, or breaks the schema.
    """
    try:
        data = parse_json(text)
    except ValueError as error:
        raise InputError(f"{name} is not a readable JSON file ({error}); run convert again.") from None
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise InputError(f"{name} is not a pattern file of this program; give a folder made by convert.")
    if data.get("version") != VERSION:
        raise InputError(
            f"{name} has version {data.get('version')!r}, this program reads {VERSION}; run convert again."
        )
    fault = _first_fault(data)
    if fault:
        raise InputError(f"{name} is damaged: {fault}; run convert again.")
    source = data["source"]
    return Pattern(
        source=Source(**{**source, "licence": Licence(**source["licence"])}),
        block=Block(**data["block"]),
        settings=data["settings"],
        fabrics={key: Fabric(**value) for key, value in data["fabrics"].items()},
        glyphs=tuple(_glyph(glyph) for glyph in data["glyphs"]),
        spacing=Spacing(**data["spacing"]) if "spacing" in data else None,
    )


def glyph_line(glyph: Glyph) -> str:
    """One glyph as the pattern file has it, on one line."""
    return _line(_rounded(asdict(glyph)))


def glyph_from_data(data: Any) -> Glyph:
    """The glyph in parsed JSON. Raises :class:`InputError` where it breaks the schema."""
    fault = _first_fault(data, "glyph")
    if fault:
        raise InputError(f"a glyph is damaged: {fault}; run convert again.")
    return _glyph(data)


def _line(glyph: Any) -> str:
    return json.dumps(glyph, ensure_ascii=False, separators=(",", ":"))


def _glyph(data: Mapping[str, Any]) -> Glyph:
    values = dict(data)
    a, b, c, d, e, f = data["placement"]
    values["placement"] = (a, b, c, d, e, f)
    values["codepoints"] = tuple(data["codepoints"])
    values["reasons"] = tuple(
        Finding(**{**r, "where": tuple(r["where"]) if r.get("where") else None}) for r in data["reasons"]
    )
    values["figure"] = tuple(tuple(_ring(ring) for ring in polygon) for polygon in data["figure"])
    values["pieces"] = tuple(Piece(p["id"], p["fabric"], _ring(p["polygon"])) for p in data["pieces"])
    values["sections"] = tuple(Section(s["id"], tuple(s["pieces"])) for s in data["sections"])
    values["joins"] = tuple(
        Join(j["step"], (j["parts"][0], j["parts"][1]), j["makes"]) for j in data["joins"]
    )
    values["metrics"] = Metrics(**data["metrics"])
    return Glyph(**values)


def _ring(points: list[list[float]]) -> tuple[tuple[float, float], ...]:
    return tuple((x, y) for x, y in points)


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


def _first_fault(data: Any, part: str = "") -> str:
    for error in _validator(part).iter_errors(data):
        place = "/".join(str(step) for step in error.instance_path) or "the file"
        message = error.message if len(error.message) < 200 else error.message[:200] + "…"
        return f"at {place}: {message}"
    return ""
