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
from converter.printing.commonmark import told
from converter.printing.guide import guide
from converter.printing.page import Imprint, wrapped
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

Square = tuple[float, int, str, int]  # a test square: its side in mm, in how many of which unit, decimals
_INCH, _TWO_INCHES = (MM_PER_INCH, 1, "in", 3), (2 * MM_PER_INCH, 2, "in", 3)
_TWO_CM, _FIVE_CM = (20.0, 2, "cm", 2), (50.0, 5, "cm", 2)
SQUARES: dict[Units, tuple[Square, Square]] = {
    "in": (_INCH, _TWO_INCHES),
    "mm": (_TWO_CM, _FIVE_CM),
    "cm": (_TWO_CM, _FIVE_CM),
    "both": (_INCH, _FIVE_CM),
}
# A short stitch, common practice, no source.
STITCH: dict[Units, str] = {
    "in": "18 to 20 stitches to the inch",
    "mm": "about 1.5 mm",
    "cm": "about 1.5 mm",
    "both": "18 to 20 stitches to the inch, about 1.5 mm,",
}

COVER_HEIGHT = 178.0  # mm that the pictures on the cover may take
COVER_PICTURE, COVER_SHARE = (
    100.0,
    0.6,
)  # mm that a picture of the designer's own may be high, and of what there is
IMPRINT_HEIGHT = 22.0  # mm for names and logo at its foot
TITLE_LENGTH, TITLE_LINE = 30, 13.0  # characters that a line of a title has, mm that one line more takes
COVER_GAP = 4.0
COVER_SCALE = 0.6  # of the block that a picture has at most


def instructions_data(
    pattern: Pattern,
    selection: Selection,
    sheets: Sheets,
    pages: Mapping[str, Sequence[int]],
    cutting: Cutting,
    imprint: Imprint,
    fabric: Sequence[FabricSheet] = (),
) -> dict[str, Any]:
    """Everything on the pages of the instructions but the example character.

    ``fabric``: what is to be bought, where more than the characters' patches is sewn; else worked out.
    """
    glyphs, units = selection.glyphs, cutting.units
    rows, index = guide(selection, pages, sheets)
    block = pattern.block
    return {
        "cover": _cover(pattern, glyphs, imprint),
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
        "left-out": character_list(selection.left_out),
        "blank": any(g.status == "blank" for g in pattern.glyphs),
        "allowance": allowance_text(block.seam_allowance, block.inner_allowance, units),
        "several": any(has_several(glyph) for glyph in glyphs),
        "piece-allowance": length_text(block.inner_allowance, units),
        "patch-margin": length_text(cutting.margin, units),
        "patch-step": length_text(cutting.step, units),
        "margin": length_text(MARGIN, units),
        "squares": SQUARES[units],
        "shrunk": square_rows(units),
        "stitch": STITCH[units],
        "published": _published(imprint),
        "guide": [asdict(row) for row in rows],
        "index": [asdict(row) for row in index],
        "levels": level_rows(glyphs, units),
        "limits": _limits(),
        "narrow": length_text(NARROW, units),
        "small": length_text(SMALL, units),
        "fabric": _fabric_rows(fabric or _fabric(pattern, selection, cutting)),
        "licence": _licence(pattern) | {"font": imprint.made_from},
    }


def square_rows(units: Units) -> list[list[str]]:
    """What the test squares measure: as they should, and when the printer fits one paper to the other.

    A page fitted to another paper is scaled by the smaller ratio of their sides (derived).
    """
    rows = [("printed right", 1.0)]
    for page, paper in (("a4", "letter"), ("letter", "a4")):
        factor = min(b / a for a, b in zip(PAPERS[page], PAPERS[paper], strict=True))  # type: ignore[index]
        names = {"a4": "A4", "letter": "Letter"}
        rows.append((f"{names[page]} page made to fit {names[paper]}", factor))
    return [
        [name, *(f"{count * factor:.{decimals}f} {unit}" for _, count, unit, decimals in SQUARES[units])]
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


def _cover(pattern: Pattern, glyphs: Sequence[Glyph], imprint: Imprint) -> dict[str, Any]:
    sizes = [block_size(pattern, glyph) for glyph in glyphs]
    widest, height = max(w for w, _ in sizes), pattern.block.height
    said = imprint.publication
    room = COVER_HEIGHT - TITLE_LINE * ((len(imprint.title) - 1) // TITLE_LENGTH)
    if said.logo or said.designer or said.copyright or said.contact:
        room -= IMPRINT_HEIGHT
    picture = min(COVER_PICTURE, COVER_SHARE * room)
    if said.cover:
        room -= COVER_GAP + min(picture, BODY[0] * said.cover.height / said.cover.width)
    best = (0.0, 1)
    for columns in range(1, len(glyphs) + 1):
        scale = min(((BODY[0] + COVER_GAP) / columns - COVER_GAP) / widest, COVER_SCALE)
        rows = ceil(len(glyphs) / columns)
        if scale > 0 and rows * (height * scale + COVER_GAP) <= room + COVER_GAP:
            best = max(best, (round(scale, 6), -columns))
    scale = best[0] or 0.02
    columns = abs(best[1]) if best[0] else int(BODY[0] / (widest * scale + 0.5))
    return {
        "picture": picture,
        "columns": min(columns, len(glyphs)),
        "cell": [widest * scale, height * scale],
        "gap": COVER_GAP if best[0] else 0.5,
        "pictures": [
            {"figure": f"{g.key}/coloured", "tag": tag(g), "width": w * scale, "height": h * scale}
            for g, (w, h) in zip(glyphs, sizes, strict=True)
        ],
    }


def _published(imprint: Imprint) -> dict[str, Any]:
    """What the designer says of her pattern, for the cover and the pages of words."""
    said = imprint.publication
    lines = (said.designer, said.copyright, said.contact)
    edition = " · ".join(filter(None, (f"version {said.version}" if said.version else "", said.date)))
    return {
        "cover": wrapped(said.cover, imprint.pictures) if said.cover else None,
        "imprint": [line for line in (*lines, edition) if line],
        "introduction": told(said.introduction),
        "terms": told(said.terms),
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
