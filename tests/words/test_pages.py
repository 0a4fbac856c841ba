"""The printed pages of words, and the cutting list on paper: read back from the PDF."""

import re
from dataclasses import replace
from io import BytesIO

import pdfplumber
import pikepdf
import pytest

from converter.fabric.cutting_list import CAUTION
from converter.measures import length_text, size_text
from converter.printing.cutting_pages import cutting_pages
from converter.printing.page import imprint_of
from converter.printing.paper import PAPERS
from converter.printing.words_documents import MOST_PACKED, print_words
from converter.printing.words_pages import strip_rows, title
from converter.words.colours import ColourPlan, parse_fabric
from converter.words.frames import Frame, Sides
from converter.words.making import WordsJob, make_set, make_words
from converter.words.parts import LayoutSettings
from tests.printing.reading import read
from tests.printing.test_documents import COMMON, QUARTER_INCH, headings, outside_is_white
from tests.samples import sample_pattern

RUST, SHELL = parse_fabric("rust"), parse_fabric("shell")
JOB = WordsJob(
    "TA IT\n+I",
    LayoutSettings(spacing=12.7, border=Sides.all(25.4), frame=Frame(width=76.2, height=101.6)),
    ColourPlan((RUST, SHELL), "word", border=parse_fabric("slate")),
    copies=2,
    finished=True,
)


@pytest.fixture(scope="module")
def made():
    return make_words(sample_pattern(), JOB)


@pytest.fixture(scope="module")
def files(made):
    return print_words(made)


def text(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in pdfplumber.open(BytesIO(pdf)).pages)


def in_one_line(pdf: bytes) -> str:
    return " ".join(text(pdf).split())


@pytest.mark.parametrize("paper", PAPERS)
def test_pages_keep_to_what_both_papers_share_and_ask_not_to_be_scaled(made, paper):
    for name, pdf in print_words(made, paper).items():
        if name not in ("words.pdf", "cutting-list.pdf"):
            continue  # the others are tested where they are made
        assert outside_is_white(pdf, COMMON[0] - 2 * QUARTER_INCH, COMMON[1] - 2 * QUARTER_INCH)
        with pikepdf.open(BytesIO(pdf)) as document:
            assert document.Root.ViewerPreferences.PrintScaling == "/None"  # ISO 32000-1, 12.2, table 150
            assert str(document.Root.Lang).startswith("en")
            assert str(document.docinfo["/Title"]).startswith("TA IT / +I: ")
            size = tuple(float(v) * 25.4 / 72 for v in document.pages[0].MediaBox[2:])
            assert size == pytest.approx(PAPERS[paper], abs=0.01)


@pytest.mark.parametrize(
    ("lines", "named"),
    [
        (("TA IT", "", "+I"), "TA IT / +I"),
        (("{leaf}",), "leaf"),
        (("SOW {leaf}{sun} IN",), "SOW leaf sun IN"),
        (("KELP " * 20,), ("KELP " * 20)[:59].rstrip() + "…"),
    ],
)
def test_a_title_is_what_the_words_say_on_one_line(made, lines, named):
    said = title(replace(made.layout, lines=lines))
    assert " ".join(said.split()) == named
    assert len(said) <= 60


def test_bookmarks_lead_to_what_there_is(files):
    assert list(headings(files["words.pdf"])) == [
        "TA IT / +I",
        "Plan your own colours",
        "Templates to print",
        "Assembly",
    ]
    assert list(headings(files["cutting-list.pdf"])) == ["What to buy"]


def test_the_words_page_tells_sizes_fabrics_contrast_and_warnings(made, files):
    said = in_one_line(files["words.pdf"])
    layout = made.layout
    assert f"finished {size_text(layout.width, layout.height, 'in')}" in said
    assert f"with seam allowance {size_text(layout.width + 12.7, layout.height + 12.7, 'in')}" in said
    for row, sheet in zip(made.colouring.table, sorted_by_table(made), strict=True):
        assert f"{row.number} {row.label}" in said
        assert f"{row.colour} {sheet.buy}" in said
    # WCAG 2.2: (lighter + 0.05) / (darker + 0.05); by its formula rust on the set's background is 3.53.
    assert "rust on background 3.53:1 reads TA, +I" in said
    assert "shell on background 1.39:1 will not read well IT" in said
    assert CAUTION in said


