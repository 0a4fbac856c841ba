"""The documents as files: where things lie, what the guide says, what viewers are told, how many pages."""

import os
import re
import subprocess
import sys
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from time import process_time
from xml.etree import ElementTree

import numpy as np
import pikepdf
import pytest
from shapely import LineString

from converter.errors import InputError
from converter.pattern import to_json
from converter.printing import prepare, set_pages
from converter.printing.instructions import square_rows
from converter.printing.paper import AREA, BODY, PAPERS
from tests.drawing.reading import SVG, turned_box
from tests.printing.conftest import PATTERNS
from tests.printing.reading import read, render
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle

DOCUMENTS = ("instructions.pdf", "characters.pdf", "sheets.pdf", "proof.pdf", "colouring.pdf")
# A4: ISO 216. Letter: ANSI/ASME Y14.1 size A. What is on both papers: derived.
SIZES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
COMMON = (210.0, 279.4)
QUARTER_INCH = 6.35  # margin that home printers can print: common practice, no source


def outside_is_white(pdf: bytes, width: float, height: float, dpi: int = 60) -> bool:
    """Whether nothing is drawn outside a centred area of that size in mm."""
    for picture in render(pdf, dpi):
        rows, columns = picture.shape
        x, y = (columns / dpi * 25.4 - width) / 2, (rows / dpi * 25.4 - height) / 2
        left, top = int(np.floor(x / 25.4 * dpi)), int(np.floor(y / 25.4 * dpi))
        outside = np.ones_like(picture, dtype=bool)
        outside[top : rows - top, left : columns - left] = False
        if picture[outside].min() < 250:
            return False
    return True


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", ["capitals_3x4in", "large_12x16in"])
def test_everything_lies_in_the_area_that_both_papers_share(printed, name, paper):
    for document in DOCUMENTS:
        pdf = printed(name, paper).files[document]
        assert outside_is_white(pdf, COMMON[0] - 2 * QUARTER_INCH, COMMON[1] - 2 * QUARTER_INCH)


def test_nothing_hidden_lies_outside_the_area(printed):
    """Parts of large templates are cut, not only covered: measured on the paths, seen or not."""
    made = printed("large_12x16in", "letter")
    x, y = ((SIZES["letter"][k] - COMMON[k]) / 2 + QUARTER_INCH for k in (0, 1))
    for document in ("characters.pdf", "sheets.pdf", "proof.pdf"):
        for page in made.pages(document):
            ends = np.array([end for segment in page.segments for end in segment.coords])
            assert ends.min(axis=0) == pytest.approx(np.maximum(ends.min(axis=0), (x, y)), abs=0.05)
            limit = (page.width - x, page.height - y)
            assert ends.max(axis=0) == pytest.approx(np.minimum(ends.max(axis=0), limit), abs=0.05)


def test_a_mark_outside_the_area_would_be_noticed(printed):
    pdf = printed("capitals_3x4in").files["sheets.pdf"]
    assert not outside_is_white(pdf, BODY[0] - 30, BODY[1])
    assert not outside_is_white(pdf, BODY[0], BODY[1] - 30)


def test_templates_stay_on_the_paper_even_if_a_page_is_lined_up_with_a_corner():
    """The body of either paper's page, laid on the other paper's corner instead of its middle."""
    for mine, other in (("a4", "letter"), ("letter", "a4")):
        for side, body in enumerate(BODY):
            start = (SIZES[mine][side] - body) / 2
            for shift in (0.0, SIZES[other][side] - SIZES[mine][side]):
                assert start + shift >= 3.0 - 1e-9
                assert start + shift + body <= SIZES[other][side] - 3.0 + 1e-9
    assert AREA[0] <= COMMON[0] - 2 * QUARTER_INCH
    assert all(PAPERS[name] == pytest.approx(size) for name, size in SIZES.items())


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_viewers_are_told_not_to_scale(printed, paper):
    made = printed("capitals_3x4in", paper)
    for name in DOCUMENTS:
        with pikepdf.open(BytesIO(made.files[name])) as document:
            root = document.Root
            assert root.ViewerPreferences.PrintScaling == "/None"  # ISO 32000-1, 12.2, table 150
            assert str(root.Lang).startswith("en")
            assert "Archivo Black" in str(document.docinfo["/Title"])
            assert len(root.PageLabels.Nums) >= 2
            assert "/CreationDate" not in document.docinfo
            assert "/ModDate" not in document.docinfo
            assert b"CreateDate" not in bytes(root.Metadata.read_bytes())
            with document.open_outline() as outline:
                assert len(list(outline.root)) >= (1 if name == "colouring.pdf" else 5)
            width, height = (float(v) * 25.4 / 72 for v in document.pages[0].MediaBox[2:])
            assert (width, height) == pytest.approx(SIZES[paper], abs=0.01)
            fonts = {
                str(font.BaseFont).split("+")[-1]
                for page in document.pages
                for font in page.resources.get("/Font", {}).values()
            }
            assert {re.sub(r"-Identity-H$", "", f) for f in fonts} <= {
                "AtkinsonHyperlegibleNext-Regular",
                "AtkinsonHyperlegibleNext-Bold",
                "DejaVuSansMono",
                "DejaVuSansMono-Bold",
            }


