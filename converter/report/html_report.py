"""The report as one page: no network, no other file; the page draws what comes into view."""

import json
from collections.abc import Mapping
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from converter.drawing.block import Guide
from converter.drawing.labels import tag
from converter.drawing.svg import harmless, number
from converter.model import STATUSES, Pattern
from converter.report.alternatives import Alternatives
from converter.report.page_data import page_data, short
from converter.report.wording import FIGURES, HAND, NO_ADVICE, STATUS_MEANING, VERDICT_MEANING
from converter.units import MM_PER_INCH

SCRIPTS = ("drawings.js", "sheet.js", "panel.js", "choices.js", "place.js")


def report_html(
    pattern: Pattern,
    guides: Mapping[str, Guide] | None = None,
    faulty: Mapping[str, bytes] | None = None,
    alternatives: Mapping[str, Alternatives] | None = None,
) -> str:
    """The page's HTML. By the glyph's key: ``guides``, the glyph's own outline on its block in mm; ``faulty``, an SVG
    of the block as a designer drew it, with what cannot be sewn marked; ``alternatives``, figures to choose from."""
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
        hand=_hand(pattern.settings),
        settings=[
            (key, _setting(value)) for key, value in sorted(pattern.settings.items()) if key not in HAND
        ],
        worst_first=sorted(pattern.glyphs, key=lambda glyph: STATUSES.index(glyph.status)),
        tag=tag,
        data=_script_safe(page_data(pattern, guides or {}, faulty or {}, alternatives or {})),
        css=_inline("report.css"),
        js=Markup("\n").join(map(_inline, SCRIPTS)),
    )
    return harmless(html)


def _size(width: float, height: float, unit: str) -> str:
    return f"{short(width)} × {short(height)} {unit}"


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


def _hand(settings: Mapping[str, object]) -> list[tuple[str, str, str]]:
    """What the letters share: a measure's name, its values with their unit, and what it says."""
    shared = []
    for name, (unit, meaning) in HAND.items():
        values = settings.get(name)
        if isinstance(values, list | tuple) and values and all(type(v) in (int, float) for v in values):
            shown = ", ".join(f"{v:.1f}" for v in values)
            shared.append((name, f"{shown}{unit}", meaning))
    return shared
