"""Alternatives as a person meets them, in a headless Chromium."""

import math
import tomllib
from dataclasses import replace

import pytest

from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.pipeline import convert
from converter.report.alternatives import Alternatives
from converter.seams import seams
from converter.settings import Settings
from tests.fonts.makers import TEXT_FONTS
from tests.report.browser import CHROMIUM
from tests.report.samples import large_pattern, small_pattern, two_more
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="needs Debian's chromium (apt-get install chromium)")

OPEN = "const open = (tag) => all('.sheet button').find((b) => b.querySelector('b').textContent === tag).click();"


def test_figures_stand_side_by_side_with_what_tells_them_apart(page):
    pattern = small_pattern()
    seen = page(pattern, {"T_": two_more(pattern.glyphs[1], 2)}).run(f"""{OPEN}
    const seen = {{ drawnBefore: all(".choices svg").length }};
    open("T");
    const texts = (selector) => all(selector).map((e) => e.textContent);
    seen.names = texts(".choices h4"); seen.grades = texts(".choices .grade"); seen.why = texts(".choices .why");
    seen.shapes = all(".choices svg").map((s) => s.querySelectorAll(".piece").length);
    seen.labels = texts(".choices li:first-child dt");
    seen.first = texts(".choices li:first-child dd"); seen.chosen = texts(".choices .chosen dd");
    seen.lines = texts(".choices pre"); seen.how = document.querySelector(".how").textContent;
    open("I"); seen.without = document.querySelector(".choice").hidden;
    return seen;
    """)
    assert seen["drawnBefore"] == 0  # nothing is drawn before the panel opens
    assert seen["names"] == ["Alternative 1", "Alternative 2 chosen", "Alternative 3"]
    assert seen["grades"] == ["ready · beginner", "redesign · beginner", "review · beginner"]
    assert seen["why"] == ["Piece A2 is 2.1 mm wide.", "A corner of 14° is hard to sew."]
    assert seen["shapes"] == [5, 8, 5]
    assert seen["labels"] == [
        "pieces", "sections", "match points", "narrowest piece", "sharpest corner", "overlap", "furthest off",
    ]  # fmt: skip
    assert [s.strip() for s in seen["chosen"]] == ["8", "1", "0", "10.0 mm", "60°", "98.0%", "0.8 mm"]
    assert seen["first"][0] == "5 −3"
    assert [tomllib.loads(lines)["glyph"]["T"] for lines in seen["lines"]] == [
        {"alternative": 1}, {"alternative": 3},
    ]  # fmt: skip
    assert "alphabet.toml" in seen["how"]
    assert "--settings" in seen["how"]
    assert "by hand" not in seen["how"]
    assert seen["without"] is True


def test_an_alternative_can_be_looked_at_and_stepped_through(page):
    pattern = small_pattern()
    seen = page(pattern, {"T_": two_more(pattern.glyphs[1])}).run(f"""{OPEN}
    open("T");
    const looks = () => all(".look").map((b) => b.getAttribute("aria-pressed"));
    const text = (selector) => document.querySelector(selector).textContent;
    const seen = {{ start: [looks(), all(".reason").length, all(".drawing .piece").length] }};
    all(".look")[2].click();
    seen.other = [looks(), all(".reason").length, all(".drawing .piece").length, text(".sub")];
    set("[name=step]", 0); seen.step = text(".caption");
    set("[name=step]", 3); seen.last = text(".caption");
    all(".look")[0].click(); seen.back = [looks(), all(".reason").length, text(".caption")];
    return seen;
    """)
    assert seen["start"] == [["true", "false", "false"], 2, 8]
    assert seen["other"][:3] == [["false", "false", "true"], 1, 5]
    assert "alternative 3, not chosen" in seen["other"][3]
    assert seen["other"][3].startswith("review")
    assert seen["step"] == "Step 1 of 4. Section A: sew A2 to A1."
    assert seen["last"] == "Step 4 of 4. Section A: sew A5 to A1–A4."
    assert seen["back"] == [["true", "false", "false"], 2, "The finished block."]


