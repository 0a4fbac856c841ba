"""The report as one page: no network, no other file; the page draws what comes into view."""

import json
from collections.abc import Mapping
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from converter.drawing.block import Guide
from converter.drawing.labels import tag
from converter.drawing.svg import harmless, number
from converter.measures import Units, length_text, size_text, units_of
from converter.model import BACKGROUND, FIGURE, STATUSES, Pattern
from converter.publication import KEY
from converter.report.alternatives import Alternatives
from converter.report.page_data import block_data, page_data
from converter.report.parts import shared_parts
from converter.report.wording import FIGURES, HAND, NO_ADVICE, STATUS_MEANING, VERDICT_MEANING, unit_of

LENGTHS = {"margin", "seam_allowance", "grid", "min_piece_width"}  # settings that are told with a unit
_BLOCKS = '<script type="text/plain" id="blocks">'  # put in after the page is set: there may be thousands
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
    block, units = pattern.block, units_of(pattern)
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
        size=size_text(block.width, block.height, units),
        allowance=length_text(block.seam_allowance, units),
        verdict=VERDICT_MEANING[pattern.source.licence.verdict],
        no_advice=NO_ADVICE,
        findings=sorted({reason.id for glyph in pattern.glyphs for reason in glyph.reasons}),
        figures=FIGURES,
        hand=_hand(pattern.settings, units),
        parts=shared_parts(pattern),
        ink=pattern.fabrics[FIGURE].colour,
        ground=pattern.fabrics[BACKGROUND].colour,
        settings=[
            (key, _setting(key, value, units))
            for key, value in sorted(pattern.settings.items())
            if key not in {*HAND, KEY, "parts"}
        ],
        worst_first=sorted(pattern.glyphs, key=lambda glyph: STATUSES.index(glyph.status)),
        tag=tag,
        data=_script_safe(page_data(pattern, alternatives or {})),
        blocks=Markup(_BLOCKS),
        css=_inline("report.css"),
        js=Markup("\n").join(map(_inline, SCRIPTS)),
    )
    before, mark, after = harmless(html).partition(_BLOCKS)
    lines = map(_script_safe, block_data(pattern, guides or {}, faulty or {}, alternatives or {}))
    return before + mark + "\n".join(lines) + after


def _script_safe(data: object) -> Markup:
    """JSON that can stand in a script element: nothing in it can end the element or start a comment."""
    text = json.dumps(data, separators=(",", ":"))
    return Markup(text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026"))


def _inline(name: str) -> Markup:
    return Markup(files("converter.report").joinpath(name).read_text(encoding="utf-8"))


def _setting(key: str, value: object, units: Units) -> str:
    if key == "block" and isinstance(value, list | tuple) and len(value) == 2:
        return size_text(float(value[0]), float(value[1]), units)
    if key in LENGTHS and isinstance(value, float | int):
        return length_text(float(value), units)
    if key == "glyphs" and isinstance(value, Mapping):
        return _text({name: _of_glyph(own, units) for name, own in value.items()})
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return str(number(value))
    return value if isinstance(value, str) else _text(value)


def _of_glyph(own: object, units: Units) -> object:
    if not isinstance(own, Mapping):
        return own
    return {key: _setting(key, value, units) if key in LENGTHS else value for key, value in own.items()}


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True)


def _hand(settings: Mapping[str, object], units: Units) -> list[tuple[str, str, str]]:
    """What the letters share: a measure's name, its values with their unit, and what it says."""
    shared = []
    for name, (unit, meaning) in HAND.items():
        values = settings.get(name)
        if isinstance(values, list | tuple) and values and all(type(v) in (int, float) for v in values):
            scale, decimals = 1.0, 1
            if unit == "mm":
                unit, scale, decimals = unit_of(units)
                unit = f" {unit}"
            shown = ", ".join(f"{v * scale:.{decimals}f}" for v in values)
            shared.append((name, f"{shown}{unit}", meaning))
    return shared
