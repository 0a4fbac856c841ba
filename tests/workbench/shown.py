"""The README's pictures of the page: ``python -m tests.workbench.shown``, which converts a set and looks at it.

They go into ``out/shown/``, small and in few colours.
"""

import io
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from tests.workbench.conftest import CHROMIUM
from tests.workbench.server import FONT, ROOT, started
from tests.workbench.test_letter_in_browser import drag, opened, ring, settled

SHOWN = ROOT / "out/shown"
WIDTH, COLOURS = 860, 160  # pixels; of a picture


def keep(page: Page, name: str) -> None:
    """A picture of what the page shows now."""
    picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    picture = picture.resize((WIDTH, WIDTH * picture.height // picture.width), Image.Resampling.LANCZOS)
    picture.quantize(COLOURS, dither=Image.Dither.NONE).save(SHOWN / f"browser-{name}.png", optimize=True)


def main() -> None:
    """Converts, opens, looks."""
    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        folder = Path(place) / "out/village"
        shutil.copy(FONT, place)  # where it is found again
        command = [sys.executable, "-m", "converter"]
        subprocess.run([*command, "convert", str(FONT), "--out", str(folder), "--quiet"], check=True)
        subprocess.run([*command, "print", str(folder), "--only", "KELP", "--quiet"], check=True)
        server = started(cwd=Path(place))
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        for name, where in {
            "start": "#/", "sheet": "#/village", "family": "#/village/family/capitals%20with%20bowls",
            "paper": "#/village/paper", "words": "#/village/words",
        }.items():  # fmt: skip
            page.goto(server.address + where)
            page.wait_for_selector("h1")
            page.wait_for_timeout(2000)
            keep(page, name)
        page.goto(server.address + "#/village/letter/R_")
        settled(opened(page))
        x, y = max(ring(page), key=lambda corner: corner[0] - corner[1] / 4)
        drag(page, (x, y), (x + 2.5, y + 4))
        settled(page)
        keep(page, "letter")
        browser.close()
        server.stop()


if __name__ == "__main__":
    main()
