"""The page as a person meets it, in a headless Chromium."""

import pytest

from tests.report.browser import CHROMIUM
from tests.report.samples import large_pattern, small_pattern

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="needs Debian's chromium (apt-get install chromium)")


def test_choosing_and_ordering(page):
    seen = page(small_pattern()).run("""
    const seen = { start: names() };
    set("[name=status][value=ready]", false); seen.notReady = names();
    set("[name=status][value=ready]", true);
    set("[name=finding]", "sharp-corner"); seen.sharp = names();
    set("[name=finding]", "");
    set("[name=words]", "u+0049"); seen.code = names();
    set("[name=words]", "A"); seen.letter = names();
    set("[name=words]", "nowhere"); seen.none = [names(), document.querySelector(".none").hidden];
    document.querySelector(".all").click(); seen.all = names();
    for (const order of ["pieces", "iou", "name", "font"]) {
      set("[name=order]", order);
      seen[order] = names();
    }
    seen.count = document.querySelector(".tools output").value;
    set("[name=outline]", false); seen.body = document.body.className;
    return seen;
    """)
    assert seen["start"] == ["T", "A", "I", "+", "space"]  # redesign first
    assert seen["notReady"] == ["T", "A", "space"]
    assert seen["sharp"] == ["T", "A"]
    assert seen["code"] == ["I"]
    assert seen["letter"] == ["A"]
    assert seen["none"] == [[], False]
    assert seen["all"] == seen["start"]
    assert seen["pieces"][:2] == ["+", "T"]
    assert seen["iou"][0] == "+"  # 0.91, the lowest
    assert seen["iou"][-1] == "space"  # nothing to measure comes last
    assert seen["name"] == ["+", "A", "I", "T", "space"]
    assert seen["font"] == ["I", "T", "A", "+", "space"]
    assert seen["count"] == "5 shown"
    assert seen["body"] == "no-outline"


def test_a_glyph_opens_and_its_sewing_can_be_stepped_through(page):
    seen = page(small_pattern()).run("""
    const visible = () => all(".drawing .piece:not(.faint)").length;
    const caption = () => document.querySelector(".caption").textContent;
    document.querySelectorAll(".sheet button")[3].click();
    const seen = { open: panel.open, title: document.querySelector("h2").textContent, end: visible() };
    const slider = document.querySelector("[name=step]"), play = document.querySelector(".play");
    seen.steps = [];
    for (let at = 0; at <= Number(slider.max); at += 1) {
      set("[name=step]", at);
      seen.steps.push([visible(), caption()]);
    }
    play.click(); seen.playing = [Number(slider.value), play.textContent];
    await wait(1100); seen.later = Number(slider.value);
    play.click(); seen.paused = play.textContent;
    set("[name=numbers]", false);
    seen.numbers = getComputedStyle(document.querySelector(".drawing .number")).display;
    return seen;
    """)
    assert (seen["open"], seen["title"], seen["end"]) == (True, "+", 11)
    assert [count for count, _ in seen["steps"]] == [2, 3, 4, 6, 7, 7, 8, 9, 10, 11, 11]
    assert seen["steps"][2][1] == "Step 3 of 10. Section A: sew A4 to A1, A2 and A3."
    assert seen["steps"][6][1] == "Step 7 of 10. Join 2: sew C to A + B."
    assert seen["steps"][10][1] == "The finished block."
    assert seen["playing"] == [0, "pause"]
    assert seen["later"] == 1
    assert seen["paused"] == "play"
    assert seen["numbers"] == "none"


def test_findings_are_listed_and_marked_where_they_are(page):
    seen = page(small_pattern()).run("""
    document.querySelectorAll(".sheet button")[0].click();
    return { reasons: all(".reason").map((r) => r.textContent), spots: all(".drawing .spot").length,
      outline: document.querySelector(".spot polygon").getAttribute("points") };
    """)
    assert seen["reasons"][0] == (
        "redesign: Piece A2 is 2.1 mm wide. (measured 2.1, limit 3.175)Widen the notch."
    )
    assert seen["spots"] == 2
    assert seen["outline"] == "10 22 24 22 24 70 10 70"


