"""Findings that a designer accepts: shown, with the reason, and no longer asking."""

import json

from converter.findings.judging import status_of
from converter.findings.waivers import accept
from converter.model import Finding
from tests.redesign.test_folder import convert, glyph, run

NARROW = Finding(
    "narrow-piece", "redesign", "Piece A1 is 2.0 mm wide; the least is 3.2 mm.", 2.0, 3.175, hint="Move it."
)
SHARP = Finding("sharp-corner", "review", "Piece A2 has a corner of 9°.")
NOTE = Finding("not-proved", "note", "12 pieces.")


def test_an_accepted_finding_stays_as_a_note_with_the_reason():
    accepted = accept((NARROW, SHARP, NOTE), {"narrow-piece": "sewn twice, it works", "not-proved": "fine"})
    assert [f.severity for f in accepted] == ["note", "review", "note"]
    assert accepted[0].hint == "Accepted: sewn twice, it works"
    assert (accepted[0].message, accepted[0].measured) == (NARROW.message, NARROW.measured)
    assert accepted[1:] == (SHARP, NOTE)
    assert (status_of((NARROW, SHARP)), status_of(accepted)) == ("redesign", "review")


def test_without_waivers_nothing_changes():
    assert accept((NARROW, SHARP), {}) == (NARROW, SHARP)


def test_a_waiver_in_the_settings_holds_when_converting_and_when_checking(tmp_path):
    settings = tmp_path / "alphabet.toml"
    settings.write_text("[limits]\nsharp-corner = 80\n", encoding="utf-8")
    convert(tmp_path / "plain", "A", "--settings", settings)
    assert glyph(tmp_path / "plain", "A_")["status"] == "review"
    settings.write_text(
        '[limits]\nsharp-corner = 80\n[glyph.A.accept]\nsharp-corner = "pressed open"\n', encoding="utf-8"
    )
    convert(tmp_path / "waived", "A", "--settings", settings)
    waived = glyph(tmp_path / "waived", "A_")
    assert waived["status"] == "ready"
    reason = next(r for r in waived["reasons"] if r["id"] == "sharp-corner")
    assert (reason["severity"], reason["hint"]) == ("note", "Accepted: pressed open")

    path = tmp_path / "waived/blocks/A_.svg"
    path.write_text(path.read_text(encoding="utf-8") + "<!-- saved -->", encoding="utf-8")
    run("check", tmp_path / "waived")
    assert glyph(tmp_path / "waived", "A_")["status"] == "ready"
    assert json.dumps(glyph(tmp_path / "waived", "A_")).count("Accepted: pressed open") == 1
