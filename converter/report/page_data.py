"""What the report's page is told, for its script to draw: short keys and flat numbers, as there may be thousands.

It comes in two parts: what the sheet of all characters needs, which the page reads at once, and the rest of each
character on a line of its own, which it reads when the character comes into view.
"""

import base64
import json
import re
from collections.abc import Iterator, Mapping
from itertools import chain
from typing import Any

from converter.drawing.block import Guide, block_size, fabric_colour
from converter.drawing.labels import tag
from converter.drawing.svg import number
from converter.measures import Units, units_of
from converter.model import STATUSES, Glyph, Pattern
from converter.report.alternatives import Alternatives
from converter.report.wording import COMPARED, FIGURES, PERCENT, Figure, unit_of

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def page_data(pattern: Pattern, alternatives: Mapping[str, Alternatives]) -> dict[str, Any]:
    """What the sheet needs, as JSON has it; ``alternatives`` are by the glyph's key."""
    findings = sorted({reason.id for glyph in pattern.glyphs for reason in glyph.reasons})
    place = {finding: n for n, finding in enumerate(findings)}
    return {
        "fabrics": [fabric_colour(pattern, name) for name in _fabrics(pattern, alternatives)],
        "figures": [_told(f, units_of(pattern)) for f in FIGURES],
        "compared": [n for n, figure in enumerate(FIGURES) if figure.name in COMPARED],
        "statuses": list(STATUSES),
        "findings": findings,
        "glyphs": [
            {
                "key": glyph.key,
                "tag": tag(glyph),
                "name": glyph.name,
                "text": glyph.text,
                "codes": [f"U+{code:04X}" for code in glyph.codepoints],
                "status": glyph.status,
                "findings": sorted({place[reason.id] for reason in glyph.reasons}),
                "why": glyph.reasons[0].message if glyph.reasons else "",
                "counts": [len(glyph.pieces), len(glyph.sections), _to_offer(alternatives, glyph.key)],
                "metrics": _metrics(glyph),
            }
            for glyph in pattern.glyphs
        ],
    }


def block_data(
    pattern: Pattern,
    guides: Mapping[str, Guide],
    faulty: Mapping[str, bytes],
    alternatives: Mapping[str, Alternatives],
) -> Iterator[dict[str, Any]]:
    """The rest of each character, as JSON has it, in the pattern's order; the mappings are by the glyph's key, as
    :func:`report_html` takes them."""
    fabrics = _fabrics(pattern, alternatives)
    for glyph in pattern.glyphs:
        yield (
            _ground(pattern, glyph, guides.get(glyph.key, ()))
            | _figure(glyph, fabrics)
            | _faulty(faulty.get(glyph.key))
            | _choice(alternatives.get(glyph.key), fabrics)
        )


def _fabrics(pattern: Pattern, alternatives: Mapping[str, Alternatives]) -> list[str]:
    figures = chain(pattern.glyphs, (g for one in alternatives.values() for g in one.figures))
    return sorted({piece.fabric for glyph in figures for piece in glyph.pieces})


def _to_offer(alternatives: Mapping[str, Alternatives], key: str) -> int:
    return len(alternatives[key].to_offer()) if key in alternatives else 0


def _metrics(glyph: Glyph) -> list[Any]:
    return [getattr(glyph.metrics, figure.name) for figure in FIGURES]


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


def _ground(pattern: Pattern, glyph: Glyph, guide: Guide) -> dict[str, Any]:
    """The block and the font's outline on it, whichever figure is looked at."""
    width, height = block_size(pattern, glyph)
    return {
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
        "metrics": _metrics(glyph),
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
