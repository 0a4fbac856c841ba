"""``python -m tests.fuzz``: see the package."""

import argparse
import random
import shutil
import sys
import tempfile
import time
from collections import Counter, defaultdict
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

from tests.fuzz import families
from tests.fuzz.running import Case, Outcome, try_case
from tests.redesign.corpus import CORPUS

FAMILIES = tuple(sorted(module.name for module in iter_modules(families.__path__)))


class Tally:
    """What came of one kind of case."""

    def __init__(self) -> None:
        self.cases = self.faults = 0
        self.seconds = self.megabytes = 0.0

    def add(self, outcome: Outcome, faults: list[str]) -> None:
        self.cases += 1
        self.faults += bool(faults)
        self.seconds = max(self.seconds, outcome.seconds)
        self.megabytes = max(self.megabytes, outcome.megabytes)


def make(name: str) -> Case:
    """The case of a name ``family:seed:number``."""
    family = name.partition(":")[0]
    return import_module(f"tests.fuzz.families.{family}").case(random.Random(name))


def main() -> int:
    """Tries cases until the time is up, and says what came of them."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz")
    parser.add_argument("--minutes", type=float, default=1.0)
    parser.add_argument("--family", action="append", choices=FAMILIES)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--kept", type=int, help="in place of new cases, check so many of the drawings that tests keep"
    )
    parser.add_argument("--case", help="one case again, as family:seed:number")
    asked = parser.parse_args()
    top = Path(tempfile.mkdtemp(prefix="fuzz-"))
    if asked.case:
        return _again(asked.case, top / "case")
    if asked.kept:
        return _kept(asked.kept, top)
    tallies: dict[str, Tally] = defaultdict(Tally)
    end = time.monotonic() + 60 * asked.minutes
    number = 0
    while time.monotonic() < end:
        for family in asked.family or FAMILIES:
            name = f"{family}:{asked.seed}:{number}"
            case = make(name)
            folder = top / "case"
            folder.mkdir()
            outcome, faults = try_case(case, folder)
            tallies[f"{family}: {case.kind}"].add(outcome, faults)
            if faults:
                print(f"{name}  {case.kind}: {'; '.join(faults)}", flush=True)
            shutil.rmtree(folder)
        number += 1
    shutil.rmtree(top)
    return _report(tallies)


def _again(name: str, folder: Path) -> int:
    folder.mkdir()
    case = make(name)
    outcome, faults = try_case(case, folder)
    print(
        f"{name}  {case.kind}: {' '.join(case.arguments)}\nin {folder}\n{outcome}\nfaults: {faults or 'none'}"
    )
    return int(bool(faults))


def _kept(count: int, top: Path) -> int:
    """Checks drawings of the corpus, spread evenly over it, and says what came of them."""
    import_module("tests.fuzz.families.drawings")  # loads what a check needs, before processes are copied
    names = list(CORPUS)[:: max(1, len(CORPUS) // count)][:count]
    tally, codes, wrong = Tally(), Counter[int | None](), 0
    for name in names:
        folder = top / "case"
        folder.mkdir()
        case = Case(name, ("check", "--quiet", "drawing.svg"), {"drawing.svg": CORPUS[name]()}, most_lines=1)
        outcome, faults = try_case(case, folder)
        tally.add(outcome, faults)
        codes[outcome.code] += 1
        wrong += len(outcome.lines) != (outcome.code != 0)
        if faults:
            print(f"{name}: {'; '.join(faults)}", flush=True)
        shutil.rmtree(folder)
    shutil.rmtree(top)
    print(
        f"{tally.cases} drawings, exit codes {dict(codes)}; at most {tally.seconds:.2f} s and {tally.megabytes:.0f} MB"
    )
    print(f"not one line where something is wrong and none where nothing is: {wrong}")
    print(f"faults (traceback, too slow, too large, drawing changed …): {tally.faults}")
    return int(tally.faults + wrong > 0)


def _report(tallies: dict[str, Tally]) -> int:
    print(f"{'kind':44} {'cases':>7} {'faults':>7} {'most s':>7} {'most MB':>8}")
    for kind, tally in sorted(tallies.items()):
        print(f"{kind:44} {tally.cases:7} {tally.faults:7} {tally.seconds:7.2f} {tally.megabytes:8.0f}")
    cases, faults = (sum(getattr(t, name) for t in tallies.values()) for name in ("cases", "faults"))
    print(f"{'all':44} {cases:7} {faults:7}")
    return int(faults > 0)


if __name__ == "__main__":
    sys.exit(main())
