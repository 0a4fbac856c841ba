"""The files that stand in a converted folder, made from a pattern and what is kept beside it."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from converter.drawing.block import block_svg, fabric_figures
from converter.drawing.template import template_svg
from converter.findings.making import is_edited
from converter.folder.keeping import BLOCKS, Kept
from converter.model import Glyph, Pattern
from converter.output import digest
from converter.pattern import from_json, to_json
from converter.report.alternatives import Alternatives
from converter.report.csv_report import report_csv
from converter.report.html_report import report_html
from converter.seams import seams

FAULTS, TEMPLATES = "faults", "templates"

Files = dict[str, bytes | str]
Map = Callable[..., Iterable[str]]  # as the builtin


def settled(pattern: Pattern) -> Pattern:
    """The pattern as its file will say it, so that whatever is made of it can be made of the file again."""
    return from_json(to_json(pattern))


def drawn(pattern: Pattern, kept: Mapping[str, Kept], each: Map = map) -> tuple[Files, dict[str, Kept]]:
    """The drawings of all blocks that have pieces, and ``kept`` for every glyph, with the hashes of the drawings."""
    files: Files = {}
    record = {glyph.key: kept.get(glyph.key, Kept()) for glyph in pattern.glyphs}
    inked, alone = _inked(pattern)
    drawings = each(block_svg, alone, inked, [record[glyph.key].outline for glyph in inked])
    for glyph, drawing in zip(inked, drawings, strict=True):
        files[f"{BLOCKS}/{glyph.key}.svg"] = drawing
        lines = tuple((seam.start, seam.end) for seam in seams(glyph))
        record[glyph.key] = replace(
            record[glyph.key], written=digest(drawing), seams=lines, shape=fabric_figures(glyph)
        )
    return files, record


def templates(pattern: Pattern, each: Map = map) -> Files:
    """The templates of all blocks that have pieces."""
    inked, alone = _inked(pattern)
    drawings = each(template_svg, alone, inked)
    return {f"{TEMPLATES}/{glyph.key}.svg": drawing for glyph, drawing in zip(inked, drawings, strict=True)}


def _inked(pattern: Pattern) -> tuple[list[Glyph], list[Pattern]]:
    """The glyphs that have pieces, and for each the pattern with it alone: all that a drawing of it needs."""
    inked = [glyph for glyph in pattern.glyphs if glyph.pieces]
    return inked, [replace(pattern, glyphs=(glyph,)) for glyph in inked]


def summary(
    pattern: Pattern,
    kept: Mapping[str, Kept],
    files: Mapping[str, bytes | str],
    alternatives: Mapping[str, Alternatives],
) -> Files:
    """The files that speak of all blocks together; of the other ``files``, the report shows the faulty drawings."""
    by_hand = {glyph.key for glyph in pattern.glyphs if is_edited(glyph)}
    alternatives = {
        key: replace(one, chosen=0) if key in by_hand else one for key, one in alternatives.items()
    }
    outlines = {key: block.outline for key, block in kept.items()}
    faulty = {
        path.removeprefix(f"{FAULTS}/").removesuffix(".svg"): data
        for path, data in files.items()
        if path.startswith(f"{FAULTS}/") and isinstance(data, bytes)
    }
    return {
        "pattern.json": to_json(pattern),
        "report.html": report_html(pattern, outlines, faulty, alternatives),
        "report.csv": report_csv(pattern, alternatives),
    }
