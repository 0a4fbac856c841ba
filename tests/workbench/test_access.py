"""What everybody needs of the page: axe-core's rules for WCAG 2.2 A and AA; narrow screens, fingers, paper."""

import pytest
from axe_playwright_python.sync_playwright import Axe

PLACES = ["#/", "#/set", "#/set/letter/R_", "#/set/family/round%20capitals", "#/set/paper", "#/set/words"]
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


def shown(page, place):
    page.wait_for_selector("h1", timeout=60_000)
    if "letter" in place:
        page.wait_for_selector(".editor .handle", state="attached", timeout=60_000)
    page.wait_for_timeout(300)
    return page


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("place", PLACES)
def test_axe_finds_nothing_serious(look, place, scheme):
    # The page's own policy lets no other script run; axe is put in beside it.
    page = shown(look(place, color_scheme=scheme, bypass_csp=True), place)
    found = Axe().run(page, options=RULES).response["violations"]
    grave = [(v["id"], v["impact"], [n["html"][:160] for n in v["nodes"][:3]]) for v in found]
    assert [v for v in grave if v[1] in ("serious", "critical")] == [], grave


@pytest.mark.parametrize("size", [(1280, 800), (820, 1180), (390, 844)])
@pytest.mark.parametrize("place", PLACES)
def test_nothing_is_wider_than_the_screen(look, place, size):
    page = shown(look(place, viewport={"width": size[0], "height": size[1]}), place)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]


def test_a_letter_fits_a_screen_without_scrolling_the_drawing_away(look):
    page = shown(look(PLACES[2]), PLACES[2])
    box = page.locator(".editor").bounding_box()
    assert box["y"] + box["height"] <= 800


def test_a_letter_can_be_redrawn_with_a_finger(look):
    page = shown(look(PLACES[2], viewport={"width": 820, "height": 1180}, has_touch=True), PLACES[2])
    assert page.evaluate("getComputedStyle(document.querySelector('.editor')).touchAction") == "none"
    # WCAG 2.2, 2.5.8: targets of 24 CSS pixels; a corner's is a stroke of that width, which does not scale.
    assert page.evaluate("getComputedStyle(document.querySelector('.corner .grip')).strokeWidth") == "24px"


def test_on_paper_the_controls_are_gone(look):
    page = shown(look(PLACES[2]), PLACES[2])
    page.emulate_media(media="print")
    assert page.locator(".acts").is_hidden()
    assert page.locator(".editor").is_visible()
    assert page.locator(".figures").is_visible()
