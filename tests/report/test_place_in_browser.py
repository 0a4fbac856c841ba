"""A page that is loaded again shows the same place, from a file and from a server, in a headless Chromium."""

import threading
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer

import pytest

from converter.folder.live import VERSION_FILE, live_report, version_file
from converter.model import Finding
from converter.report.html_report import report_html
from tests.report.browser import CHROMIUM, Browser
from tests.report.samples import SHARP, large_pattern, two_more

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="needs Debian's chromium (apt-get install chromium)")

PLACE = """
const at = () => {
  const top = document.querySelector(".tools").getBoundingClientRect().bottom;
  const first = all(".sheet li").find((li) => li.getBoundingClientRect().bottom > top);
  return [first.querySelector("b").textContent, Math.round(first.getBoundingClientRect().top)];
};
const place = () => ({
  names: names().length, count: document.querySelector(".tools output").value,
  status: all("[name=status]").map((box) => box.checked), order: document.querySelector("[name=order]").value,
  words: document.querySelector("[name=words]").value, outline: document.body.className, focus: focus(), at: at(),
  open: panel.open && ["#panel-title", ".caption", ".sub"].map((part) => document.querySelector(part).textContent)
    .concat([panel.className, panel.scrollTop]),
});
"""


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *_) -> None:
        pass

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-store")  # the two versions may be of one second
        super().end_headers()


@pytest.fixture(params=["file", "server"])
def watched(request, chromium, tmp_path) -> Iterator[tuple[Browser, str, object]]:
    """The browser, the page's address, and what writes a version of the page."""

    def write(version: str, *changed: Finding) -> None:
        pattern = large_pattern(200)
        glyphs = [
            replace(g, status="review", reasons=(SHARP,)) if n % 3 else g
            for n, g in enumerate(pattern.glyphs)
        ]
        glyphs[5] = replace(glyphs[5], reasons=changed or glyphs[5].reasons)
        html = report_html(replace(pattern, glyphs=tuple(glyphs)), alternatives={"g7": two_more(glyphs[7])})
        (tmp_path / "report.html").write_text(live_report(html, version), encoding="utf-8")
        (tmp_path / VERSION_FILE).write_text(version_file(version), encoding="utf-8")

    write("one")
    if request.param == "file":
        yield chromium, (tmp_path / "report.html").as_uri(), write
        return
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=tmp_path))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield chromium, f"http://127.0.0.1:{server.server_port}/report.html", write
    chromium.show("about:blank")
    server.shutdown()
    server.server_close()


def loaded_again(browser: Browser, write, *changed: Finding) -> None:
    browser.value("window.old = true")
    write("two", *changed)
    assert browser.is_again("!window.old"), "the page did not load itself again"
    assert browser.faults == []


def test_choice_order_search_and_scrolling_stay(watched):
    browser, address, write = watched
    browser.show(address)
    before = browser.run(f"""{PLACE}
    set("[name=status][value=ready]", false); set("[name=order]", "iou"); set("[name=words]", "g1");
    set("[name=outline]", false);
    document.querySelector("[name=words]").focus();
    scrollTo(0, 1000); await wait(400);
    return place();
    """)
    assert before["names"] == 75  # of g1, g10 to g19 and g100 to g199 those to review
    assert before["at"][1] < 300
    loaded_again(browser, write)
    after = browser.run(f"{PLACE} await wait(400); return place();")
    assert abs(after["at"].pop() - before["at"].pop()) <= 2  # CSS pixels
    assert after == before
    assert browser.value("scrollY") > 500


def test_the_open_character_its_alternative_and_its_step_stay(watched):
    browser, address, write = watched
    browser.show(address)
    before = browser.run(f"""{PLACE}
    set("[name=order]", "iou"); scrollTo(0, 700); await wait(300);
    cards[7].button.click(); all(".look")[2].click();
    set("[name=step]", 2); set("[name=numbers]", false); panel.scrollTop = 150;
    return place();
    """)
    assert before["open"][0] == "g7"
    assert before["open"][1].startswith("Step 3 of")
    assert "alternative 3" in before["open"][2]
    assert before["open"][3] == "hide-numbers"
    loaded_again(browser, write, Finding("odd", "review", "The shell has moved."))
    after = browser.run(f"{PLACE} await wait(300); return place();")
    assert after == before


def test_what_a_new_version_lacks_is_let_go(watched):
    browser, address, write = watched
    write("one", Finding("odd", "review", "The shell has moved."))
    browser.show(address)
    assert browser.run("set('[name=finding]', 'odd'); cards[5].button.click(); return names()") == ["g5"]
    loaded_again(browser, write)
    seen = browser.run("return [names().length, document.querySelector('[name=finding]').value, panel.open]")
    assert seen == [200, "", True]


def test_a_page_opened_afresh_begins_at_the_beginning(watched):
    browser, address, _ = watched
    browser.show(address)
    browser.run("set('[name=words]', 'g19'); scrollTo(0, 300)")
    browser.show("about:blank")
    browser.show(address)
    assert browser.run("return [names().length, scrollY, panel.open]") == [200, 0, False]


def test_a_place_that_cannot_be_read_is_let_go(page):
    browser = page(large_pattern(3))
    for kept in ("{", "null", "7", "[]", '{"fields": 3}', '{"fields": [1]}'):
        browser.value("window.old = true")
        browser.run(
            f"addEventListener('pagehide', () => sessionStorage.setItem(KEPT, {kept!r})); location.reload()"
        )
        assert browser.is_again("!window.old")
        assert browser.run("return [names().length, document.querySelector('.tools').hidden]") == [3, False]
