"""One browser for all tests that look at the report as a person does."""

from collections.abc import Callable, Iterator, Mapping

import pytest

from converter.model import Pattern
from converter.report.alternatives import Alternatives
from converter.report.html_report import report_html
from tests.report.browser import Browser


@pytest.fixture(scope="session")
def chromium(tmp_path_factory) -> Iterator[Browser]:
    browser = Browser(tmp_path_factory.mktemp("profile"))
    yield browser
    browser.close()


@pytest.fixture
def page(chromium, tmp_path) -> Iterator[Callable[..., Browser]]:
    """Opens a pattern's report; at the end the page must have had nothing to complain about."""

    def show(pattern: Pattern, alternatives: Mapping[str, Alternatives] | None = None) -> Browser:
        file = tmp_path / "report.html"
        file.write_text(report_html(pattern, alternatives=alternatives), encoding="utf-8")
        chromium.show(file)
        return chromium

    yield show
    chromium.value("1")  # takes in what the page said last
    assert chromium.faults == []
