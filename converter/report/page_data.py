"""What the report's page is told, for its script to draw: short keys and flat numbers, as there may be thousands."""

import base64
import json
import re
from collections.abc import Mapping
from typing import Any

from converter.drawing.block import Guide, block_size, fabric_colour
from converter.drawing.labels import tag
from converter.drawing.svg import number
from converter.measures import Units, units_of
from converter.model import STATUSES, Glyph, Pattern
from converter.report.alternatives import Alternatives
from converter.report.wording import COMPARED, FIGURES, PERCENT, Figure, unit_of

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def page_data(
    pattern: Pattern,
    guides: Mapping[str, Guide],
    faulty: Mapping[str, bytes],
    alternatives: Mapping[str, Alternatives],
) -> dict[str, Any]:
    """Everything as JSON has it; the mappings are by the glyph's key, as :func:`report_html` takes them."""
    figures = [*pattern.glyphs, *(g for one in alternatives.values() for g in one.figures)]
    fabrics = sorted({piece.fabric for glyph in figures for piece in glyph.pieces})
    return {
        "fabrics": [fabric_colour(pattern, name) for name in fabrics],
        "figures": [_told(f, units_of(pattern)) for f in FIGURES],
        "compared": [n for n, figure in enumerate(FIGURES) if figure.name in COMPARED],
        "statuses": list(STATUSES),
        "glyphs": [
            _character(pattern, glyph, guides.get(glyph.key, ()))
            | _figure(glyph, fabrics)
            | _faulty(faulty.get(glyph.key))
            | _choice(alternatives.get(glyph.key), fabrics)
            for glyph in pattern.glyphs
        ],
    }


def _told(figure: Figure, units: Units) -> list[Any]:
    """How the page tells a figure: its name, label, unit, decimals, worse end, meaning and scale."""
    unit, scale, decimals = figure.unit, 100.0 if figure.name in PERCENT else 1.0, figure.decimals
    if unit == "mm":
        unit, scale, decimals = unit_of(units)
        unit = f" {unit}"
    return [figure.name, figure.label, unit, decimals, figure.worst, figure.meaning, scale]


def short(value: float) -> float | int:
    """A coordinate to 0.01 mm, a tenth of a screen pixel at any size a screen shows."""
    return number(round(value, 2))


def toml_key(name: str) -> str:
    r"""A glyph's name as a key of ``alphabet.toml`` (TOML 1.0, keys): bare where it may be, else a basic string.

    >>> print(toml_key("Q"), toml_key("a.alt"))
    Q "a.alt"
    """
    if _BARE.fullmatch(name):
        return name
    return json.dumps(name, ensure_ascii=False).replace("\x7f", "\\u007f")


def _character(pattern: Pattern, glyph: Glyph, guide: Guide) -> dict[str, Any]:
    """What holds for a character whichever of its figures is looked at."""
    width, height = block_size(pattern, glyph)
    return {
        "key": glyph.key,
        "tag": tag(glyph),
        "name": glyph.name,
        "text": glyph.text,
        "codes": [f"U+{code:04X}" for code in glyph.codepoints],
        "size": [short(width), short(height)],
        "guide": "".join(
            "M" + "L".join(f"{short(x)} {short(y)}" for x, y in ring) + "Z"
            for polygon in guide
            for ring in polygon
            if ring
        ),
    }


def _figure(glyph: Glyph, fabrics: list[str]) -> dict[str, Any]:
    """One figure: its pieces, how they are sewn, what was found and measured."""
    order = {piece.id: place for place, piece in enumerate(glyph.pieces)}
    return {
        "status": glyph.status,
        "pieces": [
            [piece.id, fabrics.index(piece.fabric), [short(v) for point in piece.polygon for v in point]]
            for piece in glyph.pieces
        ],
        "sections": [[s.id, [order[i] for i in s.pieces]] for s in glyph.sections],
        "joins": [[j.step, *j.parts, j.makes] for j in glyph.joins],
        "reasons": [
            [r.id, r.severity, r.message, r.measured, r.limit, r.where, order.get(r.piece or ""), r.hint]
            for r in glyph.reasons
        ],
        "level": glyph.metrics.level,
        "proved": glyph.metrics.proved_minimal,
        "metrics": [getattr(glyph.metrics, figure.name) for figure in FIGURES],
    }


def _choice(alternatives: Alternatives | None, fabrics: list[str]) -> dict[str, Any]:
    offered = alternatives.to_offer() if alternatives else []
    if not alternatives or not offered:
        return {}
    glyph = offered[0][1]
    return {
        "number": alternatives.chosen,
        "toml": toml_key(glyph.name),
        "others": [{"number": n} | _figure(figure, fabrics) for n, figure in offered],
    }


def _faulty(drawing: bytes | None) -> dict[str, str]:
    """The drawing as an address that holds it; browsers run and fetch nothing of a picture."""
    if drawing is None:
        return {}
    return {"faulty": "data:image/svg+xml;base64," + base64.b64encode(drawing).decode("ascii")}
