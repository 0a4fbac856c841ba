"""What a run says on the terminal: a progress bar, a short table, warnings. Errors and progress go to stderr."""

import shlex
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click
from rich.console import Console
from rich.markup import escape as markup_escape
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table

from converter.cli.lines import visible
from converter.model import Glyph, Pattern, Status

WORST_SHOWN = 8
ONE_OF_SEVERAL = "one of several commands"  # a context's object where another command runs this one
_STYLE: dict[Status, str] = {"ready": "green", "review": "yellow", "redesign": "red", "blank": "dim"}


class Screen(Console):
    """A console on which what comes from files, names and options cannot steer the terminal."""

    def say(self, line: str, style: str | None = None) -> None:
        """One line, as it is: no markup in it means anything."""
        self.print(visible(line), markup=False, soft_wrap=True, style=style)


def console(stderr: bool = False) -> Screen:
    """A console that obeys NO_COLOR and never guesses a terminal where there is none."""
    return Screen(stderr=stderr, highlight=False, soft_wrap=not sys.stdout.isatty())


def escape(text: str) -> str:
    """Text for a cell of a table or a line with styles."""
    return markup_escape(visible(text))


class Steps:
    """Shows how far a run is; silent where it should be."""

    def __init__(self, progress: Progress | None, total: int, quiet: bool = False) -> None:
        self._progress, self._quiet = progress, quiet
        self._task = progress.add_task("", total=total) if progress else None

    def done(self, name: str) -> None:
        """One glyph more is done."""
        if self._progress is not None and self._task is not None:
            self._progress.update(self._task, advance=1, description=escape(name[:24]))

    def say(self, line: str) -> None:
        """A line above the bar, or where the bar would be; nothing when quiet."""
        if self._quiet:
            return
        screen = self._progress.console if self._progress is not None else console(stderr=True)
        screen.print(visible(line), markup=False, soft_wrap=True)

    def stage(self, name: str, done: int, of: int) -> None:
        """What is being done now, and how far it is."""
        if self._progress is not None and self._task is not None:
            self._progress.update(self._task, description=escape(name), completed=done, total=of)


@contextmanager
def steps(total: int, quiet: bool) -> Iterator[Steps]:
    """A progress bar on stderr, or nothing when quiet or not on a terminal."""
    screen = console(stderr=True)
    if quiet or not screen.is_terminal:
        yield Steps(None, total, quiet)
        return
    with Progress(
        TextColumn("{task.description:>24}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn(),
        console=screen, transient=True,
    ) as progress:  # fmt: skip
        yield Steps(progress, total)


@contextmanager
def stages(quiet: bool) -> Iterator[Callable[[str, int, int], None]]:
    """Says on stderr what is being done, and how much of how much is done; or nothing, as in :func:`steps`."""
    with steps(0, quiet) as shown:
        yield shown.stage


def show_next(screen: Screen, *command: object) -> None:
    """What is likely to be done next, ready to be copied: the last line of a run, unless others follow it."""
    context = click.get_current_context(silent=True)
    if context is not None and context.obj == ONE_OF_SEVERAL:
        return
    screen.say(f"next: font2foundation {shlex.join(map(str, command))}")


def show_result(pattern: Pattern, out: Path, verbose: bool) -> None:
    """The short table of a finished run and where to read on."""
    screen = console()
    counts = pattern.counts()
    sewn = [glyph for glyph in pattern.glyphs if glyph.pieces]
    table = Table(box=None, pad_edge=False, show_header=True, header_style="bold")
    for column in ("status", "glyphs", "first reason"):
        table.add_column(column, justify="right" if column == "glyphs" else "left")
    for status, count in counts.items():
        if count:
            table.add_row(
                f"[{_STYLE[status]}]{status}[/]", f"{count:,}", escape(_first_reasons(pattern, status))
            )
    screen.print(table)
    if sewn:
        pieces = sum(g.metrics.pieces for g in sewn) / len(sewn)
        sections = sum(g.metrics.sections for g in sewn) / len(sewn)
        proved = sum(g.metrics.proved_minimal for g in sewn)
        screen.print(
            f"{pieces:.1f} pieces and {sections:.2f} sections a block; "
            f"proved to have the fewest pieces: {proved} of {len(sewn)}"
        )
    _show_worst(screen, pattern, verbose)
    screen.print(f"report: {escape(str(out / 'report.html'))}", soft_wrap=True)


def _first_reasons(pattern: Pattern, status: Status) -> str:
    """How many of the glyphs of a status have it for what reason, each counted by its first."""
    firsts = (
        next((reason.id for reason in glyph.reasons if reason.severity != "note"), "")
        for glyph in pattern.glyphs
        if glyph.status == status
    )
    counts = Counter(first for first in firsts if first)
    return ", ".join(f"{reason} {count:,}" for reason, count in counts.most_common())


def _show_worst(screen: Screen, pattern: Pattern, verbose: bool) -> None:
    telling: list[Glyph] = [g for g in pattern.glyphs if g.status in ("redesign", "review")]
    telling.sort(key=lambda g: ("redesign", "review").index(g.status))
    shown = telling if verbose else telling[:WORST_SHOWN]
    for glyph in shown:
        reasons = [r for r in glyph.reasons if r.severity != "note"]
        more = f" (+{len(reasons) - 1} more)" if len(reasons) > 1 else ""
        name = escape(glyph.text or glyph.name)
        screen.print(f"  [{_STYLE[glyph.status]}]{name}[/]  {escape(reasons[0].message)}{more}")
    if len(telling) > len(shown):
        screen.print(f"  … {len(telling) - len(shown):,} more in the report")


def say_left_out(keys: Iterable[str]) -> None:
    """A warning for each block on which the program failed."""
    for key in keys:
        console(stderr=True).print(f"warning: the program failed on {key}; it is left out", markup=False)
