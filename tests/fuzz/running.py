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
from dataclasses import dataclass, field, replace
from pathlib import Path

from converter.cli import cli

SECONDS, MEGABYTES = 5.0, 500.0  # of processor time and of memory, that any command may take on hostile input
HANGS = 20.0  # seconds in which a command has done nothing at all, after which it is ended
LONGEST_LINE = 600  # characters; what is longer is a flood
_RAW = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029]")
LOADED = 180.0  # MB: the program by itself, with all that it has loaded


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
    named pipes to make; nobody writes into them. ``then``: further commands, run in the same folder where the one
    before ended well, each in as many ``seconds`` of processor time. ``also`` says what is wrong besides, if anything.
    """

    kind: str
    arguments: tuple[str, ...]
    files: Mapping[str, bytes] = field(default_factory=dict)
    pipes: tuple[str, ...] = ()
    kept: tuple[str, ...] | None = None
    codes: frozenset[int] = frozenset({0, 1, 2})
    most_lines: int = 10
    seconds: float = SECONDS
    then: tuple[tuple[str, ...], ...] = ()
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
    outcome = run(case.arguments, folder, case.seconds)
    faults = [*faults_of(case, outcome, folder), *case.also(folder, outcome)]
    last = outcome
    for arguments in case.then:
        if last.code != 0:
            break
        last = run(arguments, folder, case.seconds)
        faults += [f"{arguments[0]}: {fault}" for fault in faults_of(case, last, folder)]
        seconds, megabytes = max(outcome.seconds, last.seconds), max(outcome.megabytes, last.megabytes)
        outcome = replace(outcome, seconds=seconds, megabytes=megabytes)
    return outcome, faults


def faults_of(case: Case, outcome: Outcome, folder: Path) -> list[str]:
    """What no command may do."""
    found = []
    if outcome.code is None:
        return [f"did not end: {HANGS:.0f} s without doing anything, or {4 * case.seconds:.0f} s of work"]
    if outcome.code not in case.codes:
        found.append(f"exit code {outcome.code}")
    if "Traceback" in outcome.out + outcome.err:
        found.append("traceback: " + outcome.lines[-1][:200])
    if outcome.code and not outcome.lines:
        found.append("failed without a word")
    if (errors := sum(line.startswith("error: ") for line in outcome.lines)) != (outcome.code == 2):
        found.append(f"{errors} errors told, exit code {outcome.code}")
    if len(outcome.lines) > case.most_lines:
        found.append(f"{len(outcome.lines)} lines")
    if any(len(line) > LONGEST_LINE for line in outcome.lines):
        found.append(f"a line of {max(map(len, outcome.lines))} characters")
    if any(_RAW.search(line) for line in outcome.lines):
        found.append("control characters on the terminal")
    if outcome.seconds > case.seconds:
        found.append(f"{outcome.seconds:.1f} s")
    if outcome.megabytes > MEGABYTES:
        found.append(f"{outcome.megabytes:.0f} MB")
    for name in case.files if case.kept is None else case.kept:
        if not (folder / name).is_file() or (folder / name).read_bytes() != case.files[name]:
            found.append(f"{name} was changed")
    return found


def run(arguments: tuple[str, ...], folder: Path, seconds: float = SECONDS) -> Outcome:
    """The command in a process of its own, which begins as a copy of this one: all is loaded already."""
    logs = [folder.parent / f"{folder.name}.{name}" for name in ("out", "err")]
    sys.stdout.flush()
    sys.stderr.flush()
    held = _held()
    child = os.fork()
    if child == 0:
        os._exit(_child(arguments, folder, logs, seconds))
    code, usage = _wait(child)
    out, err = (log.read_text(encoding="utf-8", errors="replace") for log in logs)
    for log in logs:
        log.unlink()
    megabytes = LOADED + max(0.0, usage.ru_maxrss / 1024 - held)
    return Outcome(code, out, err, usage.ru_utime + usage.ru_stime, megabytes)


def _held() -> float:
    """The memory (MB) that this process holds, with which its copy begins: other tests may have left it large."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20


def _child(arguments: tuple[str, ...], folder: Path, logs: list[Path], seconds: float) -> int:
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
        resource.setrlimit(resource.RLIMIT_CPU, (int(4 * seconds), int(4 * seconds) + 5))
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


def _wait(child: int) -> tuple[int | None, resource.struct_rusage]:
    """Waits for the end; by the work done, not by the clock, which goes on where a machine is busy with others."""
    ended, done, since = False, -1.0, time.monotonic()
    while True:
        pid, status, usage = os.wait4(child, os.WNOHANG)
        if pid:
            code = os.waitstatus_to_exitcode(status)
            return (None if ended or code == -signal.SIGXCPU else code), usage
        state, work = _work(child)
        if state == "R" or work != done:
            done, since = work, time.monotonic()
        elif time.monotonic() > since + HANGS and not ended:
            os.kill(child, signal.SIGKILL)
            ended = True
        time.sleep(0.002)


def _work(child: int) -> tuple[str, float]:
    """What a process is doing (R: running, or waiting for a processor) and its work so far; proc(5)."""
    try:
        values = (
            Path(f"/proc/{child}/stat")
            .read_text(encoding="ascii", errors="replace")
            .rpartition(")")[2]
            .split()
        )
    except OSError:
        return "R", 0.0
    return values[0], float(values[11]) + float(values[12])
