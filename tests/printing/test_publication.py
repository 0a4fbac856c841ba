"""What a designer says of her pattern: on its pages, in its metadata, and nothing in it that runs."""

import io
import os
import re
import sys
from dataclasses import replace

import pikepdf
import pytest
from PIL import Image

from converter.artwork import safe_picture, with_pictures
from converter.errors import InputError
from converter.pattern import from_json, to_json
from converter.printing import prepare, set_pages
from converter.printing.commonmark import told
from converter.publication import Publication, publication_of, published, read_publication
from converter.settings import read_pattern_table
from tests.printing.reading import read
from tests.samples import sample_pattern

INTRODUCTION = """
The seed library keeps its seeds in drawers, and *every* drawer has a word.

We wanted letters that one can read from the door.

#set page(width: 10pt) <script>alert(1)</script> $x^2$ [kelp](https://example.org/kelp)

1. sown
2. sewn
"""
SAID = {
    "title": "Letters for Drawers",
    "designer": "Nora <b>Tang</b>",
    "copyright": "© 2026 The Seed Library",
    "contact": "nora@seedlibrary.example",
    "version": "1.2",
    "date": "spring 2026",
    "keywords": ["seeds", "alphabet"],
    "language": "en-GB",
    "introduction": INTRODUCTION,
    "terms": 'Sell what you sew. #import "@preview/x:1.0.0"',
}
LOGO = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20" onload="alert(1)"><style>.a{fill:#ff0000}</style>'
    '<rect class="a" width="40" height="20" style="stroke:url(http://example.org/x)"/></svg>'
)


def photograph(kind="JPEG", size=(600, 400)):
    out = io.BytesIO()
    Image.new("RGB", size, "#00ff00").save(out, kind)
    return out.getvalue()


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("set")
    (folder / "front.jpg").write_bytes(photograph())
    (folder / "sign.svg").write_text(LOGO, encoding="utf-8")
    table = SAID | {"cover": "front.jpg", "logo": "sign.svg"}
    said, paths = read_publication(table, "alphabet.toml: pattern")
    said, files = with_pictures(said, paths, folder / "alphabet.toml")
    pattern = from_json(to_json(published(sample_pattern(), said)))
    pictures = {path.rpartition("/")[2]: data for path, data in files.items()}
    return set_pages(prepare(pattern, pictures=pictures))


def words_on(page):
    return " ".join(run.text for run in page.runs)


def close(text):
    return re.sub(r"\s", "", text)


def test_what_is_said_is_on_cover_sheets_and_proof(printed):
    cover = close(words_on(read(printed["instructions.pdf"])[0]))
    for name in ("title", "designer", "copyright", "contact", "version", "date"):
        assert close(SAID[name]) in cover
    for document in ("characters.pdf", "sheets.pdf", "proof.pdf"):
        for page in read(printed[document]):
            text = close(words_on(page))
            assert close("Letters for Drawers, version 1.2 · © 2026 The Seed Library") in text
            assert close("print at 100 %, on one side · seam allowance 1/4 in") in text
            assert ("mirrored" in text) == (document != "proof.pdf")
    assert "templatesof" in close(words_on(read(printed["sheets.pdf"])[0]))


def test_paragraphs_are_set_and_never_run(printed):
    text = close(words_on(read(printed["instructions.pdf"])[1]))
    for words in (
        "and every drawer has a word", "#set page(width: 10pt) <script>alert(1)</script> $x^2$",
        "kelp (https://example.org/kelp)", "2.sewn", '#import "@preview/x:1.0.0"',
    ):  # fmt: skip
        assert close(words) in text
    assert "*every*" not in text


def test_pictures_are_on_the_cover(printed):
    import pypdfium2

    image = pypdfium2.PdfDocument(printed["instructions.pdf"])[0].render(scale=0.5).to_pil().convert("RGB")
    colours = dict(map(reversed, image.getcolors(10_000_000)))
    green = sum(n for (r, g, b), n in colours.items() if g > 220 and r < 60 and b < 60)
    red = sum(n for (r, g, b), n in colours.items() if r > 220 and g < 60 and b < 60)
    assert green > 0.1 * image.width * image.height
    assert red > 300


