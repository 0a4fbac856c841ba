"""``check`` on every drawing of the corpus, in a process of its own: one line, soon, and the drawing left as it is."""

import sys

import pytest

from converter.redesign.check import check_block
from tests.fuzz.running import Case, try_case
from tests.redesign.corpus import CORPUS, drawing
from tests.samples import letter_t, sample_pattern

PARTS = 16
NAMES = list(CORPUS)[::2]  # as many as the tests have time for; ``tests.fuzz`` takes from all


@pytest.fixture(scope="module", autouse=True)
def _loaded():
    """What is compiled when it is first used is loaded before a process is copied."""
    check_block(sample_pattern(letter_t()), "T_", drawing())


def test_there_are_more_than_200_drawings():
    assert len(NAMES) > 200


@pytest.mark.skipif(sys.platform == "win32", reason="cases run in copies of a process")
@pytest.mark.parametrize("part", range(PARTS))
def test_a_check_ends_soon_in_one_line(part, tmp_path):
    found = {}
    for number, name in enumerate(NAMES[part::PARTS]):
        folder = tmp_path / str(number)
        folder.mkdir()
        files = {"drawing.svg": CORPUS[name]()}
        _, faults = try_case(Case("corpus", ("check", "--quiet", "drawing.svg"), files, most_lines=1), folder)
        if faults:
            found[name] = faults
    assert found == {}
