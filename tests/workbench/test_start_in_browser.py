"""From a dropped font to a set, in a real browser."""

import base64

import pytest
from playwright.sync_api import expect

from converter.folder.reading import read_pattern
from tests.cli.running import contents
from tests.workbench.server import FONT, started


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """An empty folder, in which the command runs."""
    return tmp_path_factory.mktemp("village")


@pytest.fixture(scope="module")
def server(folder):
    server = started(cwd=folder)
    yield server
    code, _, error = server.stop()
    assert (code, error) == (0, "")


def drop(page, data: bytes, name: str) -> None:
    """A file dropped on the page, as by a hand."""
    page.wait_for_selector(".drop", timeout=60_000)
    page.evaluate(
        """async ([data, name]) => {
      const bytes = Uint8Array.from(atob(data), (c) => c.charCodeAt(0)), transfer = new DataTransfer();
      transfer.items.add(new File([bytes], name));
      for (const kind of ["dragover", "drop"])
        document.querySelector(".drop").dispatchEvent(
          new DragEvent(kind, { dataTransfer: transfer, bubbles: true, cancelable: true }));
    }""",
        [base64.b64encode(data).decode(), name],
    )


def test_a_dropped_font_becomes_a_set(look, folder):
    page = look()
    expect(page.locator(".top")).to_contain_text("no converted set")
    drop(page, FONT.read_bytes(), FONT.name)
    expect(page.get_by_role("heading", name="Jost ExtraBold")).to_be_visible()
    page.get_by_label("characters", exact=True).fill("IL7")
    page.get_by_label("block").fill("75x100mm")
    page.get_by_label("detail").select_option("plain")
    page.get_by_label("effort").select_option("draft")
    page.get_by_label("folder").fill("drawers")
    page.get_by_role("button", name="Convert").click()
    expect(page.locator(".sheet li")).to_have_count(3, timeout=240_000)
    pattern = read_pattern(folder / "out/drawers")
    assert [glyph.text for glyph in pattern.glyphs] == ["I", "L", "7"]
    assert (pattern.block.width, pattern.block.height) == (75, 100)
    assert (folder / "out/drawers/font" / FONT.name).read_bytes() == FONT.read_bytes()
    expect(page.locator(".note")).to_have_count(0)  # its font is found

    page.get_by_role("link", name="Sets").click()
    expect(page.locator(".sets li")).to_have_count(1)


def test_what_cannot_be_converted_is_told_and_leaves_nothing(look, folder):
    page = look("#/")
    before = contents(folder)
    drop(page, b"%PDF-1.7", "seeds.pdf")
    expect(page.locator(".told.fault")).to_contain_text("not a font but a PDF")
    drop(page, FONT.read_bytes(), "../../../etc/cron.d/x.woff2")
    page.get_by_label("folder").fill("../outside", timeout=60_000)
    page.get_by_role("button", name="Convert").click()
    expect(page.locator(".told.fault")).to_contain_text("is no name for a folder")
    page.get_by_label("folder").fill("large")
    page.get_by_label("block").fill("3 leagues")
    page.get_by_role("button", name="Convert").click()
    expect(page.locator(".told.fault")).to_be_visible()
    page.get_by_label("block").fill("3x4in")
    page.get_by_label("characters", exact=True).fill("ж")
    page.get_by_role("button", name="Convert").click()
    expect(page.locator(".told.fault")).to_contain_text("none of these characters")
    assert contents(folder) == before
    assert all("400" in fault for fault in look.faults)
    look.faults.clear()


def test_a_conversion_can_be_stopped(look, folder):
    page = look("#/")
    before = contents(folder)
    drop(page, FONT.read_bytes(), FONT.name)
    page.get_by_role("button", name="capitals").click(timeout=60_000)
    page.get_by_label("effort").select_option("thorough")
    page.get_by_label("folder").fill("stopped")
    page.get_by_role("button", name="Convert").click()
    page.get_by_role("button", name="Stop").click()
    expect(page.locator(".told")).to_have_text("Stopped; nothing was written.", timeout=120_000)
    assert contents(folder) == before
    assert not (folder / "out/stopped").exists()
