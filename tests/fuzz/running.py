"""One case: files, a command, and what must hold afterwards whatever the files were."""

import os
import re
import resource
import signal
import sys
import time
import traceback
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from converter.cli import cli

SECONDS, MEGABYTES = 5.0, 500.0  # of processor time and of memory, that any command may take on hostile input
HANGS = 20.0  # seconds on the clock after which a command is ended
LONGEST_LINE = 600  # characters; what is longer is a flood
_RAW = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029]")


@dataclass(frozen=True)
class Outcome:
    """What a command did. ``code`` is None where it had to be ended."""

    code: int | None
    out: str
    err: str
    seconds: float
    megabytes: float

    @property
    def lines(self) -> list[str]:
        return [line for line in (self.out + self.err).splitlines() if line.strip()]


@dataclass(frozen=True)
class Case:
    """``files`` (path: bytes) are put into an empty folder, in which the command is run with ``arguments``.

    ``kept``: those that must be there afterwards, byte for byte; all of them where nothing is said. ``pipes`` are
    named pipes to make; nobody writes into them. ``also`` says what is wrong besides, if anything.
    """

    kind: str
    arguments: tuple[str, ...]
    files: Mapping[str, bytes] = field(default_factory=dict)
    pipes: tuple[str, ...] = ()
    kept: tuple[str, ...] | None = None
    codes: frozenset[int] = frozenset({0, 1, 2})
    most_lines: int = 10
    also: Callable[[Path, Outcome], list[str]] = lambda folder, outcome: []


def try_case(case: Case, folder: Path) -> tuple[Outcome, list[str]]:
    """Runs a case in a folder that is there and empty. Returns what happened, and every fault."""
    for name, data in case.files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    for name in case.pipes:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        os.mkfifo(folder / name)
    outcome = run(case.arguments, folder)
    return outcome, [*faults_of(case, outcome, folder), *case.also(folder, outcome)]


def faults_of(case: Case, outcome: Outcome, folder: Path) -> list[str]:
    """What no command may do."""
    found = []
    if outcome.code is None:
        return [f"did not end in {HANGS:.0f} s"]
    if outcome.code not in case.codes:
        found.append(f"exit code {outcome.code}")
    if "Traceback" in outcome.out + outcome.err:
        found.append("traceback: " + outcome.lines[-1][:200])
    if outcome.code and not outcome.lines:
        found.append("failed without a word")
    if len(outcome.lines) > case.most_lines:
        found.append(f"{len(outcome.lines)} lines")
    if any(len(line) > LONGEST_LINE for line in outcome.lines):
        found.append(f"a line of {max(map(len, outcome.lines))} characters")
    if any(_RAW.search(line) for line in outcome.lines):
        found.append("control characters on the terminal")
    if outcome.seconds > SECONDS:
        found.append(f"{outcome.seconds:.1f} s")
    if outcome.megabytes > MEGABYTES:
        found.append(f"{outcome.megabytes:.0f} MB")
    for name in case.files if case.kept is None else case.kept:
        if not (folder / name).is_file() or (folder / name).read_bytes() != case.files[name]:
            found.append(f"{name} was changed")
    return found


def run(arguments: tuple[str, ...], folder: Path) -> Outcome:
    """The command in a process of its own, which begins as a copy of this one: all is loaded already."""
    logs = [folder.parent / f"{folder.name}.{name}" for name in ("out", "err")]
    sys.stdout.flush()
    sys.stderr.flush()
    start = time.perf_counter()
    child = os.fork()
    if child == 0:
        os._exit(_child(arguments, folder, logs))
    code, usage = _wait(child, start + HANGS)
    out, err = (log.read_text(encoding="utf-8", errors="replace") for log in logs)
    for log in logs:
        log.unlink()
    return Outcome(code, out, err, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def _child(arguments: tuple[str, ...], folder: Path, logs: list[Path]) -> int:
    with suppress(BaseException):
        os.chdir(folder)
        os.environ["COLUMNS"] = "100000"  # a line of ours is a line
        for stream, log in zip((1, 2), logs, strict=True):
            os.dup2(os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), stream)
        sys.stdout = open(1, "w", encoding="utf-8", errors="replace", closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", errors="replace", closefd=False)  # noqa: SIM115
        resource.setrlimit(
            resource.RLIMIT_AS, (4_000_000_000,) * 2
        )  # so that one case cannot take the machine
        code = 70
        try:
            cli.main(list(arguments), prog_name="font2foundation")
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
        except BaseException:
            traceback.print_exc()
        sys.stdout.flush()
        sys.stderr.flush()
        return code
    return 71


def _wait(child: int, until: float) -> tuple[int | None, resource.struct_rusage]:
    ended = False
    while True:
        pid, status, usage = os.wait4(child, os.WNOHANG)
        if pid:
            return (None if ended else os.waitstatus_to_exitcode(status)), usage
        if time.perf_counter() > until and not ended:
            os.kill(child, signal.SIGKILL)
            ended = True
        time.sleep(0.002)
