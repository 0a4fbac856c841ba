"""A set speaks one unit, wherever it speaks: that in which its block was written."""

import html
import json
import re
from io import BytesIO
from xml.etree import ElementTree

import pdfplumber
import pytest
from click.testing import CliRunner

from converter.cli import cli
from tests.redesign.test_folder import FONT

FOREIGN = {
    "in": re.compile(r"\d ?(mm|cm|m)\b|metre|millimetre", re.IGNORECASE),
    "mm": re.compile(r"(?<!:)\d ?(in|yd)\b(?! (its|the|a)\b)|\binch|\byard|[\"″]\s*[x×]", re.IGNORECASE),
}
SIZES = {"in": ("3x4in", "1/4in", "1/2in", "8x8in"), "mm": ("75x100mm", "7mm", "10mm", "200x200mm")}
FRAME = {"in": "4x5in", "mm": "100x130mm"}
EDIT = r'(id="seams"[^>]*>)', r'\1<line x1="20" y1="20" x2="31" y2="33"/>'  # a seam that ends in the open


def run(*arguments, code=0):
    done = CliRunner().invoke(cli, [str(a) for a in arguments], env={"COLUMNS": "200"})
    assert done.exit_code == code, done.output
    return done.output


@pytest.fixture(scope="module", params=["in", "mm"])
def made(request, tmp_path_factory):
    """Everything that the program writes and says of a small set with findings and a fault."""
    units, folder = request.param, tmp_path_factory.mktemp(request.param) / "set"
    block, allowance, border, finished = SIZES[units]
    told = [
        run("convert", FONT, "--text", "SEg", "--block", block, "--seam-allowance", allowance, "--out", folder,
            "--limit", "distance-review=0.01", "--limit", "stroke-end=0.001", "--limit", "cut-off=0.001",
            "--limit", "distance-redesign=0.9", "--detail", "coarse", "--min-piece-width", border, "--verbose",
            "--limit", "thin-strokes=0.99", "--effort", "draft", "--jobs", 1),
        run("print", folder, "--include-redesign"),
        run("words", folder, "SES", "--border", border, "--finishing", "--out", folder / "words", "--include-redesign",
            "--target-width", SIZES[units][3].partition("x")[0] + units),
        run("fabric", folder, "--finished-size", finished),
        run("print", folder, "--only", "S", "--frame", FRAME[units], "--include-redesign", "--out", folder / "framed"),
        run("blank", "schwa", "--into", folder),
        run("convert", FONT, "--block", "9000x9000" + units, "--out", folder / "none", code=2),
        run("convert", FONT, "--block", block, "--seam-allowance", "900" + units, "--out", folder / "none", code=2),
        run("fabric", folder, "--fabric-width", "1" + units, code=2),
        run("words", folder, "SES", "--target-width", "1" + units, code=2),
    ]  # fmt: skip
    path = folder / "blocks" / "E_.svg"
    path.write_text(re.sub(*EDIT, path.read_text(encoding="utf-8"), count=1), encoding="utf-8")
    told.append(run("check", folder, code=1))
    return units, folder, told


def texts(folder):
    """Every file's words, without what only machines read: numbers of drawings, the pattern file's figures."""
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        if path.suffix == ".pdf":
            with pdfplumber.open(BytesIO(path.read_bytes())) as pdf:
                for number, page in enumerate(pdf.pages, 1):
                    yield f"{path}, page {number}", page.filter(is_upright).extract_text(x_tolerance=1) or ""
        elif path.suffix == ".svg":
            root = ElementTree.fromstring(path.read_text(encoding="utf-8"))
            yield path, "\n".join(filter(None, (node.text for node in root.iter())))
        elif path.suffix == ".html":
            page = path.read_text(encoding="utf-8")
            data = re.search(r'<script type="application/json"[^>]*>(.*?)</script>', page, re.DOTALL)
            assert data
            yield path, "\n".join(strings(json.loads(data[1])))
            page = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.DOTALL)
            yield path, html.unescape(re.sub(r"<[^>]*>", " ", page))
        elif path.suffix in (".csv", ".txt"):
            yield path, path.read_text(encoding="utf-8")
        elif path.name == "pattern.json":
            for glyph in json.loads(path.read_text(encoding="utf-8"))["glyphs"]:
                yield path, "\n".join(f"{r['message']} {r['hint']}" for r in glyph["reasons"])


def is_upright(thing):
    """Turned words come out jumbled; they are read in the drawings."""
    a, b, *_ = thing.get("matrix", (1, 0))
    return a > 0 and abs(b) < 1e-6


def strings(value):
    if isinstance(value, str):
        if not value.startswith(("M", "data:")):  # outlines and pictures
            yield value
    elif isinstance(value, dict | list):
        for part in value.values() if isinstance(value, dict) else value:
            yield from strings(part)


def test_no_foreign_unit_is_on_any_page_or_in_any_file(made):
    units, folder, _ = made
    seen = 0
    for place, text in texts(folder):
        foreign = FOREIGN[units].search(text)
        assert not foreign, f"{place}: …{text[max(0, foreign.start() - 60) : foreign.end() + 20]}…"
        seen += len(re.findall(rf"\d\s?{units}\b", text))
    assert seen > 100


def test_no_foreign_unit_is_on_the_terminal(made):
    units, _, told = made
    for text in told:
        assert not FOREIGN[units].search(text), text
    assert sum(len(re.findall(rf"\d\)? {units}\b", text)) for text in told) > 8


def test_findings_of_length_are_among_them(made):
    _, folder, _ = made
    found = {
        r["id"]
        for g in json.loads((folder / "pattern.json").read_text("utf-8"))["glyphs"]
        for r in g["reasons"]
    }
    assert found & {"far-from-outline", "stroke-end", "cut-off"}
    assert "seam-open-end" in found


def test_a_foreign_unit_would_be_noticed():
    assert FOREIGN["in"].search("6.4 mm")
    assert FOREIGN["in"].search("1.2 m of")
    assert FOREIGN["mm"].search("1/4 in")
    assert FOREIGN["mm"].search("1 3/8 yd")
