"""Drives the report in a headless Chromium (Debian's package), without any driver library.

A script is put at the end of the page; what it finds is read back from the page's title.
"""

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")

_HEAD = """<script>
window.faults = [];
addEventListener("error", (event) => faults.push(String(event.message)));
addEventListener("unhandledrejection", (event) => faults.push(String(event.reason)));
addEventListener("securitypolicyviolation", (event) => faults.push("policy: " + event.blockedURI));
for (const kind of ["error", "warn"]) console[kind] = (...words) => faults.push(words.join(" "));
</script>"""

_TAIL = """<script>
const key = (name, target = document.activeElement) =>
  target.dispatchEvent(new KeyboardEvent("keydown", { key: name, bubbles: true, cancelable: true }));
const set = (selector, value) => {
  const field = document.querySelector(selector);
  if (field.type === "checkbox") field.checked = value; else field.value = value;
  for (const kind of ["input", "change"]) field.dispatchEvent(new Event(kind, { bubbles: true }));
};
const names = () => [...document.querySelectorAll(".sheet li b")].map((b) => b.textContent);
const all = (selector) => [...document.querySelectorAll(selector)];
const wait = (ms) => new Promise((done) => setTimeout(done, ms));
addEventListener("load", async () => {
  const found = await (async () => { %s })().catch((error) => { faults.push(String(error)); return null; });
  document.title = JSON.stringify({ found, faults });
});
</script>"""


def run(page: str, script: str, folder: Path, *options: str) -> Any:
    """What the script returns. Fails when the page reported any error, warning or blocked request."""
    file = folder / "page.html"
    text = page.replace("<head>", "<head>" + _HEAD, 1).replace("</body>", _TAIL % script + "</body>", 1)
    file.write_text(text, encoding="utf-8")
    assert CHROMIUM
    command = [CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--window-size=1280,1000"]
    command += [f"--user-data-dir={folder / 'profile'}", "--virtual-time-budget=20000", *options]
    done = subprocess.run(
        [*command, "--dump-dom", file.as_uri()], capture_output=True, text=True, timeout=120, check=True
    )
    title = done.stdout.split("<title>", 1)[1].split("</title>", 1)[0]
    answer = json.loads(title.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&"))
    assert answer["faults"] == []
    return answer["found"]
