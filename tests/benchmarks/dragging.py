"""How long a designer waits, while she drags, from a move of the pointer to the new figures on the page.

A real browser drags a corner and an edge of each letter of a set; the page measures itself (User Timing, W3C).

    python -m tests.benchmarks.dragging [--moves 20] [FONT]
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.workbench.conftest import CHROMIUM
from tests.workbench.server import FONT, started
from tests.workbench.test_letter_in_browser import on_screen, opened, ring, settled

LIMIT = 200.0  # ms, for 95 of 100 moves on two cores


def waits(page: Page, moves: int) -> list[float]:
    """The waits in ms while the first corner and the first edge of a letter are dragged about."""
    page.evaluate("performance.clearMeasures()")
    (ax, ay), (bx, by) = ring(page)[:2]
    for x, y in ((ax, ay), ((ax + bx) / 2, (ay + by) / 2)):
        page.mouse.move(*on_screen(page, x, y))
        page.mouse.down()
        for n in range(moves):
            page.mouse.move(*on_screen(page, x + 0.4 * n, y + 0.3 * n))
            page.wait_for_timeout(16)  # as often as a screen shows anything new
        page.mouse.up()
        settled(page)
        page.keyboard.press("Control+z")
        settled(page)
    return page.evaluate("performance.getEntriesByName('answered').map((e) => e.duration)")


def cpu_seconds(process: int) -> float:
    """What a process has used up of a core: proc(5), fields 14 and 15 of ``stat``, in ticks."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    """Prints a line a letter, then the median and the 95th percentile of all moves."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("font", nargs="?", type=Path, default=FONT)
    parser.add_argument("--moves", type=int, default=20)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "set"
        subprocess.run(
            [sys.executable, "-m", "converter", "convert", str(given.font), "--out", str(folder), "--quiet"],
            check=True,
        )
        server, all_waits = started(folder), []
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
            )
            used, answers = 0.0, 0
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ":
                page.goto("about:blank")
                page.goto(f"{server.address}#/set/letter/{letter}_")
                settled(opened(page))
                before = cpu_seconds(server.process.pid)
                took = waits(page, given.moves)
                used, answers = used + cpu_seconds(server.process.pid) - before, answers + len(took)
                all_waits += took
                print(
                    f"{letter}  {len(took):3} moves  median {statistics.median(took):6.1f} ms  most {max(took):6.1f} ms"
                )
            browser.close()
        server.stop()
    all_waits.sort()
    late = all_waits[int(0.95 * len(all_waits))]
    print(
        f"{len(all_waits)} moves: median {statistics.median(all_waits):.1f} ms, 95th percentile {late:.1f} ms"
    )
    print(f"CPU of the server, all its work included: {1000 * used / answers:.1f} ms an answer")
    print(f"within {LIMIT:.0f} ms: {sum(wait <= LIMIT for wait in all_waits) / len(all_waits):.1%}")


if __name__ == "__main__":
    main()