def test_a_block_changed_by_hand_stands_beside_the_converter_s_proposals(page):
    pattern = small_pattern()
    choice = replace(two_more(pattern.glyphs[1], 2), chosen=0)
    seen = page(pattern, {"T_": choice}).run(f"""{OPEN}
    open("T");
    return {{ names: all(".choices h4").map((h) => h.textContent), lines: all(".choices pre").length,
      how: document.querySelector(".how").textContent,
      more: all(".more").map((m) => m.textContent) }};
    """)
    assert seen["names"] == ["By hand", "Alternative 1", "Alternative 2", "Alternative 3"]
    assert seen["lines"] == 3
    assert "the converter’s own proposals" in seen["how"]
    assert "--discard-edits T_" in seen["how"]
    assert seen["more"] == ["3 alternatives"]


def test_the_sheet_hints_at_alternatives(page):
    seen = page(small_pattern(), {"T_": two_more(letter_t()), "+_": two_more(plus())}).run("""
    return all(".sheet li").map((li) => [li.querySelector("b").textContent, li.querySelector(".more")?.textContent]);
    """)
    assert {name: more for name, more in seen if more} == {"T": "2 alternatives", "+": "2 alternatives"}


@pytest.mark.parametrize("clipboard", ["taken", "refused", "missing"])
def test_the_lines_are_copied_without_a_network(page, clipboard):
    seen = page(small_pattern(), {"T_": two_more(letter_t())}).run(f"""{OPEN}
    const taken = [], kind = "{clipboard}";
    const writeText = async (text) => {{ if (kind === "refused") throw new Error("no"); taken.push(text); }};
    Object.defineProperty(navigator, "clipboard", {{ value: kind === "missing" ? undefined : {{ writeText }} }});
    open("T");
    document.querySelector(".copy").click(); await wait(50);
    return {{ taken, selected: String(getSelection()).trim(), button: document.querySelector(".copy").textContent,
      told: document.querySelector(".told").textContent, role: document.querySelector(".told").role,
      asText: getComputedStyle(document.querySelector("pre")).userSelect }};
    """)
    lines = "[glyph.T]\nalternative = 2"
    assert (seen["taken"] if clipboard == "taken" else [seen["selected"]]) == [lines]
    assert seen["button"] in (["copied"] if clipboard == "taken" else ["copied", "selected"])
    assert "alternative 2" in seen["told"]
    assert (seen["role"], seen["asText"]) == ("status", "all")


def test_alternatives_can_be_reached_by_key_and_have_names(page):
    browser = page(small_pattern(), {"T_": two_more(letter_t())})
    browser.run(
        "document.querySelectorAll('.sheet button')[0].click(); document.querySelector('.sub button').focus()"
    )
    browser.press("Enter")
    active = "document.activeElement.getAttribute('aria-label')"
    assert browser.value(active) == "Look at alternative 1"
    names = []
    for _ in range(4):
        browser.press("Tab")
        names.append(browser.value(active))
    assert names == [
        "Look at alternative 2", "Copy the lines for alternative 2",
        "Look at alternative 3", "Copy the lines for alternative 3",
    ]  # fmt: skip
    browser.run("document.querySelectorAll('.look')[1].focus()")
    browser.press("Enter")
    assert "alternative 2" in browser.value("document.querySelector('.sub').textContent")
    seen = browser.run("""
    return { list: document.querySelector(".choices").tagName, title: document.querySelector("#choice").textContent,
      named: document.querySelector(".choice").getAttribute("aria-labelledby"),
      nameless: all(".choice button").filter((b) => !b.getAttribute("aria-label")).length };
    """)
    assert seen == {"list": "OL", "title": "Alternatives", "named": "choice", "nameless": 0}


