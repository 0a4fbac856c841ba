"""Alternatives in a converted folder: written by ``convert``, read by ``check``, and never in the way of either."""

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from converter.cli import cli
from converter.folder.keeping import Kept
from converter.folder.reading import read_alternatives
from converter.output import write_folder
from converter.redesign.folder import new_folder
from converter.report.alternatives import Alternatives
from tests.report.samples import small_pattern, two_more
from tests.report.test_csv import rows
from tests.report.test_html import data
from tests.samples import letter_t

CUT = '<line x1="0" y1="5" x2="60" y2="5"/>'  # across the block of T, through its topmost strip


@pytest.fixture
def folder(tmp_path):
    """As ``convert`` leaves it: T has two more figures, I has none."""
    pattern = small_pattern()
    kept = {g.key: Kept(size=60.0, outline=g.figure) for g in pattern.glyphs}
    alternatives = {"T_": two_more(letter_t()), "I_": Alternatives(1, pattern.glyphs[:1])}
    write_folder(tmp_path, new_folder(pattern, kept, alternatives=alternatives).files)
    return tmp_path


def check(folder: Path) -> None:
    result = CliRunner().invoke(cli, ["check", str(folder), "--quiet"])
    assert result.exit_code == 0, result.output


def offered(folder: Path) -> dict[str, tuple[int, list[int]]]:
    """What the report offers: the chosen one's number and the others', by key."""
    glyphs = data((folder / "report.html").read_text(encoding="utf-8"))["glyphs"]
    return {g["key"]: (g["number"], [o["number"] for o in g["others"]]) for g in glyphs if "others" in g}


def cut(folder: Path) -> None:
    path = folder / "blocks" / "T_.svg"
    text, count = re.subn(r'(id="seams"[^>]*>)', rf"\1{CUT}", path.read_text(encoding="utf-8"))
    assert count == 1
    path.write_text(text, encoding="utf-8")


def test_a_run_writes_them_and_a_check_makes_the_same_report_of_the_folder_alone(folder):
    assert list(read_alternatives(folder)) == ["T_"]
    assert offered(folder) == {"T_": (1, [2, 3])}
    before = {path: path.read_bytes() for path in folder.rglob("*.*") if path.is_file()}
    check(folder)
    assert {path: path.read_bytes() for path in folder.rglob("*.*") if path.is_file()} == before


def test_a_block_changed_by_hand_keeps_the_converter_s_proposals(folder):
    drawn = (folder / "blocks" / "T_.svg").read_bytes()
    cut(folder)
    check(folder)
    assert offered(folder) == {"T_": (0, [1, 2, 3])}
    table = rows((folder / "report.csv").read_text(encoding="utf-8"))
    assert {row["key"]: row["alternatives"] for row in table}["T_"] == "3"
    (folder / "blocks" / "T_.svg").write_bytes(drawn)
    check(folder)
    assert offered(folder) == {"T_": (1, [2, 3])}


@pytest.mark.parametrize("content", [None, b"", b"\xff", b'{"format": 1}', b"[[[["])
def test_without_their_file_or_with_a_damaged_one_all_else_goes_on(folder, content):
    path = folder / "alternatives.json"
    path.unlink()
    if content is not None:
        path.write_bytes(content)
    check(folder)
    assert offered(folder) == {}
    assert (path.read_bytes() if path.exists() else None) == content


def test_a_new_run_leaves_no_alternatives_of_an_older_one(folder):
    assert b'"T_"' in (folder / "alternatives.json").read_bytes()
    assert '"T_"' not in new_folder(small_pattern(), {}).files["alternatives.json"]