def headings(pdf: bytes) -> dict[str, list[int]]:
    """The outline: each title's pages, from 1."""
    found: dict[str, list[int]] = {}
    with pikepdf.open(BytesIO(pdf)) as document, document.open_outline() as outline:
        numbers = {page.objgen: n for n, page in enumerate(document.pages, 1)}
        for item in outline.root:
            found.setdefault(item.title, []).append(numbers[item.destination[0].objgen])
    return found


def expand(ranges: str) -> list[int]:
    pages: list[int] = []
    for part in filter(None, ranges.split(",")):
        first, _, last = part.strip().partition("–")
        pages += range(int(first), int(last or first) + 1)
    return pages


def test_the_page_guide_gives_the_real_page_numbers(printed):
    made = printed("capitals_3x4in")
    rows = index_rows(made)
    starts = headings(made.files["characters.pdf"])
    assert set(rows) == {g.text for g in made.job.selection.glyphs}
    tags = [{run.text[0] for run in page.runs if "section" in run.text} for page in made.pages("sheets.pdf")]
    order = [*(starts[g.text][0] for g in made.job.selection.glyphs), len(made.pages("characters.pdf")) + 1]
    for n, glyph in enumerate(made.job.selection.glyphs):
        characters, sheets = rows[glyph.text]
        assert expand(characters) == list(range(order[n], order[n + 1]))
        assert expand(sheets) == [page for page, found in enumerate(tags, 1) if glyph.text in found]


def index_rows(made) -> dict[str, tuple[str, str]]:
    """Of the page guide in the instructions: each character's page numbers."""
    for page in made.pages("instructions.pdf"):
        texts = [run for run in page.runs if run.text]
        start = next((n for n, run in enumerate(texts) if run.text == "Character by character"), None)
        if start is not None:
            cells = [run.text for run in texts[start + 1 :] if run.text not in ("characters", "sheets")]
            return {a: (b, c) for a, b, c in zip(cells[::3], cells[1::3], cells[2::3], strict=True)}
    raise AssertionError("there is no page guide")


def test_the_guide_lists_kinds_and_a_word(printed):
    pages = printed("thirty_three_1.5x2in", include_redesign=True).pages("instructions.pdf")
    text = " ".join(run.text for page in pages for run in page.runs)
    for words in ("capital letters", "digits", "signs and symbols", "everything"):
        assert words in text
    assert "KELP" in {
        run.text for page in printed("capitals_3x4in").pages("instructions.pdf") for run in page.runs
    }


def test_few_sheets(printed):
    # A–Z at 3 × 4 in: at most 1.35 times the template area ÷ page area
    made = printed("capitals_3x4in").job.sheets
    assert made.pages <= 1.35 * made.by_area
    # 33 characters at 1.5 × 2 in finished fit four sheets: common practice, no source
    everything = printed("thirty_three_1.5x2in", include_redesign=True)
    assert len(everything.job.selection.glyphs) == 33
    assert len(everything.pages("sheets.pdf")) <= 4


def test_a_set_is_printed_in_seconds():
    from converter.pattern import from_json

    pattern = from_json((PATTERNS / "capitals_3x4in.json").read_text(encoding="utf-8"))
    start = process_time()
    set_pages(prepare(pattern))
    assert process_time() - start < 15


