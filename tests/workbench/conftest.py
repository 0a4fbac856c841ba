"""A set and a workbench that has it open, for all tests of a module."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.pipeline import convert
from converter.sets import write_set
from converter.settings import Settings
from tests.workbench.server import FONT, Server, started

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")  # Debian's
LETTERS = "BORT"


@pytest.fixture(scope="session")
def converted(tmp_path_factory) -> Path:
    """A small set that nobody changes."""
    folder = tmp_path_factory.mktemp("converted") / "set"
    font = load_font(FONT)
    conversion = convert(
        font, choose_glyphs(font, text=LETTERS).glyphs, judge_licence(font, FONT.parent), Settings()
    )
    write_set(folder, conversion)
    return folder


@pytest.fixture(scope="module")
def folder(tmp_path_factory, converted) -> Path:
    """A copy of it, one for a module."""
    import shutil

    folder = tmp_path_factory.mktemp("open") / "set"
    shutil.copytree(converted, folder)
    return folder


@pytest.fixture(scope="module")
def server(folder) -> Iterator[Server]:
    server = started(folder, "--font", FONT)
    yield server
    code, _, error = server.stop()
    assert (code, error) == (0, "")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield browser
        browser.close()


@pytest.fixture
def look(chromium, server) -> Iterator[Callable[..., Page]]:
    """Opens a place of the workbench in a tab of its own; at the end no tab may have had anything to complain about."""
    faults: list[str] = []
    contexts = []

    def show(place: str = "", **how: object) -> Page:
        context = chromium.new_context(**{"viewport": {"width": 1280, "height": 800}, **how})
        contexts.append(context)
        page = context.new_page()
        page.on(
            "console", lambda said: faults.append(said.text) if said.type in ("error", "warning") else None
        )
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.goto(server.address + place)
        return page

    show.faults = faults
    yield show
    for context in contexts:
        context.close()
    assert faults == []
