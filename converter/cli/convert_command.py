"""``font2foundation convert``: a font goes in, sewable blocks come out."""

import os
import sys
from pathlib import Path
from typing import Any

import click

from converter.cli.settings_options import settings_options
from converter.cli.terminal import console, show_result, steps
from converter.cli.types import NAMED_NUMBER
from converter.cli.workers import workers
from converter.errors import InputError
from converter.fonts.choosing import Choice, choose_glyphs
from converter.fonts.licence import judge_licence, licence_message, refuse_restricted
from converter.fonts.loading import load_font
from converter.limits import LIMITS
from converter.model import Pattern, Severity
from converter.output import one_run_at_a_time, write_folder
from converter.pipeline import convert
from converter.sets import LOG, OUTDATED, edits_and_backups, new_set
from converter.settings import resolve_settings

_CONVERT_HELP = """Turn the glyphs of FONT into foundation-pieced blocks.

Reads TTF, OTF, WOFF, WOFF2, collections and variable fonts. Writes pattern.json, blocks/, templates/,
report.html and report.csv into a folder. Default glyphs: A to Z.
"""


@click.command("convert", help=_CONVERT_HELP)
@click.argument("font", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder to write.  [default: out/ and the font's name]"
)
@click.option("--face", type=click.IntRange(0), help="Which face of a collection, from 0.")
@click.option(
    "--axis", "axes", type=NAMED_NUMBER, multiple=True, help="Place in a variable font, like wght=800."
)
@click.option("--text", default="", help="The characters to convert.")
@click.option("--unicodes", default="", help="Code points and ranges, like U+41-5A,00C9; * for all.")
@click.option("--glyphs", default="", help="Glyph names; * for all.")
@click.option("--ignore-missing", is_flag=True, help="Go on without what the font lacks.")
@settings_options
@click.option(
    "--limit", "limits", type=NAMED_NUMBER, multiple=True, help=f"Set a threshold: {', '.join(LIMITS)}."
)
@click.option(
    "--settings", "settings_file", type=click.Path(path_type=Path), help="A settings file (alphabet.toml)."
)
@click.option("--licence-checked", default="", help='Your own word on the licence: "who, when, why".')
@click.option(
    "--fail-on", type=click.Choice(["redesign", "review"]), help="End with 1 when a glyph has this status."
)
@click.option(
    "--jobs", type=click.IntRange(1), default=os.cpu_count() or 1, help="Processes.  [default: all cores]"
)
@click.option(
    "--discard-edits",
    "discarded",
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
    refuse_restricted(opened, licence)
    choice = choose_glyphs(opened, text=text, unicodes=unicodes, glyphs=glyphs)
    _check_choice(choice, opened.file, ignore_missing)

    screen = console(stderr=True)
    if message := licence_message(opened, licence):
        screen.print(f"warning: {message}", markup=False)
    if choice.missing:
        screen.print(f"warning: not in the font: {', '.join(choice.missing)}", markup=False)
    folder = out or Path("out") / font.stem
    with one_run_at_a_time(folder):
        edits_and_backups(folder, discarded)  # a wrong key is told before the work, not after it
        with steps(len(choice.glyphs), quiet) as shown, workers(jobs, len(choice.glyphs)) as executor:
            conversion = convert(
                opened, choice.glyphs, licence, settings, executor, lambda made: shown.done(made.glyph.name)
            )
            done = new_set(folder, conversion, discarded, executor.map if executor else map)
        write_folder(folder, done.files, outdated=OUTDATED)
    if done.logs:
        screen.print(f"warning: the program failed on some glyphs; see {folder / LOG}", markup=False)
    if not quiet:
        show_result(done.pattern, folder, verbose)
        for checked in done.checked:
            word = "kept" if checked.is_sewable else "kept, but it cannot be sewn"
            screen.print(f"changed by hand: {checked.after.key} ({word})", markup=False)
    sys.exit(_exit_code(done.pattern, fail_on))


def _check_choice(choice: Choice, file: str, ignore_missing: bool) -> None:
    if choice.missing and not ignore_missing:
        raise InputError(
            f"{file}: not in the font: {', '.join(choice.missing)}; leave them out, or give --ignore-missing."
        )
    if not choice.glyphs:
        raise InputError(f"{file}: nothing is left to convert; choose glyphs that the font has.")


def _exit_code(pattern: Pattern, fail_on: Severity | None) -> int:
    failing = {"redesign": ("redesign",), "review": ("redesign", "review")}.get(fail_on or "", ())
    return int(any(glyph.status in failing for glyph in pattern.glyphs))
