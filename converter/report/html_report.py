"""The report as one page: no network, no other file; the page draws what comes into view."""

import base64
import json
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from converter.drawing.block import Guide, block_size, fabric_colour
from converter.drawing.labels import tag
from converter.drawing.svg import harmless, number
from converter.model import STATUSES, Glyph, Pattern
from converter.report.wording import FIGURES, NO_ADVICE, PERCENT, STATUS_MEANING, VERDICT_MEANING
from converter.seams import seams
from converter.units import MM_PER_INCH


def report_html(
    pattern: Pattern,
    guides: Mapping[str, Guide] | None = None,
    faulty: Mapping[str, bytes] | None = None,
) -> str:
    """The page's HTML. By the glyph's key: ``guides``, the glyph's own outline on its block in mm; ``faulty``, an SVG
    of the block as a designer drew it, with what cannot be sewn marked."""
    page = Environment(
        loader=PackageLoader("converter", "report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    ).get_template("report.html.j2")
    block = pattern.block
    html = page.render(
        title=f"{pattern.source.family} {pattern.source.style}".strip() or pattern.source.file,
        pattern=pattern,
        statuses=[(status, count, STATUS_MEANING[status]) for status, count in pattern.counts().items()],
        totals={
            "pieces": sum(g.metrics.pieces for g in pattern.glyphs),
            "sections": sum(g.metrics.sections for g in pattern.glyphs),
            "proved": sum(g.metrics.proved_minimal for g in pattern.glyphs),
            "drawn": sum(bool(g.pieces) for g in pattern.glyphs),
        },
        size=_size(block.width, block.height, "mm"),
        size_inches=_size(block.width / MM_PER_INCH, block.height / MM_PER_INCH, "in"),
        verdict=VERDICT_MEANING[pattern.source.licence.verdict],
        no_advice=NO_ADVICE,
        findings=sorted({reason.id for glyph in pattern.glyphs for reason in glyph.reasons}),
        figures=FIGURES,
        settings=[(key, _setting(value)) for key, value in sorted(pattern.settings.items())],
        worst_first=sorted(pattern.glyphs, key=lambda glyph: STATUSES.index(glyph.status)),
        tag=tag,
        data=_script_safe(_data(pattern, guides or {}, faulty or {})),
        css=_inline("report.css"),
        js=_inline("report.js"),
    )
    return harmless(html)


def _data(pattern: Pattern, guides: Mapping[str, Guide], faulty: Mapping[str, bytes]) -> dict[str, Any]:
    names = sorted({piece.fabric for glyph in pattern.glyphs for piece in glyph.pieces})
    return {
        "fabrics": [fabric_colour(pattern, name) for name in names],
        "figures": [
            [f.name, f.label, f.unit, f.decimals, f.worst, f.meaning, 100 if f.name in PERCENT else 1]
            for f in FIGURES
        ],
        "statuses": list(STATUSES),
        "glyphs": [
            _glyph(pattern, glyph, names, guides.get(glyph.key, ())) | _faulty(faulty.get(glyph.key))
            for glyph in pattern.glyphs
        ],
    }


def _glyph(pattern: Pattern, glyph: Glyph, fabrics: list[str], guide: Guide) -> dict[str, Any]:
    """One glyph for the page's script: short keys and flat numbers, as there may be thousands."""
    width, height = block_size(pattern, glyph)
    order = {piece.id: place for place, piece in enumerate(glyph.pieces)}
    return {
        "key": glyph.key,
        "tag": tag(glyph),
        "name": glyph.name,
        "text": glyph.text,
        "codes": [f"U+{code:04X}" for code in glyph.codepoints],
        "status": glyph.status,
        "size": [_short(width), _short(height)],
        "pieces": [
            [piece.id, fabrics.index(piece.fabric), [_short(v) for point in piece.polygon for v in point]]
            for piece in glyph.pieces
        ],
        "sections": [[s.id, [order[i] for i in s.pieces]] for s in glyph.sections],
        "joins": [[j.step, *j.parts, j.makes] for j in glyph.joins],
        "seams": [[_short(v) for v in (*seam.start, *seam.end)] for seam in seams(glyph)],
        "guide": "".join(
            "M" + "L".join(f"{_short(x)} {_short(y)}" for x, y in ring) + "Z"
            for polygon in guide
            for ring in polygon
            if ring
        ),
        "reasons": [
            [r.id, r.severity, r.message, r.measured, r.limit, r.where, order.get(r.piece or ""), r.hint]
            for r in glyph.reasons
        ],
        "level": glyph.metrics.level,
        "proved": glyph.metrics.proved_minimal,
        "metrics": [getattr(glyph.metrics, figure.name) for figure in FIGURES],
    }


def _faulty(drawing: bytes | None) -> dict[str, str]:
    """The drawing as an address that holds it; browsers run and fetch nothing of a picture."""
    if drawing is None:
        return {}
    return {"faulty": "data:image/svg+xml;base64," + base64.b64encode(drawing).decode("ascii")}


def _short(value: float) -> float | int:
    """A coordinate to 0.01 mm, a tenth of a screen pixel at any size a screen shows."""
    return number(round(value, 2))


def _size(width: float, height: float, unit: str) -> str:
    return f"{_short(width)} × {_short(height)} {unit}"


def _script_safe(data: object) -> Markup:
    """JSON that can stand in a script element: nothing in it can end the element or start a comment."""
    text = json.dumps(data, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026"))


def _inline(name: str) -> Markup:
    return Markup(files("converter.report").joinpath(name).read_text(encoding="utf-8"))


def _setting(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return str(number(value))
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, sort_keys=True)
