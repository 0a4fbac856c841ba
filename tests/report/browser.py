"""A headless Chromium (Debian's package), spoken to over its DevTools pipe, with no driver library.

Protocol: JSON messages ended by a zero byte on file descriptors 3 (to the browser) and 4 (from it), as
``--remote-debugging-pipe`` has them.
"""

import contextlib
import fcntl
import json
import os
import shutil
import subprocess
import time
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")

_HELPERS = """
const set = (selector, value) => {
  const field = document.querySelector(selector);
  if (field.type === "checkbox") field.checked = value; else field.value = value;
  for (const kind of ["input", "change"]) field.dispatchEvent(new Event(kind, { bubbles: true }));
};
const names = () => [...document.querySelectorAll(".sheet li b")].map((b) => b.textContent);
const all = (selector) => [...document.querySelectorAll(selector)];
const wait = (ms) => new Promise((done) => setTimeout(done, ms));
const focus = () => document.activeElement.querySelector?.("b")?.textContent ?? document.activeElement.name;
"""

# What the browser answers where the page is left while it is asked; the second and third from memory of Chromium's
# sources.
LEFT = (
    "Inspected target navigated or closed",
    "Execution context was destroyed.",
    "Cannot find context with specified id",
)


class PageLeftError(Exception):
    """The page was left for another while it was asked something."""


class Browser:
    """One browser with one page; every error, warning and blocked request on it is kept in ``faults``."""

    def __init__(self, folder: Path) -> None:
        assert CHROMIUM
        to_read, self._to = os.pipe()
        self._from, from_write = os.pipe()
        options = ["--headless", "--no-sandbox", "--disable-gpu", "--remote-debugging-pipe"]
        options += [f"--user-data-dir={folder}", "--window-size=1280,1000", "about:blank"]
        ends = [fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, 10) for end in (to_read, from_write)]

        def hand_over() -> None:
            for end, place in zip(ends, (3, 4), strict=True):
                os.dup2(end, place)

        self._process = subprocess.Popen(
            [CHROMIUM, *options], close_fds=False, preexec_fn=hand_over, stderr=subprocess.DEVNULL
        )
        for end in ends:
            os.close(end)
        os.close(to_read)
        os.close(from_write)
        self._number, self._buffer, self._session = 0, b"", ""
        self.faults: list[str] = []
        target = self._call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self._call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log"):
            self._call(f"{domain}.enable")

    def show(self, page: Path | str) -> None:
        """Opens a file or an address and waits until it is loaded."""
        self.faults.clear()
        self._call("Page.navigate", url=page.as_uri() if isinstance(page, Path) else page)
        self.await_page()

    def await_page(self) -> None:
        """Waits until the page is loaded, and gives it the words that the tests use."""
        while self.value("document.readyState") != "complete":
            pass
        self.value(_HELPERS.replace("const ", "var "))

    def is_again(self, script: str, seconds: float = 15) -> bool:
        """Whether an expression becomes true in time, also on a page that loads itself anew meanwhile."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            # A question may reach the page just as it goes; then the next one is asked.
            with contextlib.suppress(PageLeftError):
                if self.value(f"document.readyState === 'complete' && Boolean({script})"):
                    self.await_page()
                    return True
            time.sleep(0.05)
        return False

    def value(self, script: str) -> Any:
        """What an expression is in the page; promises are waited for."""
        answer = self._call("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in answer, answer["exceptionDetails"]
        return answer["result"].get("value")

    def run(self, script: str) -> Any:
        """What a script returns."""
        return self.value(f"(async () => {{ {script} }})()")

    def press(self, key: str) -> None:
        """A key as from a keyboard."""
        codes = {"Tab": 9, "Enter": 13, "Escape": 27, "End": 35, "Home": 36}
        codes |= {"ArrowLeft": 37, "ArrowUp": 38, "ArrowRight": 39, "ArrowDown": 40}
        what: dict[str, Any] = {"key": key, "windowsVirtualKeyCode": codes.get(key, ord(key[0]))}
        text = {"text": "\r" if key == "Enter" else key} if key == "Enter" or len(key) == 1 else {}
        self._call("Input.dispatchKeyEvent", type="keyDown", **what, **text)
        self._call("Input.dispatchKeyEvent", type="keyUp", **what)

    def narrow(self, width: int, height: int) -> None:
        """Another size of the window, in CSS pixels; 0 by 0 is its own again."""
        how = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        self._call("Emulation.setDeviceMetricsOverride", **how)

    def media(self, kind: str) -> None:
        """Shows the page as on ``print`` or ``screen``."""
        self._call("Emulation.setEmulatedMedia", media=kind)

    def close(self) -> None:
        """Ends the browser that this object started."""
        self._call("Browser.close")
        self._process.wait(timeout=20)
        os.close(self._to)
        os.close(self._from)

    def _call(self, method: str, **parameters: Any) -> Any:
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if self._session and not method.startswith(("Target.", "Browser.")):
            message["sessionId"] = self._session
        os.write(self._to, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == self._number:
                error = answer.get("error")
                if error and error["message"] in LEFT:
                    raise PageLeftError(error["message"])
                assert error is None, (method, error)
                return answer["result"]
            self._note(answer)

    def _next(self) -> Any:
        while b"\0" not in self._buffer:
            chunk = os.read(self._from, 65536)
            assert chunk, "the browser has ended"
            self._buffer += chunk
        message, self._buffer = self._buffer.split(b"\0", 1)
        return json.loads(message)

    def _note(self, event: Any) -> None:
        what = event.get("params", {})
        if event["method"] == "Runtime.exceptionThrown":
            self.faults.append(json.dumps(what["exceptionDetails"]))
        elif event["method"] == "Runtime.consoleAPICalled" and what["type"] in ("error", "warning", "assert"):
            self.faults.append(json.dumps(what["args"]))
        elif event["method"] == "Log.entryAdded" and what["entry"]["level"] in ("error", "warning"):
            self.faults.append(what["entry"]["text"])
