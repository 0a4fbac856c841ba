"""The report as a table: one row a glyph, for spreadsheets and scripts."""

import csv
import io
from collections.abc import Mapping
from dataclasses import asdict, fields

from converter.model import Metrics, Pattern
from converter.report.alternatives import Alternatives

METRIC_NAMES = tuple(field.name for field in fields(Metrics))
COLUMNS = (
    "key",
    "text",
    "codepoints",
    "name",
    "status",
    "findings",
    *METRIC_NAMES,
    "alternatives",
    "messages",
)

# A cell that starts with one of these is run as a formula by spreadsheets; an apostrophe before it makes it
# text. Source: OWASP, "CSV Injection" (the characters and the apostrophe).
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def report_csv(pattern: Pattern, alternatives: Mapping[str, Alternatives] | None = None) -> str:
    r"""The CSV text (RFC 4180 quoting, ``\n`` line ends), glyphs in the pattern's order.

    ``alternatives``, by the glyph's key: figures to choose from; of them the number is told.

    Ids of findings are separated by spaces, their messages by ``; ``. Lengths are mm, angles degrees, shares
    of 1; a figure that could not be measured is empty.
    """
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(COLUMNS)
    for glyph in pattern.glyphs:
        metrics = asdict(glyph.metrics)
        choice = (alternatives or {}).get(glyph.key)
        table.writerow(
            [
                _text(glyph.key),
                _text(glyph.text),
                " ".join(f"U+{code:04X}" for code in glyph.codepoints),
                _text(glyph.name),
                glyph.status,
                " ".join(reason.id for reason in glyph.reasons),
                *(_figure(metrics[name]) for name in METRIC_NAMES),
                len(choice.to_offer()) if choice else 0,
                _text("; ".join(reason.message for reason in glyph.reasons)),
            ]
        )
    return out.getvalue()


def _text(value: str) -> str:
    safe = "".join(c if c.isprintable() else " " for c in value)
    return f"'{safe}" if value.startswith(_FORMULA_STARTS) else safe


def _figure(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{round(value, 4) + 0.0:g}"
    return _text(str(value))
