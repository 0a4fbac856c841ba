"""The data of ``instructions.pdf``: what the set is, how to print it, how to read it, how to sew it."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from math import ceil
from typing import Any

from converter.difficulty import LEVELS, NARROW, SMALL
from converter.drawing.block import block_size
from converter.drawing.labels import tag
from converter.fabric.buying import buy
from converter.fabric.cutting import Cutting
from converter.fabric.cutting_list import FabricSheet
from converter.fabric.cutting_list import sheets as fabric_sheets
from converter.fabric.patches import patch_cuts
from converter.fabric_codes import fabric_codes, has_several
from converter.fonts.licence import describe_embedding
from converter.measures import Units, allowance_text, length_text, size_text
from converter.model import Glyph, LicenceVerdict, Pattern
from converter.printing.guide import guide
from converter.printing.paper import BODY, MARGIN, PAPERS
from converter.printing.selection import Selection, groups
from converter.printing.sheets import Sheets
from converter.printing.wording import character_list, counted
from converter.report.wording import VERDICT_MEANING
from converter.units import MM_PER_INCH

_MEANING: dict[LicenceVerdict, str] = VERDICT_MEANING | {
    "open": "It was recognised as an open licence: things made from the shapes of its letters, this pattern and what "
    "is sewn from it among them, may be made, shared and sold, as long as what the licence asks for is kept. The font "
    "file itself stays under its licence.",
}

COVER_HEIGHT = 178.0  # mm that the pictures on the cover may take
COVER_GAP = 4.0
COVER_SCALE = 0.6  # of the block that a picture has at most


def instructions_data(
    pattern: Pattern,
    selection: Selection,
    sheets: Sheets,
    pages: Mapping[str, Sequence[int]],
    cutting: Cutting,
    fabric: Sequence[FabricSheet] = (),
) -> dict[str, Any]:
    """Everything on the pages of the instructions but the example character.

    ``fabric``: what is to be bought, where more than the characters' patches is sewn; else worked out.
    """
    glyphs, units = selection.glyphs, cutting.units
    rows, index = guide(selection, pages, sheets)
    block = pattern.block
    return {
        "cover": _cover(pattern, glyphs),
        "only": selection.only,
        "set": [
            ("characters", _kinds(glyphs)),
            ("finished block", _sizes(pattern, glyphs, units, 0.0)),
            ("with seam allowance", _sizes(pattern, glyphs, units, 2 * block.seam_allowance)),
            ("seam allowance", allowance_text(block.seam_allowance, block.inner_allowance, units)),
            ("pieces in a block", _span([g.metrics.pieces for g in glyphs])),
            ("sections in a block", _span([g.metrics.sections for g in glyphs])),
            ("levels", _level_counts(glyphs)),
        ],
        "left-out": [
            {"tag": tag(g), "why": next((r.message for r in g.reasons if r.severity == "redesign"), "")}
            for g in selection.left_out
        ],
        "blank": any(g.status == "blank" for g in pattern.glyphs),
        "allowance": allowance_text(block.seam_allowance, block.inner_allowance, units),
        "several": any(has_several(glyph) for glyph in glyphs),
        "piece-allowance": length_text(block.inner_allowance, units),
        "patch-margin": length_text(cutting.margin, units),
        "margin": length_text(MARGIN, "both"),
        "squares": square_rows(),
        "guide": [asdict(row) for row in rows],
        "index": [asdict(row) for row in index],
        "levels": level_rows(glyphs, units),
        "limits": _limits(),
        "narrow": length_text(NARROW, units),
        "small": length_text(SMALL, units),
        "fabric": _fabric_rows(fabric or _fabric(pattern, selection, cutting)),
        "licence": _licence(pattern),
    }


def square_rows() -> list[tuple[str, str, str]]:
    """What the test squares measure: as they should, and when the printer fits one paper to the other.

    A page fitted to another paper is scaled by the smaller ratio of their sides (derived).
    """
    rows = [("printed right", 1.0)]
    for page, paper in (("a4", "letter"), ("letter", "a4")):
        factor = min(b / a for a, b in zip(PAPERS[page], PAPERS[paper], strict=True))  # type: ignore[index]
        names = {"a4": "A4", "letter": "Letter"}
        rows.append((f"{names[page]} page made to fit {names[paper]}", factor))
    return [
        (name, f"{factor:.3f} in ({MM_PER_INCH * factor:.1f} mm)", f"{5 * factor:.2f} cm")
        for name, factor in rows
    ]


def level_rows(glyphs: Sequence[Glyph], units: Units) -> list[dict[str, str]]:
    """A row a level that occurs, the easiest first, with the figures behind it."""
    rows = []
    for _, name in LEVELS:
        members = [g for g in glyphs if g.metrics.level == name]
        if members:
            widths = [g.metrics.min_piece_width for g in members if g.metrics.min_piece_width is not None]
            rows.append(
                {
                    "level": name,
                    "characters": character_list(members),
                    "difficulty": _span([g.metrics.difficulty for g in members], 1),
                    "pieces": _span([g.metrics.pieces for g in members]),
                    "sections": _span([g.metrics.sections for g in members]),
                    "narrowest": length_text(min(widths), units) if widths else "",
                }
            )
    return rows


def _cover(pattern: Pattern, glyphs: Sequence[Glyph]) -> dict[str, Any]:
    sizes = [block_size(pattern, glyph) for glyph in glyphs]
    widest, height = max(w for w, _ in sizes), pattern.block.height
    best = (0.0, 1)
    for columns in range(1, len(glyphs) + 1):
        scale = min(((BODY[0] + COVER_GAP) / columns - COVER_GAP) / widest, COVER_SCALE)
        rows = ceil(len(glyphs) / columns)
        if scale > 0 and rows * (height * scale + COVER_GAP) <= COVER_HEIGHT + COVER_GAP:
            best = max(best, (round(scale, 6), -columns))
    scale = best[0] or 0.02
    columns = abs(best[1]) if best[0] else int(BODY[0] / (widest * scale + 0.5))
    return {
        "columns": min(columns, len(glyphs)),
        "cell": [widest * scale, height * scale],
        "gap": COVER_GAP if best[0] else 0.5,
        "pictures": [
            {"figure": f"{g.key}/coloured", "tag": tag(g), "width": w * scale, "height": h * scale}
            for g, (w, h) in zip(glyphs, sizes, strict=True)
        ],
    }


def _kinds(glyphs: tuple[Glyph, ...]) -> str:
    """Such as ``36: 26 capital letters, 10 digits``."""
    kinds = [counted(len(group.glyphs), group.one, group.name) for group in groups(glyphs)]
    return ", ".join(kinds) if len(kinds) == 1 else f"{len(glyphs)}: {', '.join(kinds)}"


def _sizes(pattern: Pattern, glyphs: Sequence[Glyph], units: Units, more: float) -> str:
    widths = [block_size(pattern, glyph)[0] + more for glyph in glyphs]
    height = pattern.block.height + more
    if max(widths) - min(widths) < 0.01:
        return size_text(widths[0], height, units)
    narrow, wide = length_text(min(widths), units), length_text(max(widths), units)
    return f"{length_text(height, units)} high, {narrow} to {wide} wide"


def _span(values: Sequence[float], decimals: int = 0) -> str:
    low, high = f"{min(values):.{decimals}f}", f"{max(values):.{decimals}f}"
    return low if low == high else f"{low} to {high}"


def _level_counts(glyphs: Sequence[Glyph]) -> str:
    counts = [(sum(g.metrics.level == name for g in glyphs), name) for _, name in LEVELS]
    return ", ".join(f"{count} {name}" for count, name in counts if count)


def _limits() -> str:
    parts, low = [], 0.0
    for limit, name in LEVELS:
        parts.append(f"{name} from {low:g}" if low else f"{name} below {limit:g}")
        low = limit
    return ", ".join(parts)


def _fabric(pattern: Pattern, selection: Selection, cutting: Cutting) -> Sequence[FabricSheet]:
    every = [glyph for glyph in selection.glyphs for _ in range(selection.copies[glyph.key])]
    plans = buy(patch_cuts(every, cutting), cutting)
    return fabric_sheets(plans, pattern.fabrics, cutting, fabric_codes(pattern.fabrics))


def _fabric_rows(sheets: Sequence[FabricSheet]) -> list[dict[str, str]]:
    return [
        {
            "label": sheet.label,
            "colour": sheet.colour or "#bbbbbb",
            "patches": _cut_text(sheet),
            "buy": f"{sheet.buy} of {sheet.fabric_width} usable width" if sheet.fabric_width else sheet.buy,
            "quarters": sheet.fat_quarters,
        }
        for sheet in sheets
    ]


def _cut_text(sheet: FabricSheet) -> str:
    """Such as ``12 patches, 3 strips``."""
    counts: dict[str, int] = {}
    for row in sheet.patches:
        counts[row.what] = counts.get(row.what, 0) + row.count
    many = {"patch": "patches", "strip": "strips"}
    return ", ".join(counted(n, what, many.get(what, what)) for what, n in counts.items())


def _licence(pattern: Pattern) -> dict[str, str]:
    licence = pattern.source.licence
    return {
        "file": pattern.source.file,
        "name": licence.name,
        "text": licence.text if len(licence.text) <= 1200 else licence.text[:1200].rsplit(" ", 1)[0] + " …",
        "url": licence.url,
        "verdict": _MEANING[licence.verdict],
        "embedding": describe_embedding(licence.fs_type),
        "evidence": licence.evidence,
        "checked": licence.checked,
    }