def sorted_by_table(made):
    by_fabric = {sheet.fabric: sheet for sheet in made.sheets}
    return [by_fabric[row.id] for row in made.colouring.table]


def test_every_strip_and_every_step_is_on_paper(made, files):
    said = in_one_line(files["words.pdf"])
    rows = strip_rows(made)
    assert sum(count(row["ids"]) for row in rows) == len(made.layout.strips)
    for row in rows:
        assert f"{row['fabric']} {row['finished']} {row['cut']} {row['ids']}" in said
    for step in made.layout.steps:
        if not step.frames:
            assert step.text in said
    assert "Frame blocks 1.1 to 1.4, each with the strips round it" in said


def count(ids: str) -> int:
    ends = [part.replace("s", "").split("–") for part in ids.split(", ")]
    return sum(int(part[-1]) - int(part[0]) + 1 for part in ends)


def test_templates_are_counted_with_the_copies_and_found_on_their_pages(made, files):
    said = in_one_line(files["words.pdf"])
    for tag, copies in (("I", 4), ("T", 4), ("A", 2), ("+", 2)):
        assert f"{tag} {copies} × " in said
    drawn = [run.text for page in read(files["sheets.pdf"]) for run in page.runs]
    assert drawn.count("T section A") == made.layout.counts()["T_"] * JOB.copies


def test_very_many_copies_print_one_set_of_sheets_again():
    job = WordsJob("T", copies=MOST_PACKED + 1)
    said = in_one_line(print_words(make_words(sample_pattern(), job))["words.pdf"])
    assert f"Print sheets.pdf {MOST_PACKED + 1} times" in said


def test_characters_are_printed_in_the_fabrics_of_the_words(files):
    said = in_one_line(files["characters.pdf"])
    assert "rust" in said
    assert "letter" not in said.replace("letters", "")
    # I is sewn in shell in IT and in rust in +I; its page shows one and says where the other is.
    assert "Block 1.3 of the words is shown. Blocks in other fabrics: 2.2" in said
    bought = in_one_line(files["instructions.pdf"])
    assert "binding" in bought
    assert "slate" in bought


def test_the_cutting_list_on_paper_has_every_row(made, files):
    said = in_one_line(files["cutting-list.pdf"])
    for sheet in made.sheets:
        assert f"{sheet.label} {sheet.buy}" in said
        for row in sheet.patches:
            if sheet.strips:
                assert f"{row.number} {row.count} × {row.size} {row.what}" in said, row
        for strip in sheet.strips:
            assert f"{strip.count} × {strip.width} into" in said
    assert f"seam allowance of {length_text(6.35, 'in')}" in said


INCHES = re.compile(r"(?<![:.\d])\d[\d/ ]* (?:in|yd)\b")  # not the 3:1 of a contrast
METRIC = re.compile(r"\d (?:mm|cm|m)\b")


@pytest.mark.parametrize(("units", "own", "foreign"), [("in", INCHES, METRIC), ("cm", METRIC, INCHES)])
def test_units_are_not_mixed_on_a_page(units, own, foreign):
    job = WordsJob("TAT", LayoutSettings(target_width=400.0), units=units, finished=True)
    files = print_words(make_words(sample_pattern(), job))
    for name in ("words.pdf", "cutting-list.pdf"):
        # The scale bars at the foot are 1 in and 2 cm on every page: a check of the printer, not a size.
        said = text(files[name]).replace("1 in 2 cm", "")
        assert own.search(said)
        assert not foreign.findall(said)


def test_a_set_has_its_cutting_list_on_paper():
    made = make_set(sample_pattern(), "mm", 3, frame=Frame(width=90.0, height=110.0, fabric=RUST))
    pdf = cutting_pages(
        imprint_of(sample_pattern(), "mm").named("Village"),
        made.made_for,
        made.sheets,
        made.plans,
        made.cutting,
    )
    said = in_one_line(pdf)
    assert "for 3 of each of 4 blocks, framed" in said
    # Strips round 60 × 80 mm in 90 × 110 mm: 15 mm wide, cut 80 + 12.7 and 90 + 12.7 by 27.7 mm; 2 of each,
    # 4 blocks, 3 times = 24.
    assert "24 × 103 × 28 mm strip" in said
    assert "24 × 93 × 28 mm strip" in said


def test_the_same_words_make_the_same_bytes(made, files):
    assert print_words(make_words(sample_pattern(), JOB)) == files
