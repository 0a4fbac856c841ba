"""Nine circles that touch, which once ended a run after minutes at the drawing of a piece 0.02 mm wide: all the way
to printed pages, beside a letter that is sound."""

import io
import json
import math

import pdfplumber
import pytest

from converter.pattern import from_json
from converter.verify import verify_glyph
from tests.cli.running import run
from tests.cli.sea import LETTERS, OFL
from tests.fonts.makers import builder, polygon, saved, together


def circle(x: float, y: float, radius: float = 110, corners: int = 16):
    turns = [-2 * math.pi * k / corners for k in range(corners)]
    return polygon(*((round(x + radius * math.cos(t)), round(y + radius * math.sin(t))) for t in turns))


CIRCLES = together(*(circle(110 + 220 * x, 110 + 220 * y) for x in range(3) for y in range(3)))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    top = tmp_path_factory.mktemp("circles")
    font = saved(
        builder({"O": CIRCLES, "I": LETTERS["I"]}, names={"licenseDescription": OFL}, sCapHeight=700)
    )
    (top / "circles.ttf").write_bytes(font)
    made = run(
        "convert", top / "circles.ttf", "--text", "OI", "--fit", "each", "--block", "4x4in", "--jobs", 1,
        "--out", top / "set",
    )  # fmt: skip
    assert made.exit_code == 0, made.output
    assert "Traceback" not in made.output
    return top / "set"


def test_the_circles_are_a_finding_and_what_they_have_of_pieces_can_be_sewn(folder):
    pattern = from_json((folder / "pattern.json").read_text(encoding="utf-8"))
    circles, letter = sorted(pattern.glyphs, key=lambda glyph: glyph.key != "O_")
    assert (circles.status, letter.status) == ("redesign", "ready")
    assert [reason for reason in circles.reasons if reason.severity == "redesign"]
    assert "unexpected-error" not in {reason.id for reason in circles.reasons}
    if circles.pieces:  # given with whatever status, pieces obey the rules
        verify_glyph(circles, pattern.block.width, pattern.block.height)
    assert not (folder / "problems.log").exists()
    assert (folder / "report.html").is_file()
    assert json.loads((folder / "record.json").read_text(encoding="utf-8"))["blocks"].keys() == {"O_", "I_"}


def test_pages_are_printed_of_both(folder, tmp_path):
    printed = run("print", folder, "--include-redesign", "--out", tmp_path / "print")
    assert printed.exit_code == 0, printed.output
    assert "the program failed" not in printed.output
    for name in ("characters", "sheets", "instructions"):
        with pdfplumber.open(io.BytesIO((tmp_path / f"print/{name}.pdf").read_bytes())) as document:
            assert all(page.extract_text() or page.curves or page.lines for page in document.pages)
    listed = run("fabric", folder, "--out", tmp_path / "fabric")
    assert listed.exit_code == 0, listed.output
