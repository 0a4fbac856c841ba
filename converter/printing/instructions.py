"""The data of ``instructions.pdf``: what the set is, how to print it, how to read it, how to sew it."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from math import ceil, hypot
from typing import Any
from xml.etree import ElementTree

from converter.difficulty import LEVELS
from converter.drawing.block import block_size
from converter.drawing.labels import extent, tag
from converter.fabric.buying import buy
from converter.fabric.cutting import Cutting
from converter.fabric.cutting_list import sheets as fabric_sheets
from converter.fabric.patches import patch_cuts
from converter.fonts.licence import describe_embedding
from converter.measures import Units, length_text, size_text
from converter.model import Glyph, Pattern, Verdict
from converter.printing.guide import guide
from converter.printing.paper import BODY, MARGIN, PAPERS
from converter.printing.selection import Selection, groups
from converter.printing.sheets import Drawn, Sheets
from converter.printing.wording import character_list, counted
from converter.report.wording import VERDICT_MEANING
from converter.units import MM_PER_INCH

_MEANING: dict[Verdict, str] = VERDICT_MEANING | {
    "open": "It was recognised as an open licence: things made from the shapes of its letters, this pattern and what "
    "is sewn from it among them, may be made, shared and sold, as long as what the licence asks for is kept. The font "
    "file itself stays under its licence.",
}

COVER_HEIGHT = 178.0  # mm that the pictures on the cover may take
COVER_GAP = 4.0


def instructions_data(
    pattern: Pattern,
    selection: Selection,
    sheets: Sheets,
    pages: Mapping[str, Sequence[int]],
    cutting: Cutting,
) -> dict[str, Any]:
    """Everything on the pages of the instructions but the example character."""
    glyphs, units = selection.glyphs, cutting.units
    rows, index = guide(selection, pages, sheets)
    block = pattern.block
    return {
        "cover": _cover(pattern, glyphs),
        "only": selection.only,
        "set": [
            ("characters", f"{len(glyphs)}: " + _kinds(glyphs)),
            ("finished block", _sizes(pattern, glyphs, units, 0.0)),
            ("with seam allowance", _sizes(pattern, glyphs, units, 2 * block.seam_allowance)),
            ("seam allowance", length_text(block.seam_allowance, units)),
            ("pieces in a block", _span([g.metrics.pieces for g in glyphs])),
            ("sections in a block", _span([g.metrics.sections for g in glyphs])),
            ("levels", _level_counts(glyphs)),
        ],
        "left-out": [
            {"tag": tag(g), "why": next((r.message for r in g.reasons if r.severity == "redesign"), "")}
            for g in selection.left_out
        ],
        "blank": any(g.status == "blank" for g in pattern.glyphs),
        "allowance": length_text(block.seam_allowance, units),
        "patch-margin": length_text(cutting.margin, units),
        "margin": length_text(MARGIN, "both"),
        "squares": square_rows(),
        "guide": [asdict(row) for row in rows],
        "index": [asdict(row) for row in index],
        "levels": level_rows(glyphs, units),
        "limits": _limits(),
        "fabric": _fabric(pattern, selection, cutting),
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


def template_callouts(drawn: Drawn) -> list[dict[str, Any]]:
    """What is marked on the example template.

    Each: words; the place in its drawing that they mean; ``clear``, how far a leader keeps off it. All mm.
    """
    root = ElementTree.fromstring(drawn.template.svg)
    found = [
        ("the cutting line: the seam allowance lies inside it", _on_cut(drawn)),
        ("the character and the section", _text_at(root, None)),
        ("a number: the order in which the pieces are sewn", _text_at(root, "piece-number")),
        ("hatched: a piece of the character's fabric", _path_at(root, "figure-shade")),
        ("a line that you sew on", _line_at(root, "sew-line")),
        ("a mark that must meet the same mark on the other section", _line_at(root, "match-mark")),
        ("double line: the block's own edge", _line_at(root, "block-edge")),
        ("the side that is joined to another section, and in which join", _text_at(root, "join-label")),
    ]
    return [
        {"text": words, "x": round(place[0], 4), "y": round(place[1], 4), "clear": round(place[2], 4)}
        for words, place in found
        if place is not None
    ]


def example(templates: Iterable[Drawn]) -> Drawn:
    """The template that shows most, in the largest pieces."""

    def rank(drawn: Drawn) -> tuple[float, ...]:
        width, height = drawn.template.width, drawn.template.height
        count = len(next(s for s in drawn.glyph.sections if s.id == drawn.template.section).pieces)
        return (-len(template_callouts(drawn)), count < 4, -round(min(width, height) / count, 3))

    return min(templates, key=rank)


_Place = tuple[float, float, float]  # x, y, how far to keep off


def _on_cut(drawn: Drawn) -> _Place:
    """A place on the longest side of the cutting line, near its lower end."""
    ring = drawn.template.cut_line
    edges = zip(ring, (*ring[1:], ring[0]), strict=True)
    (ax, ay), (bx, by) = max(edges, key=lambda e: round(hypot(e[1][0] - e[0][0], e[1][1] - e[0][1]), 3))
    share = 0.85 if ay < by else 0.15
    return ax + share * (bx - ax), ay + share * (by - ay), 0.0


def _text_at(root: ElementTree.Element, kind: str | None) -> _Place | None:
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        if text.get("class") == kind:
            size = float(text.get("font-size", 0))
            turned = "rotate" in text.get("transform", "")
            clear = size if turned else extent("".join(text.itertext()), size)[0] / 2
            return float(text.get("x", 0)), float(text.get("y", 0)) - 0.365 * size, clear
    return None


def _line_at(root: ElementTree.Element, kind: str) -> _Place | None:
    lines = [e for e in root.iter() if e.get("class") == kind]
    if not lines:
        return None
    ends = [[float(line.get(k, 0)) for k in ("x1", "y1", "x2", "y2")] for line in lines]
    x1, y1, x2, y2 = max(ends, key=lambda e: round(hypot(e[2] - e[0], e[3] - e[1]), 3))
    return x1 + 0.35 * (x2 - x1), y1 + 0.35 * (y2 - y1), 0.0


def _path_at(root: ElementTree.Element, kind: str) -> _Place | None:
    for element in root.iter():
        if element.get("class") == kind:
            n = [float(x) for x in re.findall(r"-?\d+\.?\d*", element.get("d", ""))]
            middle = len(n) // 8 * 4
            return (n[middle] + n[middle + 2]) / 2, (n[middle + 1] + n[middle + 3]) / 2, 0.0
    return None


def _cover(pattern: Pattern, glyphs: Sequence[Glyph]) -> dict[str, Any]:
    sizes = [block_size(pattern, glyph) for glyph in glyphs]
    widest, height = max(w for w, _ in sizes), pattern.block.height
    best = (0.0, 1)
    for columns in range(1, len(glyphs) + 1):
        scale = ((BODY[0] + COVER_GAP) / columns - COVER_GAP) / widest
        if (
            scale <= 0
            or ceil(len(glyphs) / columns) * (height * scale + COVER_GAP) > COVER_HEIGHT + COVER_GAP
        ):
            continue
        best = max(best, (round(min(scale, 0.6), 6), -columns))
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
    return ", ".join(f"{len(group.glyphs)} {group.name}" for group in groups(glyphs))


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


def _fabric(pattern: Pattern, selection: Selection, cutting: Cutting) -> list[dict[str, str]]:
    every = [glyph for glyph in selection.glyphs for _ in range(selection.copies[glyph.key])]
    plans = buy(patch_cuts(every, cutting), cutting)
    return [
        {
            "label": sheet.label,
            "colour": sheet.colour or "#bbbbbb",
            "patches": counted(sum(row.count for row in sheet.patches), "patch", "patches"),
            "buy": sheet.buy,
            "width": sheet.fabric_width,
            "quarters": sheet.fat_quarters,
        }
        for sheet in fabric_sheets(plans, pattern.fabrics, cutting)
    ]


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
