"""A workbench in a process of its own, as a person starts it."""

import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
FONT = ROOT / "sample_fonts/jost/jost-latin-800-normal.woff2"
SECONDS = 120  # until it answers: on a machine's first run something is compiled


@dataclass
class Server:
    process: subprocess.Popen[str]
    address: str

    @property
    def port(self) -> int:
        return int(re.search(r":(\d+)/", self.address)[1])

    @property
    def token(self) -> str:
        return self.address.rstrip("/").rpartition("/")[2]

    def stop(self, number: int = signal.SIGINT) -> tuple[int, str, str]:
        """Ends it; its exit code and what it said."""
        if self.process.poll() is None:
            self.process.send_signal(number)
        out, error = self.process.communicate(timeout=60)
        return self.process.returncode, out, error


def started(*arguments: object, cwd: Path | None = None, **environment: str) -> Server:
    """``font2foundation open`` with these arguments, once it answers."""
    process = subprocess.Popen(
        [sys.executable, "-m", "converter", "open", *map(str, arguments), "--no-browser"],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1", **environment},
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    line = process.stdout.readline()
    assert line.startswith("open: http://127.0.0.1:"), (line, process.stderr.read() if not line else "")
    server = Server(process, line.removeprefix("open: ").strip())
    end = time.monotonic() + SECONDS
    while True:
        try:
            with urllib.request.urlopen(server.address, timeout=5):
                return server
        except OSError:
            assert time.monotonic() < end
            time.sleep(0.05)
