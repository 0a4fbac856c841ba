from functools import cache
from pathlib import Path

import pytest

from converter.model import Pattern
from converter.pattern import from_json
from converter.printing import Job, prepare, set_pages
from converter.printing.paper import PaperName
from tests.printing.reading import Page, read

PATTERNS = Path(__file__).parent / "patterns"


class Printed:
    """A pattern that is printed once for all tests, and read back once."""

    def __init__(self, name: str, paper: PaperName, only: str | None, include_redesign: bool) -> None:
        self.pattern: Pattern = from_json((PATTERNS / f"{name}.json").read_text(encoding="utf-8"))
        self.job: Job = prepare(self.pattern, paper=paper, only=only, include_redesign=include_redesign)
        self.files = set_pages(self.job)
        self._pages: dict[str, list[Page]] = {}

    def pages(self, name: str) -> list[Page]:
        if name not in self._pages:
            self._pages[name] = read(self.files[name])
        return self._pages[name]


@cache
def _printed(name: str, paper: PaperName, only: str | None, include_redesign: bool) -> Printed:
    return Printed(name, paper, only, include_redesign)


@pytest.fixture(scope="session")
def printed():
    def make(
        name: str, paper: PaperName = "a4", only: str | None = None, include_redesign: bool = False
    ) -> Printed:
        return _printed(name, paper, only, include_redesign)

    return make
