"""The benchmark of one hand: its rows and their means, what it finds in a row of letters, what is read."""

import pytest

from tests.benchmarks import hand
from tests.benchmarks.columns import HAND
from tests.benchmarks.reading import TESSERACT, read_letters
from tests.benchmarks.runs import run
from tests.fonts.makers import TEXT_FONTS


@pytest.fixture(scope="module")
def letters():
    return run(TEXT_FONTS[1], "OQoq1", effort="draft")


def test_capitals_small_letters_and_digits_are_measured_together(letters):
    assert [made.glyph.text for made in letters.inked] == list("OQoq1")
    cells = {name: column(letters) for name, column in HAND.items()}
    assert float(cells["pieces"]) == pytest.approx(sum(m.pieces for m in letters.metrics) / 5, abs=0.005)
    # Four crests has each round; that of the q is open where its stem stands.
    assert 14 <= int(cells["outer crests"]) <= 16
    assert float(cells["letters alike"]) == pytest.approx(
        1 - len(letters.like_parts.unlike_letters) / int(cells["like letters"]), abs=0.0005
    )
    ready = sum(glyph.status == "ready" for glyph in letters.done.pattern.glyphs)
    assert float(cells["ready"]) == pytest.approx(ready / 5)


@pytest.mark.skipif(TESSERACT is None, reason="needs tesseract (Debian: tesseract-ocr)")
def test_characters_of_every_kind_are_read(letters):
    reading = read_letters(letters.font, letters.done.pattern.glyphs)
    assert sorted(reading.outlines) == sorted("1OQoq")
    assert all(len(texts) == 3 for texts in reading.outlines.values())


def test_the_table_has_a_row_for_each_font_and_their_means(monkeypatch, capsys, letters):
    other = run(TEXT_FONTS[2], "Oo", effort="draft")
    runs = {TEXT_FONTS[1]: letters, TEXT_FONTS[2]: other}
    monkeypatch.setattr(hand, "run", lambda path, text: runs[path])
    hand.main([*map(str, runs), "--sets", "a-z"])
    head, *rows, last, _ = capsys.readouterr().out.splitlines()
    assert head.startswith("a-z")
    assert [row.split()[0] for row in rows] == [path.stem for path in runs]
    pieces = [float(HAND["pieces"](each)) for each in runs.values()]
    assert last.split()[:4] == ["mean", "of", "2", f"{sum(pieces) / 2:.3f}"]
