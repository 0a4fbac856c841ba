"""What the straightening and the search achieve, font by font: ``python -m tests.benchmarks.letters FONT…``

Prints tables of A to Z at the default settings, for the sample fonts where none is given. Beside the program's
pieces stands what general methods make of the same straightened figures: a constrained Delaunay triangulation of
figure and ground; a greedy convex partition, which often cannot be sewn at all; a tree of cuts that always takes
the longest edge first. Lengths in mm, distances in hundredths of the cap height. "torn": letters
that have other parts or counters in the block than in the font; "tilted": with an edge that is level or upright in the
font and slants in the block.

A last row has the means over all fonts.

``--read``: also how many letters Tesseract reads in the font's outlines but not in the blocks.
``--section-prices`` and ``--details``: instead, one table a font of what each price or detail comes to.
"""

import argparse
from collections.abc import Iterable, Mapping
from pathlib import Path

from rich.console import Console
from rich.table import Table

from converter.settings import DETAILS
from tests.benchmarks.columns import OUTCOME, READING, SEWING, TRUTH, Column, mean
from tests.benchmarks.reading import TESSERACT
from tests.benchmarks.runs import Run, run

SAMPLES = Path(__file__).parents[2] / "sample_fonts"
TRADE_OFF: Mapping[str, Column] = {
    name: (SEWING | TRUTH | OUTCOME)[name]
    for name in ("pieces", "sections", "joins", "match", "IoU", "lowest", "ready", "seconds", "CPU s")
}
TEXTS = {"lost/counted", "lost, and read as", "least alike"}
AVERAGED = (
    "pieces",
    "sections",
    "joins",
    "match",
    "÷ bound",
    "IoU",
    "seconds",
)  # over all fonts, in a last row


def main(arguments: list[str] | None = None) -> None:
    """Measures each font and prints its rows."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("fonts", nargs="*", type=Path, metavar="FONT")
    parser.add_argument("--read", action="store_true", help="needs the command tesseract")
    parser.add_argument("--section-prices", type=_prices, metavar="0.5,1,2", default=())
    parser.add_argument("--details", action="store_true")
    given = parser.parse_args(arguments)
    if given.read and not TESSERACT:
        parser.error("--read needs Tesseract; install it (Debian: tesseract-ocr).")
    fonts = given.fonts or sorted(SAMPLES.glob("*/*.wof*"))
    reading = READING if given.read else {}
    trades = {"section_price": given.section_prices, "detail": tuple(DETAILS) if given.details else ()}
    if any(trades.values()):
        for font in fonts:
            _print_trade_offs(font, trades, TRADE_OFF | reading)
        return
    runs = {font.stem: run(font) for font in fonts}
    for columns in (SEWING, TRUTH | OUTCOME, reading):
        if columns:
            print_runs("font", runs, columns, AVERAGED)


def _print_trade_offs(
    font: Path, trades: Mapping[str, Iterable[object]], columns: Mapping[str, Column]
) -> None:
    for setting, values in trades.items():
        runs = {str(value): run(font, **{setting: value}) for value in values}
        if runs:
            print_runs(f"{font.stem}: {setting}", runs, columns)


def _prices(text: str) -> tuple[float, ...]:
    return tuple(float(price) for price in text.split(","))


def print_runs(
    title: str, runs: Mapping[str, Run], columns: Mapping[str, Column], averaged: Iterable[str] = ()
) -> None:
    """A row for each run; where there are several, a last one with the means of the columns ``averaged``."""
    table = Table(box=None, pad_edge=False)
    table.add_column(title, no_wrap=True)
    for name in columns:
        table.add_column(name, justify="left" if name in TEXTS else "right", no_wrap=name not in TEXTS)
    for name, each in runs.items():
        table.add_row(name, *(cell(each) for cell in columns.values()))
    means = {
        name: mean(float(columns[name](each)) for each in runs.values())
        for name in averaged
        if name in columns
    }
    if means and len(runs) > 1:
        table.add_row(
            f"mean of {len(runs)}", *(f"{means[name]:.3f}" if name in means else "" for name in columns)
        )
    console = Console(width=260)
    console.print(table)
    console.print()


if __name__ == "__main__":
    main()
