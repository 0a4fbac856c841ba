"""What ``convert`` says of blocks that were made before, and what the command ``store`` tells of them."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.running import contents, run
from tests.cli.sea import sea_font

PROMISING = ("--effort-for", "promising")


@pytest.fixture
def sea(tmp_path, monkeypatch):
    """Converts I, L and T of a font into a folder, with a store of its own."""
    monkeypatch.delenv("FONT2FOUNDATION_NO_CACHE")
    monkeypatch.setenv("FONT2FOUNDATION_CACHE", str(tmp_path / "store"))
    font = tmp_path / "sea.ttf"
    font.write_bytes(sea_font())

    def convert(out: str, *more: object):
        done = run("convert", font, "--text", "ILT", "--jobs", 1, "--out", tmp_path / out, *more)
        assert done.exit_code == 0, done.output
        return done

    return convert


def test_a_second_run_takes_what_the_first_made_and_says_so(sea, tmp_path):
    assert "already made" not in sea("first").stderr
    assert "3 of 3 blocks were already made" in sea("second").stderr
    assert contents(tmp_path / "first") == contents(tmp_path / "second")
    assert "1 of 3 blocks" not in sea("third", "--quiet").stderr


def test_without_the_store_all_is_made_anew_and_nothing_is_kept(sea, tmp_path):
    sea("first", "--no-cache")
    assert not (tmp_path / "store").exists()
    sea("first")
    assert "already made" not in sea("second", "--no-cache").stderr


def test_the_store_can_be_asked_and_emptied(sea, tmp_path):
    sea("first")
    asked = run("store")
    assert str(tmp_path / "store") in asked.stdout
    assert "3 blocks" in asked.stdout
    assert "3 blocks" in run("store", "--empty").stdout
    assert "0 blocks" in run("store").stdout
    assert "already made" not in sea("second").stderr
    assert "0 blocks" in run("store", "--cache", tmp_path / "nowhere").stdout


def test_drafts_are_sorted_out_before_anything_gets_more_effort(sea):
    said = sea("first", *PROMISING).stderr
    assert "drafts: 3 ready; 0 to be made at normal effort" in said


@pytest.mark.skipif(os.name != "posix", reason="sends a signal")
def test_ctrl_c_in_mid_run_leaves_the_best_so_far_and_the_same_command_goes_on(sea, tmp_path):
    """Slow from the third draft on, so that the signal comes when two are there."""
    slow = (
        "import time; from converter import pipeline; from converter.cli import main\n"
        "make, done = pipeline.bare_block, []\n"
        "def slowly(job):\n"
        "    if len(done) == 2:\n"
        "        print('at work', flush=True); [time.sleep(0.01) for _ in range(6000)]\n"
        "    done.append(job); return make(job)\n"
        "pipeline.bare_block = slowly\n"
        "main()"
    )
    arguments = ["convert", str(tmp_path / "sea.ttf"), "--text", "ILT", "--jobs", "1", *PROMISING]
    running = subprocess.Popen(
        [sys.executable, "-c", slow, *arguments, "--out", str(tmp_path / "set")], cwd=Path(__file__).parents[2],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert running.stdout.readline() == "at work\n"
    time.sleep(0.05)
    running.send_signal(signal.SIGINT)
    said, told = running.communicate(timeout=120)
    assert running.returncode == 130  # 128 + SIGINT, as POSIX shells say it
    assert "stopped: writing the best so far, 1 of 3 blocks not made yet" in told
    assert "not-made" in said or "stopped before" in said
    assert (tmp_path / "set/report.html").exists()
    assert len([*(tmp_path / "set/templates").iterdir()]) == 2
    assert "2 of 3 blocks were already made" in sea("set", *PROMISING).stderr
    sea("undisturbed", *PROMISING, "--no-cache")
    assert contents(tmp_path / "set") == contents(tmp_path / "undisturbed")
