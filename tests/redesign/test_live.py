"""The watched report shows a new version by itself, in a real browser, from plain files."""

import time

import pytest

from converter.folder.live import VERSION_FILE, live_report, version_file
from converter.redesign.check import check_block
from converter.redesign.folder import checked_folder
from converter.report.html_report import report_html
from tests.redesign.hands import Hand
from tests.redesign.test_edits import pinwheel
from tests.report.browser import CHROMIUM, Browser
from tests.samples import letter_i, letter_t, sample_pattern


@pytest.mark.skipif(CHROMIUM is None, reason="needs Debian's chromium")
def test_the_page_reloads_and_keeps_the_open_character(tmp_path):
    def write(version, *glyphs):
        page = report_html(sample_pattern(*glyphs))
        (tmp_path / "report.html").write_text(live_report(page, version), encoding="utf-8")
        (tmp_path / VERSION_FILE).write_text(version_file(version), encoding="utf-8")

    write("one", letter_i(), letter_t())
    browser = Browser(tmp_path / "profile")
    try:
        browser.show(tmp_path / "report.html")
        browser.run("document.querySelectorAll('.sheet button')[1].click()")
        title = browser.value("document.querySelector('dialog[open] #panel-title').textContent")
        assert browser.value("document.querySelectorAll('.sheet button').length") == 2
        write("two", letter_i(), letter_t(), letter_t())
        end = time.monotonic() + 15
        while browser.value("document.querySelectorAll('.sheet button').length") != 3:
            assert time.monotonic() < end, "the page did not reload"
            time.sleep(0.1)
        time.sleep(0.3)
        assert browser.value("document.querySelector('dialog[open] #panel-title')?.textContent") == title
        assert browser.faults == []
    finally:
        browser.close()


@pytest.mark.skipif(CHROMIUM is None, reason="needs Debian's chromium")
def test_what_cannot_be_sewn_is_shown_in_the_report(tmp_path):
    hand = Hand()
    pinwheel(hand)
    drawing = hand.save()
    checked = check_block(sample_pattern(), "T_", drawing)
    assert checked.after.reasons[0].id == "pinwheel"
    done = checked_folder(sample_pattern(), (checked,), {}, {})
    page = tmp_path / "report.html"
    page.write_text(done.files["report.html"], encoding="utf-8")
    browser = Browser(tmp_path / "profile")
    try:
        browser.show(page)
        browser.run("document.querySelectorAll('.sheet button')[0].click(); await wait(300)")
        assert browser.value("document.querySelector('#panel-title').textContent") == "T"
        assert browser.value("document.querySelector('.drawing img').naturalWidth") > 0
        assert "cannot be sewn" in browser.value("document.querySelector('.drawing img').alt")
        assert "As drawn" in browser.value("document.querySelector('.caption').textContent")
        browser.run(
            "turned = document.querySelector('.steps input'); turned.value = 0;"
            "turned.dispatchEvent(new Event('input'))"
        )
        assert browser.value("document.querySelector('.drawing img')") is None
        assert "5 pieces lock each other" in browser.value("document.querySelector('.reasons').textContent")
        assert browser.faults == []
    finally:
        browser.close()


def test_the_plain_page_asks_for_nothing():
    page = report_html(sample_pattern())
    assert VERSION_FILE not in page
    assert page.count("</body>") == 1
    assert "script-src 'unsafe-inline'" in page
