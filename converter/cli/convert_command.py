"""``font2foundation convert``: a font goes in, sewable blocks come out."""

import os
import sys
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import click

from converter.artwork import with_pictures
from converter.cli.adding import add_characters, refuse_with_add
from converter.cli.lines import listed
from converter.cli.making import made_blocks
from converter.cli.options import CACHE, NO_CACHE, example
from converter.cli.papers import tell_stale
from converter.cli.settings_options import settings_options
from converter.cli.terminal import console, show_next, show_result
from converter.cli.types import LINE, NAMED_NUMBER, PATH, TEXT
from converter.cli.workers import workers
from converter.errors import InputError
from converter.folder.keeping import BLOCKS
from converter.folder.reading import SUMMARIES, adopted, links
from converter.fonts.choosing import Choice, choose_glyphs
from converter.fonts.licence import judge_licence, licence_message, refuse_restricted
from converter.fonts.loading import load_font
from converter.fonts.symbol_names import named
from converter.limits import LIMITS
from converter.model import Pattern, Severity
from converter.output import check_places, one_run_at_a_time, write_folder
from converter.pipeline import convert
from converter.publication import published
from converter.sets import LOG, OUTDATED, new_set, standing
from converter.settings import read_pattern_table, resolve_settings
from converter.store import BlockStore, store_folder
from converter.symbols.folder import choose_symbols, load_symbols

_CONVERT_HELP = """Turn the glyphs of FONT into foundation-pieced blocks.

Reads TTF, OTF, WOFF and WOFF2 files, collections, variable fonts, and folders of SVG files, one symbol each.
Writes pattern.json, blocks/, templates/, report.html and report.csv to a folder. Converts A to Z, or all drawings,
unless you choose others.
"""


_EXAMPLE = "convert sample_fonts/jost/jost-latin-800-normal.woff2 --text KELP --block 3x4in --out out/kelp"


