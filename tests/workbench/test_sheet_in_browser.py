"""The sheet and the families in a real browser; what is chosen there stands in alphabet.toml and in the set."""

import tomllib

import pytest
from playwright.sync_api import expect

from converter.folder.reading import read_alternatives, read_pattern

COMMENTED = """# the library's own settings
[glyph.T]
# as two testers liked it
detail = "coarse"   # keep
"""


def glyph(folder, key):
    return next(g for g in read_pattern(folder).glyphs if g.key == key)


def test_the_sheet_shows_and_finds_all_characters(look):
    page = look("#/set")
    expect(page.locator(".sheet li")).to_have_count(4)
    expect(page.locator(".sheet svg")).to_have_count(4)
    page.get_by_label("find").fill("R")
    expect(page.locator(".sheet li")).to_have_count(1)
    page.locator(".sheet a").click()
    expect(page.locator("h1")).to_have_text("R")
    page.get_by_role("link", name="Jost ExtraBold").click()
    expect(page.locator(".sheet li")).to_have_count(1)  # what was looked for is still there
    page.get_by_label("find").fill("")
    expect(page.locator(".sheet li")).to_have_count(4)


def test_a_figure_is_taken_by_a_click(look, folder):
    before, there = glyph(folder, "B_"), read_alternatives(folder)["B_"]
    page = look("#/set/family/capitals%20with%20bowls")
    page.get_by_role("button", name="Take figure 2 of B").click()
    expect(page.locator(".told")).to_have_text("Saved: 1 letter changed.")
    assert tomllib.loads((folder / "alphabet.toml").read_text())["glyph"]["B"] == {"alternative": 2}
    assert glyph(folder, "B_").figure == there.figures[1].figure != before.figure
    assert read_alternatives(folder)["B_"].chosen == 2
    expect(page.get_by_role("button", name="Take figure 2 of B")).to_be_disabled()
    page.get_by_role("button", name="the converter’s first").click()
    expect(page.get_by_role("button", name="Take figure 1 of B")).to_be_disabled()
    assert glyph(folder, "B_") == before
    assert "glyph" not in tomllib.loads((folder / "alphabet.toml").read_text())


def test_a_rule_for_a_family_takes_its_figure_of_each_letter(look, folder):
    page = look("#/set/family/round%20capitals")
    page.get_by_role("button", name="closest to the font").click()
    expect(page.locator(".told")).to_contain_text(
        "chosen already" if len(read_alternatives(folder)) == 0 else ""
    )
    page.wait_for_timeout(500)
    there = read_alternatives(folder).get("O_")
    if there is not None:
        best = max(figure.metrics.iou for figure in there.figures)
        assert glyph(folder, "O_").metrics.iou == best


def test_detail_of_a_letter_is_set_and_made_anew_and_the_file_stays_as_it_was_written(look, folder):
    (folder / "alphabet.toml").write_text(COMMENTED, encoding="utf-8")
    page = look("#/set/letter/R_")
    page.get_by_label("detail").select_option("coarse", timeout=60_000)
    expect(page.locator(".told")).to_have_text("Saved.", timeout=60_000)
    text = (folder / "alphabet.toml").read_text(encoding="utf-8")
    assert text.startswith(COMMENTED)
    assert tomllib.loads(text)["glyph"] == {"T": {"detail": "coarse"}, "R": {"detail": "coarse"}}
    assert read_pattern(folder).settings["glyphs"] == {"R": {"detail": "coarse"}, "T": {"detail": "coarse"}}
    page.get_by_label("detail").select_option("")
    expect(page.locator(".told")).to_have_text("Saved.", timeout=60_000)
    assert (folder / "alphabet.toml").read_text(encoding="utf-8") == COMMENTED


def test_a_margin_that_makes_no_sense_is_answered_in_words(look, folder):
    page = look("#/set/letter/R_")
    before = (folder / "pattern.json").read_bytes()
    for said in ("3 parsecs", "400mm", "-1in"):
        page.get_by_label("margin").fill(said, timeout=60_000)
        page.get_by_role("button", name="Set", exact=True).click()
        expect(page.locator(".told.fault")).to_be_visible()
        assert (folder / "pattern.json").read_bytes() == before
    assert len([fault for fault in look.faults if "400" in fault]) == 3
    look.faults.clear()
    page.get_by_label("margin").fill("1/8in")
    page.get_by_role("button", name="Set", exact=True).click()
    expect(page.locator(".told")).to_have_text("Saved.", timeout=60_000)
    assert tomllib.loads((folder / "alphabet.toml").read_text())["glyph"]["R"] == {"margin": "1/8in"}


def test_a_finding_is_accepted_with_a_reason_and_no_longer(look, folder, wide_limit):
    page = look("#/set/letter/R_")
    page.locator(".reasons summary").first.click(timeout=60_000)
    page.get_by_label("because").first.fill("two testers sewed it")
    page.get_by_role("button", name="Accept", exact=True).first.click()
    expect(page.locator(".told")).to_have_text("Saved.", timeout=60_000)
    accepted = tomllib.loads((folder / "alphabet.toml").read_text())["glyph"]["R"]["accept"]
    assert list(accepted.values()) == ["two testers sewed it"]
    (finding,) = accepted
    told = next(r for r in glyph(folder, "R_").reasons if r.id == finding)
    assert (told.severity, told.hint) == ("note", "Accepted: two testers sewed it")
    page.get_by_role("button", name="No longer accept").click()
    expect(page.locator(".told")).to_have_text("Saved.", timeout=60_000)
    assert next(r for r in glyph(folder, "R_").reasons if r.id == finding).severity != "note"


@pytest.fixture
def wide_limit(folder):
    """R's pattern asks for wider pieces than it has, as for a designer who wants it so."""
    from dataclasses import replace

    from converter.checking import check_folder
    from converter.pattern import to_json

    pattern = read_pattern(folder)
    limits = {**pattern.settings["limits"], "sharp-corner": 60.0}
    (folder / "pattern.json").write_text(
        to_json(replace(pattern, settings={**pattern.settings, "limits": limits}))
    )
    check_folder(folder, ["R_"])
    assert any(r.severity == "review" for r in glyph(folder, "R_").reasons)