def test_what_the_squares_measure_when_the_printer_shrank_the_page():
    # 0.94074 and 0.97267: derived from the two papers' sides
    for row, factor in ((1, 0.94074), (2, 0.97267)):
        assert square_rows("in")[row][1:] == [f"{factor:.3f} in", f"{2 * factor:.3f} in"]
        assert square_rows("mm")[row][1:] == [f"{2 * factor:.2f} cm", f"{5 * factor:.2f} cm"]
        assert square_rows("both")[row][1:] == [f"{factor:.3f} in", f"{5 * factor:.2f} cm"]


def test_the_same_bytes_wherever_it_runs(tmp_path):
    pattern = sample_pattern()
    (tmp_path / "pattern.json").write_text(to_json(pattern), encoding="utf-8")
    program = (
        "import sys, hashlib; from converter.pattern import from_json;"
        "from converter.printing import prepare, set_pages;"
        "files = set_pages(prepare(from_json(open(sys.argv[1]).read())));"
        "print({n: hashlib.sha256(b).hexdigest() for n, b in sorted(files.items())})"
    )
    outputs = set()
    for seed, zone in (("1", "UTC"), ("77", "Asia/Tokyo")):
        done = subprocess.run(
            [sys.executable, "-c", program, str(tmp_path / "pattern.json")],
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(Path.cwd())},
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        outputs.add(done.stdout)
    assert len(outputs) == 1
    for pdf in set_pages(prepare(pattern)).values():
        assert str(Path.cwd()).encode() not in pdf


def test_a_text_gets_as_many_templates_as_it_has_letters():
    pattern = sample_pattern(letter_i(), letter_t(), triangle(), plus())
    job = prepare(pattern, only="TITAT")
    assert job.selection.copies == {"T_": 3, "I_": 1, "A_": 1}
    figures = [spot.drawn.figure for page in job.sheets.packed for spot in page]
    assert figures.count("T_/template-A") == 3
    assert [c.glyph.text for c in job.characters] == ["T", "I", "A"]
    assert set(set_pages(job)) == set(DOCUMENTS)


def test_what_cannot_be_printed_is_told_in_a_line():
    from dataclasses import replace

    pattern = sample_pattern(replace(letter_i(), status="redesign"), letter_t())
    assert [g.text for g in prepare(pattern).selection.left_out] == ["I"]
    assert len(prepare(pattern, include_redesign=True).selection.glyphs) == 2
    for only, words in (("I", "cannot be sewn"), ("X", "lacks"), (" ", "nothing")):
        with pytest.raises(InputError, match=words):
            prepare(pattern, only=only)
    with pytest.raises(InputError, match="can be sewn"):
        prepare(sample_pattern(replace(letter_i(), status="redesign")))


def test_leaders_of_the_marked_example_cross_no_text_and_keep_apart(printed):
    from converter.printing.callouts import example, template_callouts

    job = printed("capitals_3x4in").job
    shown = example(d for c in job.characters for d in c.templates)
    notes = template_callouts(shown, 12.0)
    assert len(notes) >= 8
    assert {"left", "right"} == {note["side"] for note in notes}
    for side in ("left", "right"):
        heights = sorted(note["y"] for note in notes if note["side"] == side)
        assert all(b - a > 4 for a, b in pairwise(heights))
    boxes = [
        b for b in map(turned_box, ElementTree.fromstring(shown.template.svg).iter(SVG + "text")) if b.area
    ]
    for note in notes:
        rim = 0.0 if note["side"] == "left" else shown.template.width
        start = note["x"] + (-1 if rim == 0.0 else 1) * (note["clear"] + 0.3)
        leader = LineString([(start, note["y"]), (rim, note["y"])])
        assert not any(leader.intersects(box) for box in boxes), note


def test_a_set_of_one_has_a_large_cover_and_is_counted_as_one():
    job = prepare(sample_pattern(letter_t()))
    first, second = read(set_pages(job)["instructions.pdf"])[:2]
    picture = max(polygon.area for polygon in first.polygons)
    assert picture > 0.3 * 60 * 80  # the block is 60 × 80 mm
    assert "1 capital letter" in {run.text for run in second.runs}


def test_symbols_named_in_a_text_are_printed_without_braces():
    from dataclasses import replace

    drop = replace(letter_i(), key="drop", name="drop", text="\ue001", codepoints=(0xE001,))
    job = prepare(sample_pattern(letter_t(), drop), only="T{drop}T")
    assert job.selection.only == "T drop T"
    pages = read(set_pages(job)["instructions.pdf"])
    assert not any(re.search(r"[{}]", run.text) for page in pages for run in page.runs)
