"""A run that is stopped from outside, in whatever way, leaves no process, no lock and no half folder behind."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from converter.cli import cli
from tests.cli.sea import sea_font

pytestmark = pytest.mark.skipif(
    not Path("/proc/self/status").exists(), reason="looks for processes in /proc, as Linux has it"
)


def members(group: int) -> list[int]:
    """The processes of a group that are alive; /proc/PID/stat as proc(5) has it."""
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            state, _, in_group = (folder / "stat").read_text().rpartition(")")[2].split()[:3]
        except OSError:
            continue  # ended while it was looked at
        if int(in_group) == group and state != "Z":
            found.append(int(folder.name))
    return found


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


@pytest.mark.parametrize("jobs", ["1", "2"])
@pytest.mark.parametrize("sent", [signal.SIGTERM, signal.SIGHUP, signal.SIGKILL])
def test_a_signal_to_the_run_alone_ends_all_of_it(tmp_path, sent, jobs):
    # 128 + number: POSIX shells' exit status of what a signal ended
    font, out = tmp_path / "sea.ttf", tmp_path / "set"
    font.write_bytes(sea_font())
    convert = ["convert", str(font), "--out", str(out), "--quiet"]
    assert CliRunner().invoke(cli, [*convert, "--text", "I", "--jobs", "1"]).exit_code == 0
    before = contents(out)
    running = subprocess.Popen(
        [sys.executable, "-m", "tests.cli.slowly", *convert, "--glyphs", "*", "--jobs", jobs],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    assert running.stdout is not None
    running.stdout.readline()  # says that it is at work
    os.kill(running.pid, sent)
    _, told = running.communicate(timeout=30)  # waits until nobody holds its output any more: workers, too
    end = time.monotonic() + 10
    while members(running.pid) and time.monotonic() < end:
        time.sleep(0.05)
    assert members(running.pid) == []
    assert running.returncode == (-sent if sent == signal.SIGKILL else 128 + sent)
    assert "Traceback" not in told
    left = contents(out)
    left.pop(".lock", None)
    assert left == before
    assert sent == signal.SIGKILL or not (out / ".lock").exists()
    assert CliRunner().invoke(cli, [*convert, "--text", "I", "--jobs", "1"]).exit_code == 0
    assert contents(out) == before


def test_what_ignores_hang_ups_goes_on(tmp_path):
    font, out = tmp_path / "sea.ttf", tmp_path / "set"
    font.write_bytes(sea_font())
    ignore = (
        "import signal, sys; signal.signal(signal.SIGHUP, signal.SIG_IGN); from converter.cli import main; "
    )
    ask = "import os; os.kill(os.getpid(), signal.SIGHUP); main()"  # nohup(1) ignores it for what it runs
    arguments = ["convert", str(font), "--text", "I", "--out", str(out), "--jobs", "1", "--quiet"]
    done = subprocess.run([sys.executable, "-c", ignore + ask, *arguments], check=False, timeout=60)
    assert done.returncode == 0
    assert (out / "pattern.json").exists()