def test_everything_works_from_the_keyboard(page):
    browser = page(small_pattern())
    title = "document.querySelector('h2').textContent"
    browser.press("/")
    browser.press("x")
    assert browser.value("[focus(), document.activeElement.value, names().length]") == ["words", "x", 0]
    browser.press("Escape")
    assert browser.value("[document.activeElement.value, names().length]") == ["", 5]
    for key, expected in (("ArrowDown", "T"), ("ArrowRight", "A"), ("End", "space"), ("Home", "T")):
        browser.press(key)
        assert browser.value("focus()") == expected
    browser.press("Enter")
    assert browser.value(f"[panel.open, {title}]") == [True, "T"]
    browser.press("ArrowRight")
    assert browser.value(title) == "A"
    browser.run("document.querySelector('[name=step]').focus()")
    browser.press("ArrowLeft")  # moves the slider, not the page
    assert browser.value(f"[{title}, document.querySelector('.caption').textContent.slice(0, 6)]") == [
        "A",
        "Step 4",
    ]
    browser.press("Escape")
    assert browser.run("await wait(50); return [panel.open, focus()]") == [False, "A"]


def test_everything_has_a_name_for_a_screen_reader(page):
    seen = page(small_pattern()).run("""
    document.querySelectorAll(".sheet button")[0].click();
    const named = (e) => e.labels?.length || e.getAttribute("aria-label") || e.textContent.trim();
    return { nameless: all("button, input, select").filter((e) => !named(e)).map((e) => e.outerHTML),
      drawing: document.querySelector(".drawing svg").getAttribute("aria-label"),
      dialog: document.getElementById(panel.getAttribute("aria-labelledby")).textContent,
      live: all("[aria-live]").length };
    """)
    assert seen == {"nameless": [], "drawing": "T: the finished block", "dialog": "T", "live": 2}


def test_printing_draws_what_was_not_in_view_yet(page):
    seen = page(large_pattern(200)).run("""
    const before = all(".thumb svg").length;
    dispatchEvent(new Event("beforeprint"));
    return [before, all(".thumb svg").length];
    """)
    assert seen[0] < 200
    assert seen[1] == 200


def test_two_thousand_glyphs_stay_fluid(page):
    browser = page(large_pattern(2000))
    seen = browser.run("""
    const drawn = () => all(".thumb svg").length, clock = () => performance.now();
    await wait(200);
    const seen = { cards: document.querySelector(".tools output").value, drawn: drawn(), there: names().length };
    let from = clock();
    set("[name=order]", "iou"); document.body.offsetHeight; seen.sort = clock() - from;
    from = clock();
    set("[name=words]", "g19"); document.body.offsetHeight; seen.filter = clock() - from;
    seen.found = names().length;
    set("[name=words]", ""); await wait(100); scrollTo(0, 1e6); await wait(300); seen.after = drawn();
    seen.more = names().length;
    all(".sheet button")[0].focus();
    return seen;
    """)
    assert seen["cards"] == "2000 shown"
    assert seen["there"] == 300  # in the page; more come as one scrolls
    assert 300 < seen["more"] < 2000
    assert 0 < seen["drawn"] < 200  # only what is near the window
    assert seen["drawn"] < seen["after"] < 400
    browser.press("End")
    last = browser.run(
        "await wait(300); return [names().length, focus(), all('.thumb').at(-1).children.length]"
    )
    assert last == [2000, "g0", 1]  # the highest overlap
    assert seen["found"] == 111  # g19, g190 to g199, g1900 to g1999
    assert max(seen["sort"], seen["filter"]) < 1000  # ms, on a slow and shared machine
