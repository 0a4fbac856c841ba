"""Blocks made by the workers of a cluster: ``python -m tests.benchmarks.cluster FONT --count 200``

Starts a Dask scheduler and two worker processes on this machine, converts icons of the font by them, kills one worker
in mid-run, and compares the set with one made here, byte for byte. Then it tells what a million glyphs would take:
bytes a glyph each way, seconds a glyph, what a batch costs beside its blocks.
"""

import argparse
import os
import pickle
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from converter import Settings, choose_glyphs, load_font, pipeline
from converter.cli.cluster import BATCH, far_crew
from converter.crew import each, work
from converter.jobs import Job

ROOT = Path(__file__).parents[2]
SEED = 1


@dataclass(frozen=True, slots=True)
class Killed:
    """What a run by two workers left, one of them killed: whether it is as one machine makes it."""

    same: bool
    killed: bool
    seconds: float
    said: str


def chosen(font: Path, count: int) -> list[str]:
    """Options that choose so many icons, drawn at random, the same with every run."""
    codes = sorted(code for code in load_font(font).cmap if code > 0x20)
    drawn = Random(SEED).sample(codes, min(count, len(codes)))
    return ["--unicodes", ",".join(f"{code:X}" for code in drawn)]


def convert(font: Path, out: Path, *more: str) -> subprocess.Popen[str]:
    """The command under way, without the store: what is compared is made."""
    command = [
        sys.executable,
        "-m",
        "converter",
        "convert",
        str(font),
        "--out",
        str(out),
        "--no-cache",
        *more,
    ]
    return subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True)


def killed_run(font: Path, options: Sequence[str], top: Path, after: float = 1.0) -> Killed:
    """Converts by two workers, and kills one that has been at work for so many seconds."""
    import distributed

    convert(font, top / "alone", *options, "--jobs", "2").communicate()
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as cluster:
        victim = next(iter(cluster.workers.values()))
        pid, address = victim.process.pid, victim.worker_address
        start, busy_since, killed = time.perf_counter(), 0.0, False
        running = convert(
            font, top / "cluster", *options, "--jobs", "1", "--cluster", cluster.scheduler_address
        )
        while running.poll() is None:
            time.sleep(0.02)
            state = cluster.scheduler.workers.get(address)
            if not killed and state is not None and state.processing:
                busy_since = busy_since or time.perf_counter()
                if time.perf_counter() - busy_since >= after:
                    os.kill(pid, signal.SIGKILL)
                    killed = True
        _, said = running.communicate()
        seconds = time.perf_counter() - start
    return Killed(contents(top / "alone") == contents(top / "cluster") != {}, killed, seconds, said)


@dataclass(frozen=True, slots=True)
class Costs:
    """What sending blocks costs. Bytes and seconds of work a glyph; ``batch``: seconds that a batch takes beside its
    blocks."""

    sent: float
    returned: float
    work: float
    batch: float


def costs(font: Path, options: Sequence[str], empty_batches: int = 300) -> Costs:
    """Measures the costs over the icons that the options choose."""
    import distributed

    opened = load_font(font)
    settings = Settings(fit="each", effort="draft")
    jobs, _ = pipeline._jobs(opened, choose_glyphs(opened, unicodes=options[1]).glyphs, settings)
    pipeline.bare_block(jobs[0])  # compiled
    start = time.process_time()
    made = each(pipeline.bare_block, jobs)
    seconds = time.process_time() - start
    batches = [slice(k, k + BATCH) for k in range(0, len(jobs), BATCH)]
    sent = sum(len(pickle.dumps(jobs[batch], protocol=5)) for batch in batches)
    returned = sum(len(pickle.dumps(made[batch], protocol=5)) for batch in batches)
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as cluster,
        far_crew(cluster.scheduler_address, lambda line: None) as crew,
    ):
        things = jobs[:BATCH] * empty_batches
        start = time.perf_counter()
        work(crew, _nothing, things, lambda k, result: None, _nothing)
        passed = time.perf_counter() - start
    return Costs(sent / len(jobs), returned / len(jobs), seconds / len(jobs), passed / empty_batches)


def _nothing(job: Job) -> None:
    """No work at all: what is left is the sending."""
    del job


def main(arguments: list[str] | None = None) -> int:
    """Runs, compares, measures, tells."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("font", type=Path)
    parser.add_argument("--count", type=int, default=200, help="icons")
    given = parser.parse_args(arguments)
    options = [*chosen(given.font, given.count), "--fit", "each", "--effort", "draft"]
    with TemporaryDirectory() as top:
        run = killed_run(given.font, options, Path(top))
    print(run.said.strip())
    print(f"a worker killed: {run.killed}; same bytes: {run.same}; {run.seconds:.0f} s")
    cost = costs(given.font, options)
    print(
        f"a glyph: {cost.sent:,.0f} bytes out, {cost.returned:,.0f} back, {cost.work:.2f} CPU s (draft); "
        f"a batch of {BATCH}: {1000 * cost.batch:.1f} ms beside its blocks"
    )
    return int(not (run.killed and run.same))


def contents(folder: Path) -> dict[str, bytes]:
    """All files of a folder."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


if __name__ == "__main__":
    sys.exit(main())
