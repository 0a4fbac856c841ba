"""``font2foundation convert``: a font goes in, sewable blocks come out."""

import os
import sys
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from converter.cli.lines import listed
from converter.cli.settings_options import settings_options
from converter.cli.terminal import console, show_result, steps
from converter.cli.types import NAMED_NUMBER, PATH, TEXT
from converter.cli.workers import workers
from converter.errors import InputError
from converter.folder.keeping import BLOCKS, Kept, discard, edits_among, size_of
from converter.folder.reading import (
    SUMMARIES,
    adopted,
    links,
    read_backups,
    read_blocks,
    read_pattern,
    read_record,
)
from converter.folder.writing import FAULTS, TEMPLATES
from converter.fonts.choosing import Choice, choose_glyphs
from converter.fonts.licence import judge_licence, licence_message
from converter.fonts.loading import load_font
from converter.limits import LIMITS
from converter.model import Pattern, Severity
from converter.output import check_places, digest, one_run_at_a_time, write_folder
from converter.pipeline import Conversion, convert
from converter.redesign.folder import Folder, new_folder
from converter.report.alternatives import Alternatives
from converter.settings import Settings, resolve_settings

LOG = "problems.log"
OUTDATED = (BLOCKS, FAULTS, LOG, TEMPLATES)  # of an earlier run, where this one has nothing of the kind

_CONVERT_HELP = """Turn the glyphs of FONT into foundation-pieced blocks.

Reads TTF, OTF, WOFF, WOFF2, collections and variable fonts. Writes pattern.json, blocks/, templates/,
report.html and report.csv into a folder. Default glyphs: A to Z.
"""


@click.command("convert", help=_CONVERT_HELP)
@click.argument("font", type=PATH)
@click.option("--out", type=PATH, help="Folder to write.  [default: out/ and the font's name]")
@click.option("--face", type=click.IntRange(0), help="Which face of a collection, from 0.")
@click.option(
    "--axis", "axes", type=NAMED_NUMBER, multiple=True, help="Place in a variable font, like wght=800."
)
@click.option("--text", type=TEXT, default="", help="The characters to convert.")
@click.option(
    "--unicodes", type=TEXT, default="", help="Code points and ranges, like U+41-5A,00C9; * for all."
)
@click.option("--glyphs", type=TEXT, default="", help="Glyph names; * for all.")
@click.option("--ignore-missing", is_flag=True, help="Go on without what the font lacks.")
@settings_options
@click.option(
    "--limit", "limits", type=NAMED_NUMBER, multiple=True, help=f"Set a threshold: {', '.join(LIMITS)}."
)
@click.option("--settings", "settings_file", type=PATH, help="A settings file (alphabet.toml).")
@click.option(
    "--licence-checked", type=TEXT, default="", help='Your own word on the licence: "who, when, why".'
)
@click.option(
    "--fail-on", type=click.Choice(["redesign", "review"]), help="End with 1 when a glyph has this status."
)
@click.option(
    "--jobs", type=click.IntRange(1), default=os.cpu_count() or 1, help="Processes.  [default: all cores]"
)
@click.option(
    "--discard-edits",
    "discarded",
    type=TEXT,
    multiple=True,
    metavar="KEY",
    help="Convert this block anew though it was changed by hand; the drawing goes to backups/.",
)
@click.option("--quiet", is_flag=True, help="Only warnings and errors.")
@click.option("--verbose", is_flag=True, help="List every glyph that needs a look.")
def convert_command(
    font: Path, out: Path | None, face: int | None, axes: tuple[tuple[str, float], ...], text: str, unicodes: str,
    glyphs: str, ignore_missing: bool, limits: tuple[tuple[str, float], ...], settings_file: Path | None,
    licence_checked: str, fail_on: Severity | None, jobs: int, discarded: tuple[str, ...], quiet: bool,
    verbose: bool, **given: Any,
) -> None:  # fmt: skip
    """Reads, converts, writes, reports."""
    settings = resolve_settings(settings_file, given | {"limits": dict(limits)})
    opened = load_font(font, face=face, axes=dict(axes))
    licence = judge_licence(opened, font.parent, licence_checked)
    message = licence_message(opened, licence)
    if licence.verdict == "restricted" and not licence_checked:
        raise InputError(message)
    choice = choose_glyphs(opened, text=text, unicodes=unicodes, glyphs=glyphs)
    _check_choice(choice, opened.file, ignore_missing)

    screen = console(stderr=True)
    if message:
        screen.say(f"warning: {message}")
    if choice.missing:
        screen.say(f"warning: not in the font: {listed(choice.missing)}")
    folder = out or Path("out") / font.stem
    with one_run_at_a_time(folder):
        # What stops the run is told before the work, not after it.
        check_places(folder, SUMMARIES, old := adopted(folder))
        _drawn(folder, discarded)
        with steps(len(choice.glyphs), quiet) as shown, workers(jobs, len(choice.glyphs)) as executor:
            conversion = convert(
                opened, choice.glyphs, licence, settings, executor, lambda made: shown.done(made.glyph.name)
            )
            drawn = _drawn(folder, discarded)
            done = _folder(folder, conversion, settings, opened.cap_height, drawn, executor)
        left = write_folder(
            folder, done.files | drawn.backups, OUTDATED, by_hand=BLOCKS, known=old | drawn.known
        )
    for link in links(folder):
        screen.say(f"warning: {link} is a link; it was not read, and nothing was written through it")
    for path in left:
        screen.say(f"warning: {folder / path} was saved during the run, and left as it is; check takes it in")
    if any(made.log for made in conversion.made):
        screen.say(f"warning: the program failed on some glyphs; see {folder / LOG}")
    if not quiet:
        show_result(done.pattern, folder, verbose)
        for checked in done.checked:
            word = "kept" if checked.is_sewable else "kept, but it cannot be sewn"
            screen.say(f"changed by hand: {checked.after.key} ({word})")
    sys.exit(_exit_code(done.pattern, fail_on))


