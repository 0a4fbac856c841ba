"""Runs that are killed, and entries that are damaged: a few of what ``python -m tests.benchmarks.kept`` does."""

import os
from random import Random

import pytest

from tests.benchmarks.kept import Place, damage, killed
from tests.cli.sea import sea_font


@pytest.mark.skipif(os.name != "posix", reason="kills a group of processes")
def test_a_run_killed_again_and_again_ends_as_an_undisturbed_one_and_makes_nothing_twice(tmp_path):
    font = tmp_path / "sea.ttf"
    font.write_bytes(sea_font())
    calm, wild = (Place(font, ["--glyphs", "*", "--jobs", "1"], tmp_path / name) for name in ("calm", "wild"))
    first = calm.run("undisturbed")
    hits, twice, last = killed(wild, 5, first.seconds, Random(2))
    assert hits > 0
    assert (twice, last.code) == (0, 0)
    assert calm.contents("undisturbed") == wild.contents("disturbed")
    assert damage(calm, 2, Random(3)) == 2
    assert calm.run("mended").found == len(calm.entries()) - 2
    assert calm.contents("mended") == calm.contents("undisturbed")