@click.command("convert", help=_CONVERT_HELP, epilog=example(_EXAMPLE))
@click.argument("font", type=PATH)
@click.option("--out", type=PATH, help="Folder to write to.  [default: out/ and the font's name]")
@click.option("--face", type=click.IntRange(0), help="Use this face of a collection, counted from 0.")
@click.option(
    "--axis", "axes", type=NAMED_NUMBER, multiple=True, help="Set an axis of a variable font, like wght=800."
)
@click.option("--text", type=TEXT, help="Convert these characters.")
@click.option(
    "--unicodes",
    type=TEXT,
    help="Convert these code points and ranges, like U+41-5A,00C9; * for all.",
)
@click.option("--glyphs", type=TEXT, help="Convert the glyphs of these names; * for all.")
@click.option(
    "--names",
    "names_file",
    type=PATH,
    metavar="FILE",
    help="Name the glyphs as this CSS, codepoints or JSON file beside an icon font names its characters.",
)
@click.option(
    "--add",
    type=TEXT,
    help="Add these characters to the set in --out, in its hand and with its settings; all else there stays as it is.",
)
@click.option("--ignore-missing", is_flag=True, help="Skip characters that the font lacks.")
@settings_options
@click.option(
    "--limit",
    "limits",
    type=NAMED_NUMBER,
    multiple=True,
    help=f"Set the limit of a finding: {', '.join(LIMITS)}.",
)
@click.option(
    "--settings",
    "settings_file",
    type=PATH,
    help="Read settings from this file, alphabet.toml.",
)
@click.option(
    "--licence-checked", type=LINE, default="", help='Record that you checked the licence: "who, when, why".'
)
@click.option(
    "--fail-on",
    type=click.Choice(["redesign", "review"]),
    help="Exit with code 1 if a glyph has this status or worse.",
)
@click.option(
    "--jobs",
    type=click.IntRange(1),
    default=os.cpu_count() or 1,
    help="Run this many processes.  [default: all cores]",
)
@click.option(
    "--cluster",
    type=TEXT,
    metavar="SCHEDULER",
    help="Make the blocks on a Dask cluster: its scheduler's address, like tcp://HOST:8786, or scheduler file.",
)
@CACHE
@NO_CACHE
@click.option(
    "--discard-edits",
    "discarded",
    type=TEXT,
    multiple=True,
    metavar="KEY",
    help="Discard your edit of this block and convert it anew; the drawing moves to backups/.",
)
@click.option("--quiet", is_flag=True, help="Print warnings and errors only.")
@click.option("--verbose", is_flag=True, help="List every glyph that has findings.")
def convert_command(
    font: Path, out: Path | None, face: int | None, axes: tuple[tuple[str, float], ...], text: str | None,
    unicodes: str | None, glyphs: str | None, names_file: Path | None, add: str | None, ignore_missing: bool,
    limits: tuple[tuple[str, float], ...], settings_file: Path | None,
    licence_checked: str, fail_on: Severity | None, jobs: int, cluster: str | None, cache: Path | None, no_cache: bool,
    discarded: tuple[str, ...], quiet: bool, verbose: bool, **given: Any,
) -> None:  # fmt: skip
    """Reads, converts, writes, reports."""
    folder = out or Path("out") / font.resolve().stem
    store = None if no_cache else BlockStore(cache or store_folder())
    if add is not None:
        refuse_with_add(
            {
                "text": text,
                "unicodes": unicodes,
                "glyphs": glyphs,
                "names": names_file,
                "axis": axes,
                "limit": limits,
            }
            | {"settings": settings_file, "licence_checked": licence_checked, "discard_edits": discarded}
            | given
        )
        pattern = add_characters(
            font, folder, _asked(add=add)["add"], face=face, jobs=jobs, cluster=cluster, store=store,
            ignore_missing=ignore_missing, quiet=quiet, verbose=verbose,
        )  # fmt: skip
        sys.exit(_exit_code(pattern, fail_on))
    settings = resolve_settings(settings_file, given | {"limits": dict(limits)})
    publication, said = read_pattern_table(settings_file)
    publication, pictures = with_pictures(publication, said, settings_file)
    is_folder = font.is_dir()
    if is_folder and (face is not None or axes or names_file is not None):
        raise InputError(f"{font}: is a folder of drawings; leave out --face, --axis and --names.")
    opened = load_symbols(font) if is_folder else load_font(font, face=face, axes=dict(axes))
    if names_file is not None:
        opened = named(opened, names_file)
    licence = judge_licence(
        opened, font if is_folder else font.parent, licence_checked, of_drawings=is_folder
    )
    refuse_restricted(opened, licence)
    asked = _asked(text=text, unicodes=unicodes, glyphs=glyphs)
    choice = choose_symbols(opened, **asked) if is_folder else choose_glyphs(opened, **asked)
    _check_choice(choice, opened.file, ignore_missing)

    screen = console(stderr=True)
    if message := licence_message(opened, licence):
        screen.say(f"warning: {message}")
    if choice.missing:
        screen.say(f"warning: not in the font: {listed(choice.missing)}")
    with one_run_at_a_time(folder):
        # What stops the run is told before the work, not after it.
        check_places(folder, SUMMARIES, old := adopted(folder))
        standing(folder, discarded)
        conversion = made_blocks(
            partial(convert, opened, choice.glyphs, licence, settings),
            len(choice.glyphs),
            jobs,
            cluster,
            store,
            quiet,
        )
        found = standing(folder, discarded)
        conversion = replace(conversion, pattern=published(conversion.pattern, publication))
        with workers(jobs, len(choice.glyphs)) as crew:
            done = new_set(folder, conversion, found, crew.executor.map if crew.executor else map)
            done.files.update(pictures)
        left = write_folder(folder, done.files, OUTDATED, by_hand=BLOCKS, known=old | found.known)
    for link in links(folder):
        screen.say(f"warning: {link} is a link; it was not read, and nothing was written through it")
    for path in left:
        screen.say(f"warning: {folder / path} was saved during the run, and left as it is; check takes it in")
    if done.logs:
        screen.say(f"warning: the program failed on some glyphs; see {folder / LOG}")
    if not quiet:
        show_result(done.pattern, folder, verbose)
        for checked in done.checked:
            word = "kept" if checked.is_sewable else "kept, but it cannot be sewn"
            screen.say(f"changed by hand: {checked.after.key} ({word})")
        tell_stale(screen, folder, done.pattern)
        redesign = any(glyph.status == "redesign" for glyph in done.pattern.glyphs)
        show_next(console(), "check" if redesign else "print", folder)
    if conversion.stopped_by is not None:
        raise conversion.stopped_by
    sys.exit(_exit_code(done.pattern, fail_on))


def _asked(**given: str | None) -> dict[str, str]:
    for name, value in given.items():
        if value is not None and not (value if name in ("text", "add") else value.strip(" ,\t\r\n")):
            raise InputError(f"--{name} is empty; say what to convert, or leave it out for A to Z.")
    return {name: value or "" for name, value in given.items()}


def _check_choice(choice: Choice, file: str, ignore_missing: bool) -> None:
    if choice.missing and not ignore_missing:
        raise InputError(
            f"{file}: not in the font: {', '.join(choice.missing)}; leave them out or give --ignore-missing."
        )
    if not choice.glyphs:
        raise InputError(f"{file}: nothing is left to convert; choose glyphs that are in the font.")


def _exit_code(pattern: Pattern, fail_on: Severity | None) -> int:
    failing = {"redesign": ("redesign",), "review": ("redesign", "review")}.get(fail_on or "", ())
    return int(any(glyph.status in failing for glyph in pattern.glyphs))
