"""A converted folder with a designer's edits kept in it and planned round."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from converter.drawing.block import block_size
from converter.folder.content import FAULTS, Files, Map, drawn, summary, templates
from converter.folder.keeping import BLOCKS, RECORD, Kept, is_key, parse_record, record_json
from converter.folder.surviving import survived
from converter.model import Pattern
from converter.pattern import settled
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
    """What is to be written: the pattern with the edits in it, the files, and what each edit came to.

    ``logs``: what went wrong, by key, where the program failed on a block.
    """

    pattern: Pattern
    files: Files
    checked: tuple[Checked, ...] = ()
    logs: Mapping[str, str] = field(default_factory=dict)


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
    edits = {key: data for key, data in (edits or {}).items() if is_key(key)}
    theirs = {f"{BLOCKS}/{key}.svg" for key in edits}
    kept = parse_record(record_json(kept))
    pattern, _, logs = survived(pattern, settled)
    (files, record), pattern, failed = survived(
        pattern, lambda p: drawn(p, kept, each), lambda p: drawn(p, kept)
    )
    logs |= failed
    for path in theirs & set(files):
        del files[path]
    made = set(record)
    others = [g for g in (former.glyphs if former else ()) if g.key in edits and g.key not in made]
    for key in edits:
        before = (former_kept or {}).get(key, Kept())
        # An edit began with the drawing that was written then, not with the one that would be written now.
        record[key] = replace(record[key], seams=before.seams, shape=before.shape) if key in made else before
    pattern = replace(pattern, glyphs=(*pattern.glyphs, *others))
    checked = tuple(check_block(pattern, key, edits[key], record[key]) for key in sorted(edits))
    if checked or others:
        pattern, _, failed = survived(with_checked(pattern, checked), settled)
        logs |= failed
    drawings, pattern, failed = survived(pattern, lambda p: templates(p, each), templates)
    logs |= failed
    files.update(drawings)
    files.update(faults_of(pattern, checked))
    files[ALTERNATIVES] = to_choose = alternatives_json(alternatives or {})
    figures = parse_alternatives(to_choose)
    told, pattern, failed = survived(pattern, lambda p: summary(p, record, files, figures))
    files.update(told)
    files[RECORD] = record_json(record)
    return Folder(pattern, files, checked, logs | failed | _logs(checked))


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
    pattern, _, logs = survived(with_checked(pattern, checked), settled)
    anew = {c.after.key for c in checked}
    files, pattern, failed = survived(
        pattern, lambda p: templates(replace(p, glyphs=tuple(g for g in p.glyphs if g.key in anew)))
    )
    files.update(faults_of(pattern, checked))
    standing: Files = {f"{FAULTS}/{key}.svg": data for key, data in faulty.items()}
    told, pattern, more = survived(
        pattern, lambda p: summary(p, kept, {**standing, **files}, alternatives or {})
    )
    files.update(told)
    return Folder(pattern, files, checked, logs | failed | more | _logs(checked))


def _logs(checked: tuple[Checked, ...]) -> dict[str, str]:
    return {c.after.key: c.log for c in checked if c.log}


def faults_of(pattern: Pattern, checked: tuple[Checked, ...]) -> Files:
    """A copy of each drawing that cannot be sewn, with what is wrong drawn on it."""
    files: Files = {}
    for c in checked:
        if c.rebuilt is not None and c.rebuilt.faults:
            copy = faults_svg(c.data, c.rebuilt, block_size(pattern, c.after)[0])
            if copy is not None:
                files[f"{FAULTS}/{c.after.key}.svg"] = copy
    return files
