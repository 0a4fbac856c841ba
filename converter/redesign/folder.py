"""Everything that stands in a converted folder, with a designer's edits kept and planned round."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from converter.drawing.block import block_size, block_svg
from converter.drawing.template import template_svg
from converter.model import Glyph, Pattern
from converter.output import digest
from converter.pattern import from_json, to_json
from converter.redesign.check import Checked, check_block, is_edited, with_checked
from converter.redesign.faults import faults_svg
from converter.redesign.keeping import BLOCKS, RECORD, Kept, parse_record, record_json
from converter.report.alternatives import (
    ALTERNATIVES,
    Alternatives,
    alternatives_json,
    parse_alternatives,
)
from converter.report.csv_report import report_csv
from converter.report.html_report import report_html

FAULTS, TEMPLATES = "faults", "templates"

Files = dict[str, bytes | str]
Map = Callable[..., Iterable[str]]  # as the builtin


@dataclass(frozen=True, slots=True)
class Folder:
    """What is to be written: the pattern with the edits in it, the files, and what each edit came to."""

    pattern: Pattern
    files: Files
    checked: tuple[Checked, ...] = ()


def new_folder(
    pattern: Pattern,
    kept: Mapping[str, Kept],
    edits: Mapping[str, bytes] | None = None,
    former: Pattern | None = None,
    former_kept: Mapping[str, Kept] | None = None,
    alternatives: Mapping[str, Alternatives] | None = None,
    each: Map = map,
) -> Folder:
    """A folder as ``convert`` writes it. ``kept`` needs no hashes yet. ``each`` draws the blocks,
    several at once if it can.

    ``edits``: the drawings changed by hand that stand in the folder now, by key. Each stays where it is, and is
    planned anew; the pattern shows it in place of what was converted. An edited block that this conversion does
    not make, known from the ``former`` pattern or new by hand, stays in the set.
    """
    edits = edits or {}
    pattern, kept = settled(pattern), parse_record(record_json(kept))
    files: Files = {}
    record = {glyph.key: kept.get(glyph.key, Kept()) for glyph in pattern.glyphs}
    inked, alone = _inked(pattern)
    drawings = each(block_svg, alone, inked, [record[glyph.key].outline for glyph in inked])
    for glyph, drawing in zip(inked, drawings, strict=True):
        if glyph.key not in edits:
            files[f"{BLOCKS}/{glyph.key}.svg"] = drawing
        record[glyph.key] = replace(record[glyph.key], written=digest(drawing))
    made = set(record)
    others = [g for g in (former.glyphs if former else ()) if g.key in edits and g.key not in made]
    for key in edits:
        if key not in made:
            record[key] = (former_kept or {}).get(key, Kept())
    pattern = replace(pattern, glyphs=(*pattern.glyphs, *others))
    checked = tuple(check_block(pattern, key, edits[key], record[key]) for key in sorted(edits))
    pattern = settled(with_checked(pattern, checked))
    inked, alone = _inked(pattern)
    for glyph, drawing in zip(inked, each(template_svg, alone, inked), strict=True):
        files[f"{TEMPLATES}/{glyph.key}.svg"] = drawing
    files |= faults_of(pattern, checked)
    files[ALTERNATIVES] = to_choose = alternatives_json(alternatives or {})
    files |= summary(pattern, record, files, parse_alternatives(to_choose))
    files[RECORD] = record_json(record)
    return Folder(pattern, files, checked)


def _inked(pattern: Pattern) -> tuple[list[Glyph], list[Pattern]]:
    """The glyphs that have pieces, and for each the pattern with it alone: all that a drawing of it needs."""
    inked = [glyph for glyph in pattern.glyphs if glyph.pieces]
    return inked, [replace(pattern, glyphs=(glyph,)) for glyph in inked]


def checked_folder(
    pattern: Pattern,
    checked: tuple[Checked, ...],
    kept: Mapping[str, Kept],
    faulty: Mapping[str, bytes],
    alternatives: Mapping[str, Alternatives] | None = None,
) -> Folder:
    """A folder as ``check`` leaves it: all but the blocks, which are the designer's, and the figures to choose from.

    ``faulty``: the drawings with faults of blocks that were not checked, by key.
    """
    pattern = settled(with_checked(pattern, checked))
    files: Files = {
        f"{TEMPLATES}/{c.after.key}.svg": template_svg(pattern, c.after) for c in checked if c.after.pieces
    }
    files |= faults_of(pattern, checked)
    standing: Files = {f"{FAULTS}/{key}.svg": data for key, data in faulty.items()}
    files |= summary(pattern, kept, standing | files, alternatives or {})
    return Folder(pattern, files, checked)


def settled(pattern: Pattern) -> Pattern:
    """The pattern as its file will say it, so that whatever is made of it can be made of the file again."""
    return from_json(to_json(pattern))


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


def faults_of(pattern: Pattern, checked: tuple[Checked, ...]) -> Files:
    """A copy of each drawing that cannot be sewn, with what is wrong drawn on it."""
    files: Files = {}
    for c in checked:
        if c.rebuilt is not None and c.rebuilt.faults:
            copy = faults_svg(c.data, c.rebuilt, block_size(pattern, c.after)[0])
            if copy is not None:
                files[f"{FAULTS}/{c.after.key}.svg"] = copy
    return files
