"""Sets too large to be set at once: their parts joined make the same document, and the maker hears of progress."""

import re
from io import BytesIO

import pikepdf
import pytest

from converter.printing import prepare, set_pages, typesetting
from tests.printing.reading import read
from tests.printing.test_documents import expand, headings, index_rows


class Made:
    """What ``index_rows`` needs of printed documents."""

    def __init__(self, files: dict[str, bytes]) -> None:
        self.files = files

    def pages(self, name: str):
        return read(self.files[name])


@pytest.fixture(scope="module")
def in_parts(printed):
    """The capitals as in one piece, and set in parts of four."""
    whole = printed("capitals_3x4in")
    heard: list[tuple[str, int, int]] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(typesetting, "PART", 4)
        files = set_pages(whole.job, lambda *told: heard.append(told))
    return whole, Made(files), heard


@pytest.mark.parametrize("document", ["characters.pdf", "proof.pdf", "sheets.pdf"])
def test_parts_joined_have_the_same_pages_bookmarks_and_numbers(in_parts, document):
    whole, parts, _ = in_parts
    one, other = whole.pages(document), parts.pages(document)
    if document != "proof.pdf":  # proofs that share a page may be parted differently
        assert len(one) == len(other)
        assert headings(whole.files[document]) == headings(parts.files[document])
    for n, page in enumerate(other, 1):
        foot = next(run.text for run in page.runs if re.search(r" page \d+ of \d+", run.text))
        assert foot.endswith(f"page {n} of {len(other)}")
    with pikepdf.open(BytesIO(parts.files[document])) as pdf:
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"  # ISO 32000-1, 12.2, table 150
        assert str(pdf.Root.Lang).startswith("en")
        assert list(pdf.Root.PageLabels.Nums)[1].St == 1  # ISO 32000-1, 12.4.2
        assert "/StructTreeRoot" not in pdf.Root  # one that knows only the first part would be wrong


def test_the_page_guide_is_right_for_a_document_in_parts(in_parts):
    _, parts, _ = in_parts
    starts = headings(parts.files["characters.pdf"])
    for name, (characters, _) in index_rows(parts).items():
        assert expand(characters)[0] == starts[name][0]


def test_templates_stay_where_they_are(in_parts):
    whole, parts, _ = in_parts
    for one, other in zip(whole.pages("characters.pdf"), parts.pages("characters.pdf"), strict=True):
        assert len(one.polygons) == len(other.polygons)
        assert all(a.equals_exact(b, 0.01) for a, b in zip(one.polygons, other.polygons, strict=True))


def test_the_same_bytes_in_parts_too(in_parts):
    whole, parts, _ = in_parts
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(typesetting, "PART", 4)
        assert set_pages(whole.job)["characters.pdf"] == parts.files["characters.pdf"]


def test_progress_goes_up_to_the_number_of_characters(in_parts, printed):
    _, _, heard = in_parts
    count = len(printed("capitals_3x4in").job.characters)
    for what in ("characters.pdf", "proof.pdf"):
        done = [d for name, d, of in heard if name == what and of == count]
        assert done == sorted(done)
        assert (done[0], done[-1]) == (0, count)
        assert len(done) == 2 + (count - 1) // 4
    drawn: list[tuple[str, int, int]] = []
    prepare(printed("large_12x16in", "letter").pattern, tell=lambda *told: drawn.append(told))
    assert [told for told in drawn if told[0] == "drawing"] == [("drawing", n, 2) for n in range(3)]
