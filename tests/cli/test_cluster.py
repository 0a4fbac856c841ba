"""Blocks made by a Dask cluster: the same bytes, whoever dies; a worker with another program is refused."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from converter.cli import cluster
from converter.crew import work
from converter.errors import InputError
from tests.cli.running import assert_told_in_one_line, contents, run
from tests.cli.sea import sea_font

ROOT = Path(__file__).parents[2]
distributed = pytest.importorskip("distributed")


@pytest.fixture(scope="module")
def two_workers():
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as made:
        yield made


@pytest.fixture
def convert(tmp_path):
    font = tmp_path / "sea.ttf"
    font.write_bytes(sea_font())
    return lambda out, *more: run(
        "convert", font, "--glyphs", "*", "--out", tmp_path / out, "--jobs", 1, *more
    )


def test_nothing_of_dask_is_imported_without_the_option(tmp_path):
    (tmp_path / "sea.ttf").write_bytes(sea_font())
    code = (
        "import sys; from converter.cli import cli; "
        f"cli.main(['convert', {str(tmp_path / 'sea.ttf')!r}, '--text', 'I', '--out', {str(tmp_path / 'set')!r}], "
        "standalone_mode=False)"
    )
    said = "import atexit, sys; atexit.register(lambda: print({'dask', 'distributed'} & set(sys.modules))); "
    done = subprocess.run(
        [sys.executable, "-c", said + code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.stdout.endswith("set()\n"), done.stderr


def test_the_result_is_the_same_as_on_one_machine(convert, two_workers, tmp_path):
    assert convert("alone").exit_code == 0
    done = convert("cluster", "--cluster", two_workers.scheduler_address)
    assert done.exit_code == 0, done.output
    assert f"{two_workers.scheduler_address}: 2 workers, 2 threads" in done.stderr
    assert contents(tmp_path / "alone") == contents(tmp_path / "cluster")


def test_a_scheduler_file_leads_there_too(convert, two_workers, tmp_path):
    place = tmp_path / "scheduler.json"
    said = (
        two_workers.scheduler.identity()
    )  # of which `dask scheduler --scheduler-file` writes these and more
    place.write_text(json.dumps({key: said[key] for key in ("type", "id", "address")}))
    assert convert("cluster", "--cluster", place).exit_code == 0


def test_the_store_is_this_machine_s(convert, two_workers, tmp_path, monkeypatch):
    monkeypatch.delenv("FONT2FOUNDATION_NO_CACHE")
    cache = ("--cache", tmp_path / "store", "--cluster", two_workers.scheduler_address)
    convert("first", *cache)
    assert "already made" in convert("second", *cache).stderr
    assert contents(tmp_path / "first") == contents(tmp_path / "second")


@pytest.mark.parametrize("where", ["tcp://127.0.0.1:9", "nowhere.json", "tcp://", "gopher://sea:1"])
def test_a_scheduler_that_is_not_there_is_told_in_one_line(convert, monkeypatch, where):
    monkeypatch.setattr(cluster, "WAIT", "1s")
    assert_told_in_one_line(convert("set", "--cluster", where))


def test_without_dask_the_extra_is_named(convert, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    done = convert("set", "--cluster", "tcp://127.0.0.1:9")
    assert_told_in_one_line(done)
    assert "font2foundation[cluster]" in done.stderr


def test_a_worker_with_another_engine_is_refused_before_any_work(convert, two_workers, monkeypatch):
    monkeypatch.setattr(cluster, "engine_version", _another)
    done = convert("set", "--cluster", two_workers.scheduler_address)
    assert_told_in_one_line(done)
    assert "another version of the program" in done.stderr


def _another() -> str:
    """Another in each process."""
    return str(os.getpid())


def test_a_worker_that_joins_later_with_another_engine_ends_the_run_in_one_line(two_workers):
    def join_later():
        with cluster.far_crew(two_workers.scheduler_address, lambda line: None) as crew:
            crew.executor.engine = "0" * 64  # as if it was another here
            crew.executor.submit(str, 1).result()

    with pytest.raises(InputError, match="a worker that joined later has another version"):
        join_later()


def test_a_worker_that_is_killed_in_mid_run_is_worked_around():
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as made,
        cluster.far_crew(made.scheduler_address, lambda line: None) as crew,
    ):
        victim = next(iter(made.workers.values())).process.pid
        done: dict[int, int] = {}

        def come(k: int, result: int) -> None:
            done[k] = result
            if len(done) == 100:
                os.kill(victim, signal.SIGKILL)

        work(crew, _slowly, range(400), come, lambda number: -1)
    assert done == {k: 2 * k for k in range(400)}


def _slowly(number: int) -> int:
    time.sleep(0.01)
    return 2 * number


def test_a_cluster_without_workers_is_told(convert):
    with distributed.LocalCluster(n_workers=0, dashboard_address=":0") as empty:
        done = convert("set", "--cluster", empty.scheduler_address)
    assert_told_in_one_line(done)
    assert "no workers" in done.stderr
