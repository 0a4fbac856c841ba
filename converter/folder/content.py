"""The files that stand in a converted folder, made from a pattern and what is kept beside it."""

from collections.abc import Callable, Iterable, Iterator, Mapping, MutableMapping
from dataclasses import replace

from converter.drawing.block import block_svg, fabric_figures
from converter.drawing.template import template_svg
from converter.findings.making import is_edited
from converter.folder.keeping import BLOCKS, Kept
from converter.model import Glyph, Pattern
from converter.output import digest
from converter.packed import Packed
from converter.pattern import to_json
from converter.report.alternatives import Alternatives
from converter.report.csv_report import report_csv
from converter.report.html_report import report_html
from converter.seams import seams

FAULTS, TEMPLATES = "faults", "templates"

Files = MutableMapping[str, bytes | str]
Map = Callable[..., Iterable[str]]  # as the builtin
AT_ONCE = 256  # blocks handed out to be drawn before the drawings are taken in


def drawn(pattern: Pattern, kept: Mapping[str, Kept], each: Map = map) -> tuple[Files, Packed[Kept]]:
    """The drawings of all blocks that have pieces, and ``kept`` for every glyph, with the hashes of the drawings."""
    files: Files = Packed()
    record = Packed((glyph.key, kept.get(glyph.key, Kept())) for glyph in pattern.glyphs)
    for inked, alone in _inked(pattern):
        block = [record[glyph.key] for glyph in inked]
        drawings = each(block_svg, alone, inked, [one.outline for one in block])
        for glyph, one, drawing in zip(inked, block, drawings, strict=True):
            files[f"{BLOCKS}/{glyph.key}.svg"] = drawing
            record[glyph.key] = replace(drawn_from(one, glyph), written=digest(drawing))
    return files, record


def templates(pattern: Pattern, each: Map = map) -> Files:
    """The templates of all blocks that have pieces."""
    files: Files = Packed()
    for inked, alone in _inked(pattern):
        for glyph, drawing in zip(inked, each(template_svg, alone, inked), strict=True):
            files[f"{TEMPLATES}/{glyph.key}.svg"] = drawing
    return files


def drawn_from(kept: Kept, glyph: Glyph) -> Kept:
    """What is kept of a block once its drawing is written: what its seams and its shape are, till somebody edits it."""
    lines = tuple((seam.start, seam.end) for seam in seams(glyph))
    return replace(kept, seams=lines, shape=fabric_figures(glyph))


def _inked(pattern: Pattern) -> Iterator[tuple[list[Glyph], list[Pattern]]]:
    """The glyphs that have pieces, some at a time, and for each the pattern with it alone: all its drawing needs."""
    inked = [glyph for glyph in pattern.glyphs if glyph.pieces]
    for start in range(0, len(inked), AT_ONCE):
        some = inked[start : start + AT_ONCE]
        yield some, [replace(pattern, glyphs=(glyph,), spacing=None) for glyph in some]


def summary(
    pattern: Pattern,
    kept: Mapping[str, Kept],
    files: Mapping[str, bytes | str],
    alternatives: Mapping[str, Alternatives],
) -> Files:
    """The files that speak of all blocks together; of the other ``files``, the report shows the faulty drawings."""
    by_hand = {glyph.key for glyph in pattern.glyphs if is_edited(glyph)}
    alternatives = Packed(
        (key, replace(one, chosen=0) if key in by_hand else one) for key, one in alternatives.items()
    )
    outlines = Packed((key, block.outline) for key, block in kept.items())
    faulty = {
        path.removeprefix(f"{FAULTS}/").removesuffix(".svg"): data
        for path in files
        if path.startswith(f"{FAULTS}/") and isinstance(data := files[path], bytes)
    }
    told: Files = Packed()
    told["pattern.json"] = to_json(pattern)
    told["report.html"] = report_html(pattern, outlines, faulty, alternatives)
    told["report.csv"] = report_csv(pattern, alternatives)
    return told
