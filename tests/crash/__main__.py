"""``python -m tests.crash``: see the package."""

import argparse
import random
import sys
import tempfile
import time
from pathlib import Path

from tests.crash.ready import Ready
from tests.crash.scenes import scenes


def main() -> int:
    """Kills each command at random moments, and says how often and with what faults."""
    parser = argparse.ArgumentParser(prog="python -m tests.crash")
    parser.add_argument("--times", type=int, default=100, help="how often each command is killed")
    parser.add_argument("--minutes", type=float, default=60.0, help="at most")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    ready, dice, end = Ready(), random.Random(asked.seed), time.monotonic() + 60 * asked.minutes
    tried: dict[str, list[int]] = {}
    with tempfile.TemporaryDirectory(prefix="crash-") as top:
        for _, scene in ((n, s) for s in scenes(Path(top), ready.run) for n in range(asked.times)):
            if time.monotonic() > end:
                break
            counts = tried.setdefault(scene.name, [0, 0, 0])
            scene.reset()
            moment = dice.uniform(0, scene.seconds)
            was_killed = ready.run(scene.arguments, after=moment) is None
            faults = scene.faults()
            counts[0] += 1
            counts[1] += was_killed
            counts[2] += bool(faults)
            if faults:
                print(f"{scene.name} killed after {moment:.3f} s: {'; '.join(faults)}", flush=True)
    ready.end()
    print(f"{'command':10} {'tried':>6} {'killed':>7} {'faults':>7}")
    for name, (tries, killed, faults) in tried.items():
        print(f"{name:10} {tries:6} {killed:7} {faults:7}")
    return int(any(faults for _, _, faults in tried.values()))


if __name__ == "__main__":
    sys.exit(main())
