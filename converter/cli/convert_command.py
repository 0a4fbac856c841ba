"""``font2foundation convert``: a font goes in, sewable blocks come out."""

import os
import sys
from collections.abc import Sequence
from concurrent.futures import Executor
from pathlib import Path
from typing import Any

import click

from converter.cli.options import example
from converter.cli.reading import read_pattern
from converter.cli.terminal import console, show_next, show_result, steps
from converter.cli.types import LENGTH, NAMED_NUMBER, SIZE
from converter.cli.workers import workers
from converter.errors import InputError
from converter.fonts.choosing import Choice, choose_glyphs
from converter.fonts.licence import judge_licence, licence_message
from converter.fonts.loading import load_font
from converter.limits import LIMITS
from converter.model import Pattern, Severity
from converter.output import one_run_at_a_time, write_folder
from converter.pipeline import Conversion, convert
from converter.redesign.folder import FAULTS, TEMPLATES, Folder, new_folder
from converter.redesign.keeping import BLOCKS, Kept, discard, edits_among, size_of
from converter.redesign.reading import read_backups, read_blocks, read_record
from converter.report.alternatives import Alternatives
from converter.settings import DETAILS, Settings, resolve_settings

LOG = "problems.log"
OUTDATED = (BLOCKS, FAULTS, LOG, TEMPLATES)  # of an earlier run, where this one has nothing of the kind

_CONVERT_HELP = """Turn the glyphs of FONT into foundation-pieced blocks.

Reads TTF, OTF, WOFF and WOFF2 files, collections and variable fonts. Writes pattern.json, blocks/, templates/,
report.html and report.csv to a folder. Converts A to Z unless you choose other characters.
"""


_EXAMPLE = "convert sample_fonts/jost/jost-latin-800-normal.woff2 --text KELP --block 3x4in --out out/kelp"


@click.command("convert", help=_CONVERT_HELP, epilog=example(_EXAMPLE))
@click.argument("font", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder to write to.  [default: out/ and the font's name]"
)
@click.option("--face", type=click.IntRange(0), help="Use this face of a collection, counted from 0.")
@click.option(
    "--axis", "axes", type=NAMED_NUMBER, multiple=True, help="Set an axis of a variable font, like wght=800."
)
@click.option("--text", default="", help="Convert these characters.")
@click.option(
    "--unicodes", default="", help="Convert these code points and ranges, like U+41-5A,00C9; * for all."
)
@click.option("--glyphs", default="", help="Convert the glyphs of these names; * for all.")
@click.option("--ignore-missing", is_flag=True, help="Skip characters that the font lacks.")
@click.option(
    "--block", type=SIZE, help="Finished size of the block, like 3x4in or 75x100mm.  [default: 3x4in]"
)
@click.option(
    "--margin",
    type=LENGTH,
    help="Leave this much background around the letter.  [default: 1/16 of the block's height]",
)
@click.option(
    "--fit",
    type=click.Choice(["together", "each"]),
    help="All glyphs at one scale, or each filling its block.  [default: together]",
)
@click.option(
    "--width",
    type=click.Choice(["fixed", "proportional"]),
    help="All blocks of one width, or each as wide as needed.  [default: fixed]",
)
@click.option("--seam-allowance", type=LENGTH, help="Allowance around every section.  [default: 1/4in]")
@click.option(
    "--grid", type=LENGTH, help="Resolution of the block: merge lines closer than this.  [default: 1/16in]"
)
@click.option("--min-piece-width", type=LENGTH, help="Make no piece narrower than this.  [default: 1/8in]")
@click.option(
    "--detail",
    type=click.Choice(list(DETAILS)),
    help="How closely to follow the font: finer detail takes more pieces.  [default: balanced]",
)
@click.option(
    "--section-price",
    type=float,
    help="Pieces that saving a section is worth; raise it for fewer sections.  [default: 0.9]",
)
@click.option(
    "--budget", type=int, help="Limit the search for seams to this many states per glyph.  [default: 4000]"
)
@click.option(
    "--limit",
    "limits",
    type=NAMED_NUMBER,
    multiple=True,
    help=f"Set the limit of a finding: {', '.join(LIMITS)}.",
)
@click.option("--figure-colour", help="Draw letters in this colour, like #1f4e5f.")
@click.option("--background-colour", help="Draw backgrounds in this colour.")
@click.option(
    "--settings",
    "settings_file",
    type=click.Path(path_type=Path),
    help="Read settings from this file, alphabet.toml.",
)
@click.option("--licence-checked", default="", help='Record that you checked the licence: "who, when, why".')
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
    "--discard-edits",
    "discarded",
    multiple=True,
    metavar="KEY",
    help="Discard your edit of this block and convert it anew; the drawing moves to backups/.",
)
@click.option("--quiet", is_flag=True, help="Print warnings and errors only.")
@click.option("--verbose", is_flag=True, help="List every glyph that has findings.")
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
        screen.print(f"warning: {message}", markup=False)
    if choice.missing:
        screen.print(f"warning: not in the font: {', '.join(choice.missing)}", markup=False)
    folder = out or Path("out") / font.stem
    with one_run_at_a_time(folder):
        _edits(folder, discarded)  # a wrong key is told before the work, not after it
        with steps(len(choice.glyphs), quiet) as shown, workers(jobs, len(choice.glyphs)) as executor:
            conversion = convert(
                opened, choice.glyphs, licence, settings, executor, lambda made: shown.done(made.glyph.name)
            )
            done = _folder(folder, conversion, settings, opened.cap_height, discarded, executor)
        write_folder(folder, done.files, outdated=OUTDATED)
    if any(made.log for made in conversion.made):
        screen.print(f"warning: the program failed on some glyphs; see {folder / LOG}", markup=False)
    if not quiet:
        show_result(done.pattern, folder, verbose)
        for checked in done.checked:
            word = "kept" if checked.is_sewable else "kept, but it cannot be sewn"
            screen.print(f"changed by hand: {checked.after.key} ({word})", markup=False)
        redesign = any(glyph.status == "redesign" for glyph in done.pattern.glyphs)
        show_next(console(), "check" if redesign else "print", folder)
    sys.exit(_exit_code(done.pattern, fail_on))


def _folder(
    folder: Path,
    conversion: Conversion,
    settings: Settings,
    cap_height: float,
    discarded: Sequence[str],
    executor: Executor | None,
) -> Folder:
    """Everything to be written, with what was changed by hand in the folder kept as it is."""
    edits, backups = _edits(folder, discarded)
    kept = {
        made.glyph.key: Kept(size=size_of(made.glyph, made.guide, settings, cap_height), outline=made.guide)
        for made in conversion.made
    }
    former = read_pattern(folder) if edits and (folder / "pattern.json").exists() else None
    alternatives = {made.glyph.key: Alternatives(made.number, made.figures) for made in conversion.made}
    each = executor.map if executor else map
    done = new_folder(conversion.pattern, kept, edits, former, read_record(folder), alternatives, each)
    done.files.update(backups)
    log = "\n".join(f"{made.glyph.name}\n{made.log}" for made in conversion.made if made.log)
    if log:
        done.files[LOG] = log
    return done


def _edits(folder: Path, discarded: Sequence[str]) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """The drawings changed by hand that stay, by key; and the backups of those that do not, by path."""
    edits = edits_among(read_blocks(folder), read_record(folder))
    return discard(edits, discarded, read_backups(folder) if discarded else {})


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
