"""The engine of two trees side by side: ``python -m tests.benchmarks.engine --old DIR``

DIR is a git worktree of the commit to compare with. Each item is converted in a process of its own, by the old tree
and by this one in turn, with this interpreter and two processes for the glyphs; the clock starts with the font and
ends with the last block. Ratios count, not seconds; where other work goes on beside it, the ratio of the CPU seconds.
In the other columns a cell says "old / new". A tree that works longer than the timeout (CPU seconds) is stopped. Linux
only: /proc tells the work of what is still at it.

The first rows show what loading costs: with nothing compiled yet, from the imports to the last block; then, compiled,
from the imports to the end of a single letter. The last line tells what a candidate takes (a move that is estimated or
a figure that is judged), with all that the search does for it.
"""

import argparse
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from string import ascii_lowercase, ascii_uppercase, digits
from tempfile import TemporaryDirectory
from typing import Any

from rich.console import Console
from rich.table import Table

from converter.fonts.loading import load_font
from converter.units import MM_PER_INCH
from tests.benchmarks.crafted import SHAPES, write_font
from tests.fonts.makers import TEXT_FONTS

NEW = Path(__file__).parents[2]
SCRIPT = Path(__file__).with_name("engine_item.py")
ICON = {"fit": "each", "block": (3 * MM_PER_INCH, 3 * MM_PER_INCH)}
LOOK_AGAIN = 0.2  # s: how often the work of an item is looked at
FAILED = "failed"
SEED = 1  # of the icons that are drawn
TITLES = ("work", "old s", "new s", "ratio", "CPU s", "ratio", "peak MB", "ready/review/redesign")
MEANS = ("pieces", "sections", "overlap")


@dataclass(frozen=True, slots=True)
class Item:
    """Work for both trees. ``clock``: which of the times of :mod:`tests.benchmarks.engine_item` counts."""

    name: str
    font: Path
    chosen: Mapping[str, str]
    settings: Mapping[str, Any] = field(default_factory=dict)
    clock: str = "seconds"
    profile: bool = False

    def request(self) -> str:
        """What the process is told."""
        font = str(self.font.resolve())
        return json.dumps(
            {"font": font, "chosen": self.chosen, "settings": self.settings, "profile": self.profile}
        )


@dataclass(frozen=True, slots=True)
class Outcome:
    """What an item took in one tree; ``took`` is empty where it was stopped, or failed, as ``said`` tells."""

    took: Mapping[str, Any] = field(default_factory=dict)
    said: str = ""


def outcome(item: Item, tree: Path, timeout: float, cache: Path) -> Outcome:
    """Runs an item by a tree, for so many CPU seconds at most; what is compiled is kept in ``cache``."""
    environment = os.environ | {"PYTHONPATH": str(tree.resolve()), "NUMBA_CACHE_DIR": str(cache)}
    command = [sys.executable, "-P", str(SCRIPT), item.request()]
    with subprocess.Popen(
        command, cwd=tree, env=environment, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        start_new_session=True,
    ) as process:  # fmt: skip
        try:
            while True:
                try:
                    said, errors = process.communicate(timeout=LOOK_AGAIN)
                    break
                except subprocess.TimeoutExpired:
                    if _worked(process.pid) > timeout:
                        return Outcome(said=f"> {timeout:g} CPU")
        finally:  # also where the benchmark is stopped: it and its workers, which are a group of their own
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
    if process.returncode:
        print(errors, file=sys.stderr)
        return Outcome(said=FAILED)
    return Outcome(json.loads(said))


def _worked(group: int) -> float:
    """Seconds of work so far of the processes of a group that are alive."""
    ticks = 0
    for status in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):  # one that has just ended
            fields = (
                status.read_text().rpartition(")")[2].split()
            )  # proc_pid_stat(5), from the third field on
            if int(fields[2]) == group:
                ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True, slots=True)
class Trees:
    """The old tree, and how long (CPU seconds) it and this one may work at an item."""

    old: Path
    old_timeout: float
    timeout: float

    def outcomes(self, item: Item, folder: Path) -> tuple[Outcome, Outcome]:
        """An item by the old tree, then by this one; what they compile is kept in a folder."""
        return (
            outcome(item, self.old, self.old_timeout, folder / "old"),
            outcome(item, NEW, self.timeout, folder / "new"),
        )


