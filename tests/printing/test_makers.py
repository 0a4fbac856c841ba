"""What stands on makers', testers' and children's pages, and what stays with the designer."""

import re
from dataclasses import replace

import pytest

from converter.findings.likeness import LIKENESS
from converter.model import Finding
from converter.printing import prepare, set_pages
from converter.printing.colouring import GAP, MOST_ON_A_PAGE, colouring_items
from converter.printing.paper import BODY
from tests.printing.reading import read
from tests.samples import sample_pattern

DOCUMENTS = ("instructions.pdf", "characters.pdf", "sheets.pdf", "proof.pdf", "colouring.pdf")


def close(text):
    return re.sub(r"\s", "", text)


def words_of(pdf):
    return close(" ".join(run.text for page in read(pdf) for run in page.runs))


@pytest.fixture(scope="module")
def judged():
    """A set whose blocks have every finding of likeness, and some of sewing; one of them is not to be sewn."""
    unlike = [Finding(name, "review", f"Message of {name}.") for name in sorted(LIKENESS)]
    hard = [
        Finding("sharp-corner", "note", "Message of a point.", 12.2, 14.0, piece="A2", hint="Accepted: held"),
        Finding("narrow-piece", "redesign", "Message in inches.", 2.0, 3.175, piece="A1"),
    ]
    first, second, *others = sample_pattern().glyphs
    glyphs = (
        replace(first, status="review", reasons=(*unlike, *hard)),
        replace(second, status="redesign", reasons=(*unlike, hard[1])),
        *others,
    )
    return replace(sample_pattern(), glyphs=glyphs)


def test_a_makers_page_advises_on_sewing_in_its_own_unit_and_never_speaks_of_the_font(judged):
    for units, width in (("in", "about 1/16 in wide"), ("mm", "2 mm wide")):
        files = set_pages(prepare(judged, units=units))
        texts = {name: words_of(files[name]) for name in DOCUMENTS}
        for text in texts.values():
            assert close("Message of") not in text
            assert close("Message in") not in text
        assert close("Piece A2 ends in a point of 12°") in texts["characters.pdf"]
        assert close(f"Piece A1 is {width}: sew exactly on its lines.") in texts["characters.pdf"]
        left_out = judged.glyphs[1].text
        assert (
            close(f"There are no templates for {left_out} in blocks of this size.")
            in texts["instructions.pdf"]
        )


def test_testers_are_asked_for_looks_level_and_fabric(printed):
    made = printed("capitals_3x4in")
    text = words_of(made.files["proof.pdf"])
    count = len(made.job.selection.glyphs)
    for words in ("it looks", "good", "so-so", "the patches were", "the fabric was", "far too much"):
        assert text.count(close(words)) >= count
    for glyph in made.job.selection.glyphs:
        assert close(f"“{glyph.metrics.level}” is") in text


def test_the_alphabet_to_colour_in_takes_one_page_and_fills_it(printed):
    made = printed("capitals_3x4in")
    (page,) = made.pages("colouring.pdf")
    glyphs = made.job.selection.glyphs
    assert len(glyphs) == 26
    ((data, figures),) = colouring_items(made.pattern, glyphs)
    assert set(figures) == {f"{glyph.key}/blank" for glyph in glyphs}
    assert len(data["pictures"]) == 26
    wide, high = (max(p[side] for p in data["pictures"]) for side in ("width", "height"))
    rows = -(-26 // data["columns"])
    across, down = data["columns"] * (wide + GAP), rows * (high + GAP)
    assert across <= BODY[0] + GAP + 0.01
    assert down <= BODY[1] + GAP - data["heading"] + 0.01
    assert across > BODY[0] - 1 or down > BODY[1] - data["heading"] - 1
    blocks = [p for p in page.polygons if abs(p.bounds[2] - p.bounds[0] - wide) < 0.3]
    assert len(blocks) >= 26


def test_many_blocks_to_colour_in_take_pages_of_about_as_many_each():
    glyph = sample_pattern().glyphs[0]
    many = tuple(replace(glyph, key=f"k{n}") for n in range(2 * MOST_ON_A_PAGE + 1))
    pages = colouring_items(replace(sample_pattern(), glyphs=many), many)
    assert [len(data["pictures"]) for data, _ in pages] == [21, 21, 19]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_instructions_are_five_pages_and_none_is_nearly_empty(printed, paper):
    pages = printed("capitals_3x4in", paper).pages("instructions.pdf")
    assert len(pages) == 5
    for page in pages[1:]:
        body = [run.middle[1] for run in page.runs if run.middle[1] < page.height - 25]
        assert max(body) > 0.6 * page.height
