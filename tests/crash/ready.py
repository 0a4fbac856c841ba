"""A process that has loaded all that commands load and waits: each command is run in a copy of it, at once.

So that it is work that is disturbed, not loading. It never sets a page itself: Typst's threads would be lost in a copy.
"""

import io
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from contextlib import redirect_stdout, suppress
from pathlib import Path

import click

from converter.cli import COMMANDS, cli
from tests.cli.sea import sea_font


class Ready:
    """Such a process, started when it is made."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.crash.ready"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def run(self, arguments: list[str], after: float | None = None) -> int | None:
        """The exit code of a command; killed ``after`` so many seconds, None where that was before its end."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        print(json.dumps([arguments, after]), file=self._process.stdin, flush=True)
        code: int | None = json.loads(self._process.stdout.readline())
        return code

    def end(self) -> None:
        """Ends it."""
        self._process.communicate()


def _in_a_copy(arguments: list[str], after: float | None) -> int | None:
    child = os.fork()
    if child == 0:
        code = 70
        with suppress(BaseException):
            null = os.open(os.devnull, os.O_RDWR)
            for stream in (0, 1, 2):
                os.dup2(null, stream)
            try:
                cli.main(arguments, prog_name="font2foundation")
            except SystemExit as end:
                code = end.code if isinstance(end.code, int) else 1
        os._exit(code)
    if after is not None:
        time.sleep(after)
        os.kill(child, signal.SIGKILL)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    return None if code < 0 else code


def _load_all() -> None:
    """Everything that the commands load, and what is compiled on a first run."""
    for name in COMMANDS:
        cli.get_command(click.Context(cli), name)
    with tempfile.TemporaryDirectory() as top, redirect_stdout(io.StringIO()):
        (Path(top) / "sea.ttf").write_bytes(sea_font())
        asked = f"convert {top}/sea.ttf --text ILT --out {top}/set --jobs 1 --quiet".split()
        with suppress(SystemExit):
            cli.main(asked, prog_name="font2foundation")


if __name__ == "__main__":
    _load_all()
    for line in sys.stdin:
        print(json.dumps(_in_a_copy(*json.loads(line))), flush=True)