def row(item: Item, old: Outcome, new: Outcome, timeout: float) -> list[str]:
    """The cells of an item's row."""

    def both(cell: Callable[[Mapping[str, Any]], str]) -> str:
        return " / ".join(cell(one.took) if one.took else "–" for one in (old, new))

    return [
        item.name,
        *(f"{one.took[item.clock]:.1f}" if one.took else one.said for one in (old, new)),
        _ratio(item.clock, old, new, 0),
        both(lambda took: f"{took['cpu']:.1f}"),
        _ratio("cpu", old, new, 0 if old.said == FAILED else timeout),
        both(lambda took: f"{took['megabytes']:.0f}"),
        both(lambda took: "/".join(map(str, took["statuses"]))),
        *(both(lambda took, name=name: _mean(name, took[name])) for name in MEANS),  # type: ignore[misc]
    ]


def _ratio(clock: str, old: Outcome, new: Outcome, least: float) -> str:
    """How many times as fast; at least, where the old tree was stopped after so much work."""
    if not new.took or not (old.took or least):
        return ""
    return f"{old.took[clock] / new.took[clock]:.1f}" if old.took else f"> {least / new.took[clock]:.1f}"


def _mean(name: str, value: float | None) -> str:
    return "–" if value is None else f"{value:.3f}" if name == "overlap" else f"{value:.2f}"


def table(rows: Sequence[Sequence[str]]) -> Table:
    """The table of all items."""
    made = Table(box=None, pad_edge=False)
    for title in (*TITLES, *MEANS):
        made.add_column(title, justify="left" if title == "work" else "right")
    for cells in rows:
        made.add_row(*cells)
    return made


def letters(font: Path) -> Iterator[Item]:
    """A letter font's alphabets."""
    yield Item(f"{font.stem}, A–Z", font, {"text": ascii_uppercase})
    yield Item(f"{font.stem}, A–Z a–z", font, {"text": ascii_uppercase + ascii_lowercase})


def icons(font: Path, count: int) -> Item:
    """Icons of a font, drawn at random, the same with every run."""
    codes = [code for code in load_font(font).cmap if code > 0x20]
    drawn = Random(SEED).sample(sorted(codes), min(count, len(codes)))
    chosen = {"unicodes": " ".join(f"{code:X}" for code in drawn)}
    return Item(f"{font.stem}, {len(drawn)} icons", font, chosen, ICON)


def main(arguments: list[str] | None = None) -> None:
    """Measures and prints the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--old", type=Path, required=True, metavar="DIR")
    parser.add_argument("--fonts", nargs="*", type=Path, default=TEXT_FONTS[:1], metavar="FONT")
    parser.add_argument("--icons", nargs="*", type=_font_and_count, default=(), metavar="FONT:COUNT")
    parser.add_argument("--blackletter", nargs="*", type=Path, default=(), metavar="FONT")
    parser.add_argument("--crafted", action="store_true", help="also shapes that no block can hold")
    parser.add_argument(
        "--timeout", type=float, default=120.0, metavar="SECONDS", help="of an item in a tree"
    )
    parser.add_argument(
        "--old-timeout", type=float, metavar="SECONDS", help="where another holds for the old tree"
    )
    given = parser.parse_args(arguments)
    trees = Trees(given.old, given.old_timeout or given.timeout, given.timeout)
    with TemporaryDirectory() as temporary:
        rows = []
        for item in _items(given, write_font(Path(temporary))):
            rows.append(row(item, *trees.outcomes(item, Path(temporary)), trees.old_timeout))
            print(" | ".join(rows[-1]), file=sys.stderr, flush=True)  # it takes long: each row as it comes
        profile = Item("profile", given.fonts[0], {"text": ascii_uppercase}, profile=True)
        candidates = [_candidate(one) for one in trees.outcomes(profile, Path(temporary))]
    console = Console(width=220)
    console.print(table(rows))
    console.print("A candidate: " + " / ".join(candidates))


def _items(given: argparse.Namespace, crafted: Path) -> Iterator[Item]:
    first = given.fonts[0]
    alphabet = {"text": ascii_uppercase}
    yield Item("first run of A–Z, from the imports", first, alphabet, clock="from_import")
    yield Item("second run, from the imports to an I", first, {"text": "I"}, clock="from_import")
    for font in given.fonts:
        yield from letters(font)
    for font, count in given.icons:
        yield icons(font, count)
    for font in given.blackletter:
        yield Item(f"{font.stem}, A–Z 0–9", font, {"text": ascii_uppercase + digits})
    for shape in SHAPES if given.crafted else ():
        yield Item(f"crafted {shape}", crafted, {"glyphs": shape}, {"fit": "each"})


def _font_and_count(text: str) -> tuple[Path, int]:
    font, _, count = text.rpartition(":")
    return Path(font), int(count)


def _candidate(one: Outcome) -> str:
    if not one.took:
        return one.said
    count = one.took["candidates"]
    return f"{1000 * one.took['search_seconds'] / max(count, 1):.2f} ms each of {count:,}"


if __name__ == "__main__":
    main()
