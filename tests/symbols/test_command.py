"""A folder of drawings through the command: each is a block or has its reason."""

import json

from tests.cli.running import assert_told_in_one_line, run

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24">'


def test_a_folder_is_converted_and_what_cannot_be_read_has_its_reason(tmp_path):
    icons = tmp_path / "icons"
    icons.mkdir()
    (icons / "kelp.svg").write_text(f'{HEAD}<path d="M4 4H20V12H12V20H4Z"/></svg>')
    (icons / "shell.svg").write_text(
        f'{HEAD}<path d="M4 4H20V8H4Z" fill="#c00"/><path d="M4 12H20V20H4Z" fill="#00c"/></svg>'
    )
    (icons / "torn.svg").write_text(f"{HEAD}<path d='M4 4")
    out = tmp_path / "out"
    convert = ("convert", icons, "--fit", "each", "--block", "4x4in", "--effort", "draft", "--no-cache")
    result = run(*convert, "--out", out, "--jobs", "1", "--quiet")
    assert result.exit_code == 0, result.output
    assert "no licence file beside the drawings" in result.stderr
    glyphs = {g["name"]: g for g in json.loads((out / "pattern.json").read_text(encoding="utf-8"))["glyphs"]}
    assert {name: bool(g["pieces"]) for name, g in glyphs.items()} == {
        "kelp": True,
        "shell": True,
        "torn": False,
    }
    assert "not readable as SVG" in glyphs["torn"]["reasons"][0]["message"]
    assert [r["id"] for r in glyphs["shell"]["reasons"]].count("colours-merged") == 1
    assert "colours-merged" not in [r["id"] for r in glyphs["kelp"]["reasons"]]
    assert glyphs["kelp"]["metrics"]["iou"] > 0.97
    assert (out / "blocks" / "kelp.svg").exists()


def test_what_only_fonts_have_is_an_error(tmp_path):
    (tmp_path / "kelp.svg").write_text(f'{HEAD}<path d="M4 4H20V20Z"/></svg>')
    for options in (
        ("--text", "K"),
        ("--face", "0"),
        ("--axis", "wght=800"),
        ("--names", tmp_path / "kelp.svg"),
    ):
        assert_told_in_one_line(run("convert", tmp_path, *options))
