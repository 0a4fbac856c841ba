"""``convert --add``: characters added to a set that is there, in its hand."""

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any

from converter.additions import added_set, check_font, is_there
from converter.cli.lines import listed
from converter.cli.making import made_blocks
from converter.cli.papers import tell_stale
from converter.cli.terminal import console, show_next, show_result
from converter.cli.workers import workers
from converter.company import company_of, settings_of
from converter.errors import InputError
from converter.folder.keeping import BLOCKS
from converter.folder.reading import adopted, read_pattern, read_record
from converter.fonts.choosing import Choice, ChosenGlyph, choose_glyphs
from converter.fonts.licence import licence_message, refuse_restricted
from converter.fonts.loading import load_font
from converter.model import Glyph, Pattern
from converter.output import one_run_at_a_time, write_folder
from converter.pipeline import convert
from converter.sets import LOG
from converter.store import BlockStore


def add_characters(
    font: Path, folder: Path, characters: str, *, face: int | None, jobs: int, cluster: str | None,
    store: BlockStore | None, ignore_missing: bool, quiet: bool, verbose: bool,
) -> Pattern:  # fmt: skip
    """Adds them, and says so; gives the set as it is then.

    Raises :class:`InputError` where there is no set, it was made from another font, or the font lacks a character.
    """
    screen = console(stderr=True)
    if font.is_dir():
        raise InputError(f"{font}: is a folder of drawings; to add to its set, convert the folder again.")
    with one_run_at_a_time(folder):
        pattern = read_pattern(folder)
        opened = load_font(font, face=face, axes=_axes(pattern))
        check_font(opened, pattern, folder)
        licence = pattern.source.licence
        refuse_restricted(opened, licence)
        choice = choose_glyphs(opened, text=characters)
        if choice.missing and not ignore_missing:
            raise InputError(
                f"{opened.file}: not in the font: {', '.join(choice.missing)}; leave them out or give "
                "--ignore-missing."
            )
        new = [one for one in choice.glyphs if not is_there(pattern, one)]
        _tell_left_out(choice, new, folder, quiet)
        if not new:
            return pattern
        if message := licence_message(opened, licence):
            screen.say(f"warning: {message}")
        settings, company = settings_of(pattern), company_of(pattern, read_record(folder), opened)
        conversion = made_blocks(
            partial(convert, opened, new, licence, settings, company=company),
            len(new), jobs, cluster, store, quiet,
        )  # fmt: skip
        with workers(jobs, len(new)) as crew:
            done = added_set(folder, pattern, conversion, opened, crew.executor.map if crew.executor else map)
        write_folder(folder, done.files, by_hand=BLOCKS, known=adopted(folder))
    if done.logs:
        screen.say(f"warning: the program failed on some glyphs; see {folder / LOG}")
    added = done.pattern.glyphs[len(pattern.glyphs) :]
    cut = [_named(glyph) for glyph in added if any(reason.id == "cut-off" for reason in glyph.reasons)]
    if cut:
        screen.say(
            f"warning: {listed(cut)}: taller or lower than the set's letters, and cut off by the block; for a set that "
            "has room for it, convert all its characters anew, with --text"
        )
    if not quiet:
        screen.say(f"added: {listed([_named(glyph) for glyph in added])}")
        show_result(done.pattern, folder, verbose)
        tell_stale(screen, folder, done.pattern)
        show_next(console(), "print", folder)
    if conversion.stopped_by is not None:
        raise conversion.stopped_by
    return done.pattern


def refuse_with_add(given: Mapping[str, Any]) -> None:
    """Raises :class:`InputError` for what a set that is there has settled already; ``given``: options by name."""
    for name, value in given.items():
        if value not in (None, (), ""):
            raise InputError(
                f"--{name.replace('_', '-')} cannot be given with --add: characters are added as the set was made."
            )


def _axes(pattern: Pattern) -> dict[str, float]:
    axes = pattern.settings.get("axes") or {}
    if not isinstance(axes, Mapping) or not all(type(value) in (int, float) for value in axes.values()):
        raise InputError("the pattern's settings: axes must be numbers; run convert again.")
    return {str(name): float(value) for name, value in axes.items()}


def _tell_left_out(choice: Choice, new: list[ChosenGlyph], folder: Path, quiet: bool) -> None:
    screen = console(stderr=True)
    if choice.missing:
        screen.say(f"warning: not in the font: {listed(choice.missing)}")
    there = [_named(one) for one in choice.glyphs if one not in new]
    if there and not quiet:
        left = "" if new else "; nothing is changed"
        screen.say(f"already in {folder}: {listed(there)}{left}")


def _named(one: Glyph | ChosenGlyph) -> str:
    return one.text or one.name
