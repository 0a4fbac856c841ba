"""Words kept in a layout file, and made from it."""

import os
import tomllib
from pathlib import Path

import pytest

from tests.cli.running import assert_told_in_one_line, contents, run

LABELS = """
background = "sand"
units = "mm"

[[item]]
set = "set"
text = ["TI", "IT"]
letters = ["rust", "kelp"]
by = "word"
target_width = "200mm"
letter_size = "label"

[[item]]
set = "set"
name = "drawers/long"
text = "TITIT"
background = "mist"
target_width = "200mm"
letter_size = "label"
"""


def heights(folder: Path) -> list[str]:
    rows = (folder / "assembly.txt").read_text(encoding="utf-8").splitlines()
    return [row for row in rows if "are now" in row]


def test_items_share_options_and_letter_sizes(here):
    (here / "labels.toml").write_text(LABELS, encoding="utf-8")
    result = run("words", "--layout", "labels.toml", "--no-print", "--out", "made")
    assert result.exit_code == 0, result.output
    made = contents(here / "made")
    assert {"ti-it/layout.svg", "drawers/long/layout.svg"} <= set(made)
    assert "cutting-plans/sand.svg" in contents(here / "made" / "ti-it")
    assert "cutting-plans/mist.svg" in contents(here / "made" / "drawers" / "long")
    # TITIT at 46 mm: 5 x 34.5 + 2 x 12 (the border of 20 mm, scaled and rounded) = 196.5; at 47 mm 200.25, too wide.
    (one,), (two,) = heights(here / "made" / "ti-it"), heights(here / "made" / "drawers" / "long")
    assert one == two
    assert "46 mm" in one
    for name in ("ti-it", "drawers/long"):
        text = (here / "made" / name / "assembly.txt").read_text(encoding="utf-8")
        assert "Finished: 200 ×" in text
    alone = LABELS.replace('letter_size = "label"', "")
    (here / "alone.toml").write_text(alone, encoding="utf-8")
    run("words", "--layout", "alone.toml", "--no-print", "--out", "alone")
    assert heights(here / "alone" / "ti-it") != heights(here / "made" / "ti-it")


def test_the_command_line_goes_before_the_file(here):
    (here / "labels.toml").write_text(LABELS, encoding="utf-8")
    run("words", "--layout", "labels.toml", "--no-print", "--background", "foam", "--units", "in")
    for name in ("ti-it", "drawers/long"):
        files = contents(here / name)
        assert "cutting-plans/foam.svg" in files
        assert b" in" in files["assembly.txt"]


def test_what_is_kept_makes_the_same_again(here):
    (here / "deep").mkdir()
    arguments = ("set", "TA I", "{T}", "--letters", 'old "net"=#4a5f23', "--letters", "kelp")
    more = (
        "--finishing",
        "--target-width",
        "20in",
        "--border=1in,2in,1in,2in",
        "--copies",
        2,
        "--also",
        "set",
    )
    result = run("words", *arguments, *more, "--no-print", "--keep", "deep/kept.toml", "--out", "first")
    assert result.exit_code == 0, result.output
    data = tomllib.loads((here / "deep" / "kept.toml").read_text(encoding="utf-8"))
    assert data["set"] == "../set"
    assert data["finishing"] is True
    again = run("words", "--layout", "deep/kept.toml", "--no-print", "--out", "second")
    assert again.exit_code == 0, again.output
    (made,) = (here / "second").iterdir()
    assert contents(made) == contents(here / "first")
    before = contents(here)
    assert_told_in_one_line(
        run("words", *arguments, "--no-print", "--keep", "deep/kept.toml", "--out", "third")
    )
    assert contents(here) == before


BAD = {
    "nothing in it": "",
    "no items": "background = 'sand'",
    "items that are none": "item = 3",
    "not TOML": "[[item",
    "no text": "[[item]]\nset='set'",
    "no set": "[[item]]\ntext='I'",
    "an unknown key": "[[item]]\nset='set'\ntext='I'\ncolour='rust'",
    "a key of the command line alone": "[[item]]\nset='set'\ntext='I'\nquiet=true",
    "a switch that is a word": "[[item]]\nset='set'\ntext='I'\nfinishing='yes'",
    "a word that is a switch": "[[item]]\nset='set'\ntext='I'\nborder=true",
    "a table": "[[item]]\nset='set'\ntext='I'\nborder={top='1in'}",
    "a bad length": "[[item]]\nset='set'\ntext='I'\nborder='wide'",
    "a bad fabric": "[[item]]\nset='set'\ntext='I'\nletters='puce'",
    "a text that is a number": "[[item]]\nset='set'\ntext=3",
    "a set that is not there": "[[item]]\nset='nowhere'\ntext='I'",
    "a name outside": "[[item]]\nset='set'\ntext='I'\nname='../out'",
    "a name from the root": "[[item]]\nset='set'\ntext='I'\nname='/tmp/x'",
    "two of one name": "[[item]]\nset='set'\ntext='I'\n[[item]]\nset='set'\ntext='i'\nname='I'",
    "what cannot be laid out": "[[item]]\nset='set'\ntext='I'\n[[item]]\nset='set'\ntext='Z'",
}


@pytest.mark.parametrize("text", BAD.values(), ids=BAD)
def test_a_bad_layout_file_is_told_in_one_line_and_nothing_is_written(here, text):
    (here / "bad.toml").write_text(text, encoding="utf-8")
    before = contents(here)
    assert_told_in_one_line(run("words", "--layout", "bad.toml", "--no-print"))
    assert contents(here) == before


def test_a_layout_file_that_is_no_file_or_is_too_large(here):
    if hasattr(os, "mkfifo"):
        os.mkfifo(here / "pipe.toml")
        assert_told_in_one_line(run("words", "--layout", "pipe.toml"))
    assert_told_in_one_line(run("words", "--layout", "none.toml"))
    (here / "large.toml").write_bytes(b"#" * 1_000_001)
    assert_told_in_one_line(run("words", "--layout", "large.toml"))
