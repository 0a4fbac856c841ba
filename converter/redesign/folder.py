"""A converted folder with a designer's edits kept in it and planned round."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from converter.drawing.block import block_size
from converter.drawing.template import template_svg
from converter.folder.content import FAULTS, TEMPLATES, Files, Map, drawn, settled, summary, templates
from converter.folder.keeping import BLOCKS, RECORD, Kept, parse_record, record_json
from converter.model import Pattern
from converter.redesign.check import Checked, check_block, with_checked
from converter.redesign.faults import faults_svg
from converter.report.alternatives import (
    ALTERNATIVES,
    Alternatives,
    alternatives_json,
    parse_alternatives,
)


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

    ``edits``: the drawings changed by hand that stand in the folder now, by key. Each is kept byte for byte and
    planned anew; the pattern shows it in place of what was converted. An edited block that this conversion does
    not make, known from the ``former`` pattern or new by hand, stays in the set.
    """
    edits = edits or {}
    pattern = settled(pattern)
    files, record = drawn(pattern, parse_record(record_json(kept)), each)
    made = set(record)
    others = [g for g in (former.glyphs if former else ()) if g.key in edits and g.key not in made]
    for key in edits:
        if key not in made:
            record[key] = (former_kept or {}).get(key, Kept())
    pattern = replace(pattern, glyphs=(*pattern.glyphs, *others))
    checked = tuple(check_block(pattern, key, edits[key], record[key]) for key in sorted(edits))
    pattern = settled(with_checked(pattern, checked))
    files |= {f"{BLOCKS}/{key}.svg": data for key, data in edits.items()}
    files |= templates(pattern, each)
    files |= faults_of(pattern, checked)
    files[ALTERNATIVES] = to_choose = alternatives_json(alternatives or {})
    files |= summary(pattern, record, files, parse_alternatives(to_choose))
    files[RECORD] = record_json(record)
    return Folder(pattern, files, checked)


def checked_folder(
    pattern: Pattern,
    checked: tuple[Checked, ...],
    kept: Mapping[str, Kept],
    standing: Mapping[str, bytes],
    alternatives: Mapping[str, Alternatives] | None = None,
) -> Folder:
    """A folder as ``check`` leaves it: all but the blocks, which are the designer's, and the figures to choose from.

    ``standing``: the templates and fault drawings that stand in the folder now, by path.
    """
    pattern = settled(with_checked(pattern, checked))
    anew = {f"{part}/{c.after.key}.svg" for c in checked for part in (FAULTS, TEMPLATES)}
    files: Files = {path: data for path, data in standing.items() if path not in anew}
    files |= {
        f"{TEMPLATES}/{glyph.key}.svg": template_svg(pattern, glyph)
        for glyph in pattern.glyphs
        if glyph.pieces and f"{TEMPLATES}/{glyph.key}.svg" in anew
    }
    files |= faults_of(pattern, checked)
    files |= summary(pattern, kept, files, alternatives or {})
    return Folder(pattern, files, checked)


def faults_of(pattern: Pattern, checked: tuple[Checked, ...]) -> Files:
    """A copy of each drawing that cannot be sewn, with what is wrong drawn on it."""
    files: Files = {}
    for c in checked:
        if c.rebuilt is not None and c.rebuilt.faults:
            copy = faults_svg(c.data, c.rebuilt, block_size(pattern, c.after)[0])
            if copy is not None:
                files[f"{FAULTS}/{c.after.key}.svg"] = copy
    return files
