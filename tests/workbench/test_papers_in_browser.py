"""Paper and words in a real browser."""

import io
import re

import pdfplumber
import pytest
from playwright.sync_api import expect

from converter.folder.reading import read_papers
from tests.workbench.test_guard import ask


def test_the_papers_are_made_and_can_be_looked_at(look, server, folder):
    page = look("#/set/paper")
    expect(page.locator(".papers")).to_contain_text("None have been made")
    page.get_by_role("button", name="Make the papers").click()
    expect(page.locator(".told")).to_have_text("Made.", timeout=300_000)
    links = page.locator(".papers a")
    assert "sheets.pdf" in links.all_inner_texts()
    answer = page.request.get(server.address + "api/sets/set/papers/sheets.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    with pdfplumber.open(io.BytesIO(answer.body())) as document:
        assert document.pages[0].width == pytest.approx(210 / 25.4 * 72, abs=1)  # A4: ISO 216
    assert read_papers(folder)["print"].command == "print"  # so that print --stale knows them
    for name in ("pattern.json", "..%2fpattern.json", "nothing.pdf"):
        assert ask(server, f"/{server.token}/api/sets/set/papers/{name}") == 404


def test_a_word_is_laid_out_as_it_is_typed(look):
    page = look("#/set/words")
    field = page.get_by_label("text")
    field.fill("ROB", timeout=60_000)
    expect(page.locator(".laid img")).to_have_attribute("alt", re.compile("ROB, laid out; finished"))
    one = page.locator(".laid h2").first.inner_text()
    field.fill("ROB\nTOR")
    expect(page.locator(".laid h2").first).not_to_have_text(one)
    assert page.locator(".laid img").evaluate("(i) => i.naturalWidth") > 0
    assert page.locator(".laid tbody tr").count() >= 2
    page.get_by_label("letters").fill("kelp, rust")
    expect(page.locator(".laid tbody")).to_contain_text("rust")
    field.fill("Ж")
    expect(page.locator(".told.fault")).to_be_visible()
    assert all("400" in fault for fault in look.faults)
    look.faults.clear()