@dataclass(frozen=True)
class _Drawn:
    """What stands in ``blocks/``: drawings changed by hand that stay, by key; backups of those that do not, by path;
    and the hash of what may give way to a new drawing, by path, empty where nothing may.
    """

    edits: dict[str, bytes]
    backups: dict[str, bytes]
    known: dict[str, str]


def _folder(
    folder: Path,
    conversion: Conversion,
    settings: Settings,
    cap_height: float,
    drawn: _Drawn,
    executor: Executor | None,
) -> Folder:
    """Everything to be written, with what was changed by hand in the folder kept as it is."""
    kept = {
        made.glyph.key: Kept(size=size_of(made.glyph, made.guide, settings, cap_height), outline=made.guide)
        for made in conversion.made
    }
    former = read_pattern(folder) if drawn.edits and (folder / "pattern.json").exists() else None
    alternatives = {made.glyph.key: Alternatives(made.number, made.figures) for made in conversion.made}
    each = executor.map if executor else map
    done = new_folder(conversion.pattern, kept, drawn.edits, former, read_record(folder), alternatives, each)
    log = "\n".join(f"{made.glyph.name}\n{made.log}" for made in conversion.made if made.log)
    if log:
        done.files[LOG] = log
    return done


def _drawn(folder: Path, discarded: Sequence[str]) -> _Drawn:
    drawings = read_blocks(folder)
    edits, backups = discard(
        edits_among(drawings, read_record(folder)), discarded, read_backups(folder) if discarded else {}
    )
    known = {f"{BLOCKS}/{key}.svg": "" if key in edits else digest(data) for key, data in drawings.items()}
    return _Drawn(edits, backups, known)


def _check_choice(choice: Choice, file: str, ignore_missing: bool) -> None:
    if choice.missing and not ignore_missing:
        raise InputError(
            f"{file}: not in the font: {listed(choice.missing)}; leave them out, or give --ignore-missing."
        )
    if not choice.glyphs:
        raise InputError(f"{file}: nothing is left to convert; choose glyphs that the font has.")


def _exit_code(pattern: Pattern, fail_on: Severity | None) -> int:
    failing = {"redesign": ("redesign",), "review": ("redesign", "review")}.get(fail_on or "", ())
    return int(any(glyph.status in failing for glyph in pattern.glyphs))
