"""A converted folder with its edits taken in: pieces, order, templates and report follow what was drawn."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from converter.artwork import with_pictures
from converter.errors import InputError
from converter.findings.making import is_edited
from converter.findings.waivers import accepted_in, accepting
from converter.folder.content import FAULTS, TEMPLATES, Files
from converter.folder.keeping import BLOCKS, edits_among, is_key
from converter.folder.live import VERSION_FILE
from converter.folder.reading import (
    adopted,
    read_alternatives,
    read_blocks,
    read_faults,
    read_pattern,
    read_record,
)
from converter.model import Pattern
from converter.output import one_run_at_a_time, write_folder
from converter.publication import FOLDER as PICTURES
from converter.publication import published
from converter.redesign.check import Checked, check_block, misnamed, unread
from converter.redesign.folder import checked_folder
from converter.sets import log_files
from converter.settings import read_accepted, read_pattern_table


def check_folder(
    folder: Path,
    keys: Sequence[str] = (),
    settings_file: Path | None = None,
    live: Callable[[Files], Files] = lambda files: files,
) -> list[Checked]:
    """Checks the blocks of those keys, or all that were changed, and brings the folder up to date.

    With a settings file the set takes from it what is accepted, and what it says of the pattern.
    """
    with one_run_at_a_time(folder):
        unreadable: dict[str, str] = {}
        pattern, kept = read_pattern(folder), read_record(folder)
        drawings = read_blocks(folder, unreadable)
        again: set[str] = set()
        pictures: Files = {}
        if settings_file is not None:
            before = accepted_in(pattern)
            pattern, pictures = _with_settings(pattern, settings_file)
            now = accepted_in(pattern)
            again = {g.key for g in pattern.glyphs if g.pieces and before.get(g.name) != now.get(g.name)}
        edits = edits_among(drawings, kept)
        known = {glyph.key: glyph for glyph in pattern.glyphs}
        for key in keys:
            if key not in drawings and key not in unreadable:
                raise InputError(f"{folder / BLOCKS / key}.svg: no such file; check the path.")
        by_hand = {key for key in drawings if key in edits or (key in known and is_edited(known[key]))}
        wanted = again.union(keys or by_hand)
        asked = [key for key in drawings if key in wanted]
        checked = [
            check_block(pattern, key, drawings[key], kept.get(key), by_hand=key in edits)
            for key in asked
            if is_key(key)
        ]
        faulty = {key: data for key, data in read_faults(folder).items() if key in known and key not in asked}
        done = checked_folder(pattern, tuple(checked), kept, faulty, read_alternatives(folder))
        outdated = [f"{part}/{key}.svg" for part in (FAULTS, TEMPLATES) for key in asked if is_key(key)]
        outdated += [VERSION_FILE, *([PICTURES] if settings_file else [])]
        files = live(done.files)
        files.update({**pictures, **log_files(done.logs)})
        write_folder(folder, files, outdated, known=adopted(folder))
    left_alone = [misnamed(key) for key in asked if not is_key(key)]
    left_alone += [unread(key, said) for key, said in unreadable.items() if not keys or key in wanted]
    return [*_as_they_are(checked, done.pattern), *left_alone]


def _as_they_are(checked: Sequence[Checked], pattern: Pattern) -> list[Checked]:
    """What was checked, with the glyphs as they stand in the pattern: a drawing of one may have failed later."""
    glyphs = {glyph.key: glyph for glyph in pattern.glyphs}
    return [replace(c, after=glyphs.get(c.after.key, c.after)) for c in checked]


def _with_settings(pattern: Pattern, file: Path) -> tuple[Pattern, Files]:
    """The set as a settings file has it, as far as no block has to be converted anew; and its pictures' files."""
    accepted = read_accepted(file)
    known = {glyph.name for glyph in pattern.glyphs}
    pattern = accepting(pattern, {name: why for name, why in accepted.items() if name in known})
    said, paths = read_pattern_table(file)
    said, pictures = with_pictures(said, paths, file)
    return published(pattern, said), dict(pictures)