@pytest.mark.parametrize("document", ["instructions", "characters", "sheets", "proof"])
def test_the_metadata_say_it_too(printed, document):
    with pikepdf.open(io.BytesIO(printed[f"{document}.pdf"])) as pdf:
        info, metadata = pdf.docinfo, pdf.open_metadata()
        assert str(info["/Title"]) == f"Letters for Drawers: {document}"
        assert str(info["/Author"]) == "Nora <b>Tang</b>"
        assert str(info["/Keywords"]) == "seeds, alphabet"
        assert str(info["/Subject"]).startswith("Foundation-pieced blocks, made from the font ")
        assert "/CreationDate" not in info
        assert metadata["dc:title"] == f"Letters for Drawers: {document}"
        assert list(metadata["dc:creator"]) == ["Nora <b>Tang</b>"]
        assert str(pdf.Root.Lang) == "en-GB"
        # ISO 32000-1, 14.7 and 14.8: a tagged document has a structure tree and says that it is marked.
        assert pdf.Root.MarkInfo.Marked
        assert "/StructTreeRoot" in pdf.Root
        # ISO 14289-1, 5: the part of PDF/UA that a document says it keeps to.
        assert metadata["{http://www.aiim.org/pdfua/ns/id/}part"] == "1"
        assert pdf.Root.ViewerPreferences.DisplayDocTitle


def test_a_document_in_parts_says_it_too(monkeypatch):
    monkeypatch.setattr("converter.printing.typesetting.PART", 1)
    said, _ = read_publication(SAID, "pattern")
    files = set_pages(prepare(published(sample_pattern(), said)))
    with pikepdf.open(io.BytesIO(files["characters.pdf"])) as pdf:
        metadata = pdf.open_metadata()
        assert metadata["dc:title"] == "Letters for Drawers: characters"
        assert list(metadata["dc:creator"]) == ["Nora <b>Tang</b>"]
        assert metadata["pdf:Keywords"] == str(pdf.docinfo["/Keywords"]) == "seeds, alphabet"
        assert set(metadata["dc:language"]) == {"en-GB"}
        assert str(pdf.Root.Lang) == "en-GB"


def test_without_it_the_pages_bear_the_font_and_nobodys_name():
    pattern = sample_pattern()
    with pikepdf.open(io.BytesIO(set_pages(prepare(pattern))["sheets.pdf"])) as pdf:
        font = f"{pattern.source.family} {pattern.source.style}".strip()
        assert str(pdf.docinfo["/Title"]) == f"{font}: sheets"
        assert "/Author" not in pdf.docinfo


def test_the_pattern_file_keeps_it():
    said, _ = read_publication(SAID, "pattern")
    assert publication_of(from_json(to_json(published(sample_pattern(), said)))) == said
    assert published(published(sample_pattern(), said), Publication()) == sample_pattern()
    damaged = replace(
        sample_pattern(), settings={"pattern": {"title": "x", "cover": {"file": "../../etc/passwd"}}}
    )
    with pytest.raises(InputError, match="damaged"):
        publication_of(damaged)


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ("kelp", "must be a table"),
        ({"titel": "x"}, "unknown setting 'titel'; there is title, designer"),
        ({"title": 3}, "must be a text"),
        ({"title": "x" * 121}, "121 characters"),
        ({"title": "a\nb"}, "must be one line"),
        ({"introduction": "x" * 20_001}, "20001 characters"),
        ({"keywords": "seeds"}, "must be a list"),
        ({"language": "English; drop"}, "must be a code"),
        ({"cover": ["a.png"]}, "must be a text"),
    ],
)
def test_what_is_no_publication_is_told_in_a_line(table, message):
    with pytest.raises(InputError, match=message) as caught:
        read_publication(table, "alphabet.toml: pattern")
    assert "\n" not in str(caught.value)


