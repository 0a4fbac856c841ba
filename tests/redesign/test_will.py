"""A block that was changed by hand is held to what can be sewn; what a designer accepts can be said to `check`."""

import json
from dataclasses import replace

import pytest

from converter.findings.judging import as_drawn
from converter.findings.likeness import LIKENESS
from converter.model import Finding
from tests.redesign.test_folder import convert, converted, edit, folder, glyph, ids, run, state  # noqa: F401
from tests.samples import letter_i


def severities(found: dict) -> dict[str, str]:
    return {reason["id"]: reason["severity"] for reason in found["reasons"]}


def test_what_is_unlike_the_font_is_noted_where_a_hand_drew_it(folder):  # noqa: F811
    """A stem in the background's colour: an E no more, but it can be sewn as well as one."""
    pieces = [p for p in glyph(folder, "E_")["pieces"] if p["fabric"] == "figure"]
    for piece in pieces[:2]:
        edit(folder, "E_", rf'fill="#1f4e5f"( id="piece-{piece["id"]}")', r'fill="#f4efe6"\1')
    said = run("check", folder)
    after = glyph(folder, "E_")
    assert after["status"] == "ready"
    found = severities(after)
    assert set(found) & LIKENESS
    assert set(found.values()) == {"note"}
    assert "ready" in said


def test_what_is_hard_to_sew_is_still_told_where_a_hand_drew_it():
    far = Finding("far-from-outline", "redesign", "An edge is off.")
    narrow = Finding("narrow-piece", "redesign", "Piece A1 is narrow.")
    judged = as_drawn(replace(letter_i(), reasons=(far, narrow)))
    assert [(f.id, f.severity) for f in judged.reasons] == [
        ("narrow-piece", "redesign"),
        ("far-from-outline", "note"),
    ]
    assert judged.status == "redesign"
    assert as_drawn(replace(letter_i(), reasons=(far,))).status == "ready"


@pytest.fixture
def sharp(tmp_path):
    settings = tmp_path / "alphabet.toml"
    settings.write_text("[limits]\nsharp-corner = 80\n", encoding="utf-8")
    convert(tmp_path / "set", "AE", "--settings", settings)
    return tmp_path


def test_check_reads_what_is_accepted(sharp):
    folder, settings = sharp / "set", sharp / "alphabet.toml"  # noqa: F811
    drawn, before = (folder / "blocks/A_.svg").read_bytes(), glyph(folder, "A_")
    assert before["status"] == "review"
    settings.write_text('[glyph.A.accept]\nsharp-corner = "points held"\n', encoding="utf-8")
    run("check", folder, "--settings", settings)
    after = glyph(folder, "A_")
    assert after["status"] == "ready"
    reason = next(r for r in after["reasons"] if r["id"] == "sharp-corner")
    assert (reason["severity"], reason["hint"]) == ("note", "Accepted: points held")
    assert "edited" not in ids(after)
    assert [p["polygon"] for p in after["pieces"]] == [p["polygon"] for p in before["pieces"]]
    assert (folder / "blocks/A_.svg").read_bytes() == drawn
    assert run("check", folder).startswith("No block has been edited.")
    assert glyph(folder, "A_")["status"] == "ready"

    settings.write_text("", encoding="utf-8")
    run("check", folder, "--settings", settings)
    assert glyph(folder, "A_")["status"] == "review"


def test_check_reads_what_is_said_of_the_pattern(sharp):
    folder, settings = sharp / "set", sharp / "alphabet.toml"  # noqa: F811
    (sharp / "sign.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 2"><path d="M0 0H4V2Z"/></svg>',
        encoding="utf-8",
    )
    settings.write_text('[pattern]\ntitle = "Drawers"\nlogo = "sign.svg"\n', encoding="utf-8")
    run("check", folder, "--settings", settings)
    said = json.loads((folder / "pattern.json").read_text(encoding="utf-8"))["settings"]["pattern"]
    assert said["title"] == "Drawers"
    assert (folder / "publication" / said["logo"]["file"]).is_file()
    run("print", folder, "--quiet")
    (folder / "publication" / said["logo"]["file"]).write_text("<svg/>", encoding="utf-8")
    assert "is not the picture that was put there" in run("print", folder, "--quiet", code=2)
    settings.write_text("", encoding="utf-8")
    run("check", folder, "--settings", settings)
    assert not (folder / "publication").exists()
