"""The contact sheet: every block once, with its name and status, on pages that are pictures, too."""

from dataclasses import replace
from io import BytesIO

import pypdfium2
import pytest
from PIL import Image

from converter.model import Glyph
from converter.pattern import to_json
from converter.printing.contact import PIXELS_PER_INCH, contact_sheet
from tests.cli.running import assert_told_in_one_line, run
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle

MAKERS = (letter_i(), letter_t(), triangle(), plus())


def many(count):
    glyphs = [
        replace(MAKERS[n % 4], key=f"kelp-{n}", name=f"kelp-{n}", text="", codepoints=(), status=status)
        for n, status in zip(range(count), ["ready", "review", "ready", "redesign"] * count, strict=False)
    ]
    return sample_pattern(*glyphs, Glyph("bare", "bare", (), "", "blank"))


def texts(pdf):
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)]


def test_every_block_is_there_once_with_its_name_and_status():
    pattern = many(150)
    files = contact_sheet(pattern, pattern.glyphs, columns=10)
    words = " ".join(texts(files["contact.pdf"])).split()
    assert [w for w in words if w.startswith("kelp-")] == [f"kelp-{n}" for n in range(150)]
    assert [words.count(status) for status in ("ready", "review", "redesign", "blank")] == [75, 38, 37, 1]
    pictures = [name for name in files if name.endswith(".png")]
    assert len(pictures) == len(texts(files["contact.pdf"])) == 2
    for name in pictures:
        # ISO 216: A4 is 210 mm by 297 mm
        expected = [round(side / 25.4 * PIXELS_PER_INCH) for side in (210, 297)]
        assert Image.open(BytesIO(files[name])).size == pytest.approx(expected, abs=1)


def test_pages_set_a_few_at_a_time_are_numbered_through(monkeypatch):
    pattern = many(24)
    whole = contact_sheet(pattern, pattern.glyphs, columns=2)
    monkeypatch.setattr("converter.printing.contact.PAGES_AT_ONCE", 2)
    parts = contact_sheet(pattern, pattern.glyphs, columns=2)
    assert texts(parts["contact.pdf"]) == texts(whole["contact.pdf"])
    assert {n: d for n, d in parts.items() if n != "contact.pdf"} == {
        n: d for n, d in whole.items() if n != "contact.pdf"
    }


def test_the_command_shows_what_is_asked_for(tmp_path):
    (tmp_path / "pattern.json").write_text(to_json(many(12)), encoding="utf-8")
    result = run("contact", tmp_path, "--only", "{kelp-1*}")
    assert result.exit_code == 0, result.output
    assert "3 blocks on 1 page" in result.stdout
    (text,) = texts((tmp_path / "contact/contact.pdf").read_bytes())
    assert [w for w in text.split() if w.startswith("kelp-")] == ["kelp-1", "kelp-10", "kelp-11"]
    assert (tmp_path / "contact/contact-001.png").exists()
    (tmp_path / "names.txt").write_text("kelp-2\n")
    assert "1 block on" in run("contact", tmp_path, "--only-from", tmp_path / "names.txt").stdout
    assert_told_in_one_line(run("contact", tmp_path, "--only", "{moss*}"))