def test_control_characters_and_overrides_are_dropped():
    said, _ = read_publication({"title": "Sea\u202egnisrever\x1b Glass"}, "pattern")
    assert said.title == "Seagnisrever Glass"


def huge_png():
    """A PNG of a few bytes that says it is 50,000 pixels wide and high (PNG 1.2, IHDR)."""
    import struct
    import zlib

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", 50_000, 50_000, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b""))
        + chunk(b"IEND", b"")
    )


SVG = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 9 9">'
BOMB = "".join(f'<g id="g{k + 1}"><use href="#g{k}"/><use href="#g{k}"/></g>' for k in range(30))


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"no picture at all", "is no PNG, JPEG or SVG"),
        (b"", "is no PNG, JPEG or SVG"),
        (photograph("GIF"), "is no PNG, JPEG or SVG"),
        (photograph("PNG")[:60], "is no PNG, JPEG or SVG"),
        (huge_png(), "picture"),
        (f"{SVG}<script>alert(1)</script></svg>".encode(), "'script' is not taken"),
        (f"{SVG}<foreignObject/></svg>".encode(), "'foreignObject' is not taken"),
        (f'{SVG}<image xlink:href="/etc/passwd"/></svg>'.encode(), "'image' is not taken"),
        (f"{SVG}<text>kelp</text></svg>".encode(), "turn texts into paths"),
        (f'{SVG}<g id="g0"><rect width="1" height="1"/></g>{BOMB}</svg>'.encode(), "copies of copies"),
        (b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg>&x;</svg>', "entity"),
        (b"<html><body/></html>", "not an SVG"),
        (b'<svg xmlns="http://www.w3.org/2000/svg"><rect/></svg>', "has no size"),
    ],
)
def test_what_is_no_harmless_picture_is_told_in_a_line(data, message):
    with pytest.raises(InputError, match=message) as caught:
        safe_picture(data, "cover", "front.png")
    assert "\n" not in str(caught.value)


def test_a_picture_keeps_its_pixels_and_nothing_else():
    out = io.BytesIO()
    image = Image.new("RGB", (40, 20), "#336699")
    exif = image.getexif()
    exif[0x010E] = "a secret place"  # Exif 2.3: ImageDescription
    exif[0x0112] = 6  # Exif 2.3: Orientation, a quarter turn
    image.save(out, "JPEG", exif=exif, comment=b"secret too")
    picture, clean = safe_picture(out.getvalue(), "cover", "front.jpg")
    assert (picture.width, picture.height) == (20, 40)
    assert b"secret" not in clean
    assert safe_picture(out.getvalue(), "cover", "front.jpg")[1] == clean

    picture, clean = safe_picture(LOGO.encode(), "logo", "sign.svg")
    assert b"onload" not in clean
    assert b"example.org" not in clean
    assert b'fill="#ff0000"' in clean
    large, _ = safe_picture(photograph("PNG", (5000, 100)), "cover", "front.png")
    assert (large.width, large.height) == (2400, 48)


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("large.png", "too large"),
        ("none.png", "no such picture"),
        (".", "cannot be read"),
        ("pipe.png", "is no regular file"),
    ],
)
def test_a_picture_that_is_far_too_large_or_no_file(tmp_path, name, message):
    with (tmp_path / "large.png").open("wb") as file:
        file.truncate(200_000_000)
    if name == "pipe.png":
        if sys.platform == "win32":
            pytest.skip("no named pipes in folders")
        os.mkfifo(tmp_path / name)
    (tmp_path / "alphabet.toml").write_text(f'[pattern]\ncover = "{name}"\n', encoding="utf-8")
    said, paths = read_pattern_table(tmp_path / "alphabet.toml")
    with pytest.raises(InputError, match=message):
        with_pictures(said, paths, tmp_path / "alphabet.toml")


def test_a_text_nested_without_end_ends():
    assert len(str(told("> " * 500 + "deep"))) < 5_000  # the library goes 20 deep
    assert told("<b>x</b>") == [{"kind": "paragraph", "children": [{"kind": "text", "text": "<b>x</b>"}]}]
