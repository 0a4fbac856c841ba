"""Whether alphabets look drawn by one hand: ``python -m tests.benchmarks.hand FONT…``

Prints a table for each set of characters, converted at the default settings: capitals, small letters, digits, and all
of them together in one run, on one baseline and at one scale. A row for each font, for the sample fonts where none is
given; the last row has the means. What a crest is that is lost stands in `crests`, what is like, and alike, in
`like_parts`. "spikes": letters whose figure stands above or below the font's by more than 1.2 % of its height; "steps":
letters with the finding `edge-jumps`. "least alike": letters whose like parts are not drawn alike, the worst pair
first. "IoU" is the mean overlap and "lowest" the lowest; shares are of 1.

``--read``: also what Tesseract reads in the font's outlines but not in the blocks.
"""

import argparse
from collections.abc import Mapping
from pathlib import Path
from string import ascii_lowercase, ascii_uppercase, digits

from tests.benchmarks.columns import HAND, READING, Column
from tests.benchmarks.letters import SAMPLES, print_runs
from tests.benchmarks.reading import TESSERACT
from tests.benchmarks.runs import run

SETS: Mapping[str, str] = {
    "A-Z": ascii_uppercase,
    "a-z": ascii_lowercase,
    "0-9": digits,
    "together": ascii_uppercase + ascii_lowercase + digits,
}
READ: Mapping[str, Column] = {name: READING[name] for name in ("lost/counted", "lost, and read as")}
AVERAGED = tuple(name for name in HAND if name != "least alike")


def main(arguments: list[str] | None = None) -> None:
    """Measures each font and prints its rows."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("fonts", nargs="*", type=Path, metavar="FONT")
    parser.add_argument("--sets", nargs="+", choices=SETS, default=[*SETS], help="all where none is given")
    parser.add_argument("--read", action="store_true", help="needs the command tesseract")
    given = parser.parse_args(arguments)
    if given.read and not TESSERACT:
        parser.error("--read needs Tesseract; install it (Debian: tesseract-ocr).")
    fonts = given.fonts or sorted(SAMPLES.glob("*/*.wof*"))
    for name in given.sets:
        runs = {font.stem: run(font, SETS[name]) for font in fonts}
        print_runs(name, runs, {**HAND, **(READ if given.read else {})}, AVERAGED)


if __name__ == "__main__":
    main()