def test_nothing_is_wider_than_a_narrow_screen(page):
    browser = page(small_pattern(), {"T_": two_more(letter_t())})
    browser.narrow(390, 844)
    try:
        seen = browser.run(f"""{OPEN}
        const wide = document.documentElement.scrollWidth;
        open("T");
        const over = (e) => e.scrollWidth - e.clientWidth;
        return [wide, over(panel), all(".choices li").map(over)];
        """)
    finally:
        browser.narrow(0, 0)
    assert seen[0] <= 390
    assert seen[1:] == [0, [0, 0, 0]]


def test_on_paper_the_lines_stay_and_the_buttons_go(page):
    browser = page(small_pattern(), {"T_": two_more(letter_t())})
    browser.run(f"{OPEN} open('T')")
    shown = "[...document.querySelectorAll('dialog .copy, dialog nav, dialog pre, dialog .look svg')]"
    shown += (
        ".filter((e) => e.checkVisibility()).map((e) => e.className.baseVal ?? (e.className || e.tagName))"
    )
    try:
        browser.media("print")
        assert browser.value(shown) == ["plain", "plain", "PRE", "plain", "PRE"]
    finally:
        browser.media("screen")
    assert len(browser.value(shown)) == 8


SEAMS = """
return cards.map(whole).map((glyph) => [glyph, ...(glyph.others ?? [])].map((figure) =>
  stepsOf(figure).map((step) => seamOf(figure, step))));
"""


def test_the_page_finds_each_seam_where_the_pattern_has_it(page):
    font = load_font(TEXT_FONTS[0])
    made = convert(
        font, choose_glyphs(font, text="CX").glyphs, judge_licence(font, TEXT_FONTS[0].parent), Settings()
    )
    letters = {m.glyph.key: Alternatives(m.number, m.figures) for m in made.made}
    for pattern, choice in ((made.pattern, letters), (sample_pattern(), {"+_": two_more(plus())})):
        found = page(pattern, choice).run(SEAMS)
        for glyph, figures in zip(pattern.glyphs, found, strict=True):
            offered = choice[glyph.key].to_offer() if glyph.key in choice else []
            for figure, drawn in zip([glyph, *(g for _, g in offered)], figures, strict=True):
                for seam, ends in zip(seams(figure), drawn, strict=True):
                    one, other = ends[:2], ends[2:]
                    astray = min(
                        max(math.dist(seam.start, a), math.dist(seam.end, b))
                        for a, b in ((one, other), (other, one))
                    )
                    assert astray < 0.05  # mm


def test_two_thousand_glyphs_with_alternatives_stay_fluid(page):
    pattern = large_pattern(2000)
    choice = {g.key: two_more(g) for g in pattern.glyphs}
    seen = page(pattern, choice).run("""
    const clock = () => performance.now();
    await wait(200);
    const seen = { drawn: all("svg").length }, times = [];
    for (const at of [0, 700, 1999]) {
      const from = clock();
      cards[at].button.click(); document.body.offsetHeight; times.push(clock() - from);
    }
    seen.choices = all(".choices svg").length;
    seen.slowest = Math.max(...times);
    return seen;
    """)
    assert seen["drawn"] < 200
    assert seen["choices"] == 3
    assert seen["slowest"] < 1000  # ms, on a slow and shared machine


def test_words_from_a_font_stay_words(page):
    name = 'a"b.<img src=x onerror=alert(1)>'
    glyph = replace(letter_i(), name=name)
    other = replace(triangle(), key=glyph.key, name=name)
    seen = page(sample_pattern(glyph), {glyph.key: Alternatives(1, (glyph, other))}).run("""
    document.querySelector(".sheet button").click();
    return [document.querySelector(".choices pre").textContent, all(".choice img").length];
    """)
    assert tomllib.loads(seen[0]) == {"glyph": {name: {"alternative": 2}}}
    assert seen[1] == 0
