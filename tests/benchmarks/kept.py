"""What the store of finished blocks is held to: ``python -m tests.benchmarks.kept FONT --count 300 --kills 20``

Converts icons of the font, undisturbed, then: the same again (seconds); with a new store, killed with SIGKILL at random
moments, each time started again (same bytes? anything made twice that was finished?); with entries damaged at random
(is any of them used?). An entry that was written anew is a file of another number (inode), one that was only read is
not; so what is made twice shows.
"""

import argparse
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from converter.fonts.loading import load_font

ROOT = Path(__file__).parents[2]
SEED = 1
_FOUND = re.compile(r"([\d,]+) of ([\d,]+) blocks were already made")


@dataclass(frozen=True, slots=True)
class Ended:
    """A command that has ended; ``code`` is negative where a signal ended it."""

    code: int
    seconds: float
    said: str

    @property
    def found(self) -> int:
        """How many blocks it says were already made."""
        match = _FOUND.search(self.said)
        return int(match[1].replace(",", "")) if match else 0


@dataclass(frozen=True, slots=True)
class Place:
    """A conversion with a store of its own, in a folder of its own."""

    font: Path
    options: Sequence[str]
    top: Path

    @property
    def store(self) -> Path:
        """Where its blocks are kept."""
        return self.top / "store"

    def run(self, name: str, after: float | None = None) -> Ended:
        """The command, into the folder ``name``; killed with all its processes ``after`` so many seconds."""
        start = time.perf_counter()
        running = self._begin(name)
        try:
            _, said = running.communicate(timeout=after)
        except subprocess.TimeoutExpired:
            os.killpg(running.pid, signal.SIGKILL)
            _, said = running.communicate()
        return Ended(running.returncode, time.perf_counter() - start, said)

    def _begin(self, name: str) -> subprocess.Popen[str]:
        command = [sys.executable, "-m", "converter", "convert", str(self.font), *self.options]
        command += ["--out", str(self.top / name), "--cache", str(self.store)]
        return subprocess.Popen(
            command, cwd=ROOT, env={k: v for k, v in os.environ.items() if k != "FONT2FOUNDATION_NO_CACHE"},
            stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True, start_new_session=True,
        )  # fmt: skip

    def entries(self) -> dict[str, int]:
        """The finished entries, each with the number of its file."""
        return {
            f"{path.parent.name}{path.name}": path.stat().st_ino
            for path in self.store.glob("??/*")
            if "." not in path.name
        }

    def contents(self, name: str) -> dict[str, bytes]:
        """All files of a folder but the lock, which a killed run may leave."""
        folder = self.top / name
        return {
            str(path.relative_to(folder)): path.read_bytes()
            for path in sorted(folder.rglob("*"))
            if path.is_file() and path.name != ".lock"
        }


def chosen(font: Path, count: int) -> list[str]:
    """Options that choose so many icons, drawn at random, the same with every run."""
    codes = sorted(code for code in load_font(font).cmap if code > 0x20)
    drawn = Random(SEED).sample(codes, min(count, len(codes)))
    return ["--unicodes", ",".join(f"{code:X}" for code in drawn), "--fit", "each"]


def killed(place: Place, kills: int, seconds: float, dice: Random) -> tuple[int, int, Ended]:
    """Kills the command at so many moments of so many seconds and lets it end; how often it was at work still, how
    many finished entries were written anew, and its last run."""
    hits, twice = 0, 0
    before = place.entries()
    for _ in range(kills):
        hits += place.run("disturbed", after=dice.uniform(0, seconds)).code == -signal.SIGKILL
        now = place.entries()
        twice += sum(now.get(key) != number for key, number in before.items())
        before = now
    last = place.run("disturbed")
    now = place.entries()
    return hits, twice + sum(now.get(key) != number for key, number in before.items()), last


def damage(place: Place, count: int, dice: Random) -> int:
    """Changes one byte of so many entries, drawn at random; how many those are."""
    files = sorted(path for path in place.store.glob("??/*") if "." not in path.name)
    drawn = dice.sample(files, min(count, len(files)))
    for path in drawn:
        data = bytearray(path.read_bytes())
        data[dice.randrange(len(data))] ^= 1 << dice.randrange(8)
        path.write_bytes(data)
    return len(drawn)


def main(arguments: list[str] | None = None) -> int:
    """Runs, kills, damages, compares, tells; 1 where anything is not as it should be."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("font", type=Path)
    parser.add_argument("--count", type=int, default=300, help="icons")
    parser.add_argument("--kills", type=int, default=20)
    parser.add_argument("--damaged", type=int, default=50)
    parser.add_argument(
        "--options", nargs=argparse.REMAINDER, default=["--effort", "draft"], help="of convert"
    )
    given = parser.parse_args(arguments)
    options, dice = [*chosen(given.font, given.count), *given.options], Random(SEED)
    with TemporaryDirectory() as top:
        place, other = (Place(given.font, options, Path(top) / name) for name in ("calm", "wild"))
        first = place.run("undisturbed")
        again = place.run("again")
        same = place.contents("undisturbed") == place.contents("again") != {}
        print(
            f"first: {first.seconds:.1f} s; again: {again.seconds:.1f} s, {again.found} found, same bytes: {same}"
        )
        hits, twice, last = killed(other, given.kills, first.seconds * 0.8, dice)
        undisturbed = place.contents("undisturbed") == other.contents("disturbed")
        print(
            f"killed at {hits} of {given.kills} moments; finished blocks made twice: {twice}; "
            f"the last run found {last.found}; same bytes: {undisturbed}"
        )
        bad = damage(place, given.damaged, dice)
        mended = place.run("mended")
        unused = mended.found == again.found - bad and place.contents("mended") == place.contents(
            "undisturbed"
        )
        whole = place.run("mended").found == again.found
        print(
            f"{bad} entries damaged: {again.found - mended.found} made anew; same bytes, mended: {unused and whole}"
        )
    return int(not (same and undisturbed and not twice and unused and whole))


if __name__ == "__main__":
    sys.exit(main())
