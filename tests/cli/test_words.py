"""Words, fabric and the demo by their commands: what they write, and that bad input gets one line and no file."""

import csv
from collections import Counter
from dataclasses import replace
from importlib import import_module
from itertools import combinations
from xml.etree import ElementTree

import pdfplumber
import pytest

from converter.cli.layout_file import read_layout
from converter.cli.words_command import words_command
from converter.cli.words_types import folder_name
from converter.pattern import to_json
from converter.units import parse_length
from converter.words.colours import ALIKE_IN_GREY
from converter.words.contrast import LARGE_TEXT, contrast
from tests.cli.running import assert_told_in_one_line, contents, run
from tests.samples import letter_i, sample_pattern


def test_words_leave_all_that_is_needed_to_sew_them_and_the_same_bytes_again(here):
    arguments = ("words", "set", "TA IT", "TIT", "--letters", "rust", "--letters", "kelp", "--copies", 2)
    result = run(*arguments, "--finishing")
    assert result.exit_code == 0, result.output
    files = contents(here / "set" / "words" / "ta-it-tit")
    drawn = {f"{name}.svg" for name in ("layout", "layout-blank", "layout-numbers", "assembly", "colours")}
    documents = ("words", "cutting-list", "instructions", "characters", "sheets", "proof")
    printed = {f"print/{name}.pdf" for name in documents}
    assert drawn | printed | {"assembly.txt", "cutting-list.csv", "cutting-plans/rust.svg"} <= set(files)
    assert "T: 8" in files["assembly.txt"].decode()  # four in the text, two copies
    assert "finished" in result.stdout
    run(*arguments, "--finishing", "--out", "again")
    assert contents(here / "again") == files


def test_a_new_run_leaves_nothing_of_a_former_one(here):
    run("words", "set", "IT", "--letters", "rust", "--out", "it", "--no-print")
    run("words", "set", "IT", "--letters", "kelp", "--out", "it", "--no-print")
    names = set(contents(here / "it"))
    assert "cutting-plans/kelp.svg" in names
    assert "cutting-plans/rust.svg" not in names


@pytest.mark.parametrize(
    "arguments",
    [
        ("I\\nT", "--align", "right", "--line-strip", "2in", "--equal-widths"),
        ("I T", "--word-space", "1in", "--border", "1in,2in,3in,4in", "--units", "mm"),
        ("IT", "--target-width", "12in", "--target-height", "9in", "--meet-target", "pad"),
        ("IT", "--frame", "5x6in", "--frame-side", "left=1/2in", "--frame-fabric", "mist"),
        ("IT", "--frame", "5x6in", "--frame-on-foundation", "--frame-fabric", "mist"),
        ("IT", "--own-colour", "I=old net=#4a5f23", "--by", "letter", "--background", "#fff"),
    ],
)  # fmt: skip
def test_each_choice_is_taken_and_the_layout_changes(here, arguments):
    text, *options = arguments
    assert run("words", "set", text, "--out", "plain", "--no-print").exit_code == 0
    result = run("words", "set", text, *options, "--out", "chosen", "--no-print")
    assert result.exit_code == 0, result.output
    assert contents(here / "plain")["layout.svg"] != contents(here / "chosen")["layout.svg"]


def test_symbols_of_another_set_stand_in_the_words(here):
    leaf = replace(letter_i(), key="leaf", name="leaf", codepoints=(0xE000,), text="\ue000")
    (here / "signs").mkdir()
    (here / "signs" / "pattern.json").write_text(to_json(sample_pattern(leaf)), encoding="utf-8")
    assert_told_in_one_line(run("words", "set", "I{leaf}", "--no-print"))
    result = run("words", "set", "I{leaf}", "--also", "signs", "--out", "out")
    assert result.exit_code == 0, result.output
    assert "{leaf}: 1" in contents(here / "out")["assembly.txt"].decode()
    assert_told_in_one_line(run("words", "set", "I{leaf}", "--also", "nowhere"))


BAD = {
    "no text": (),
    "empty text": ("",),
    "only spaces": ("   ", " "),
    "a hundred thousand characters": ("I" * 100_000,),
    "an unknown symbol": ("{whale}",),
    "a symbol without name": ("{ }",),
    "an invisible character": ("I\u200bI",),
    "empty lines only": ("\\n", ""),
    "a target beyond all measure": ("I", "--target-width", "5000in"),
    "a size in other than numbers": ("I", "--target-width", "1e3in"),
    "a fraction of nothing": ("I", "--spacing", "1/0in"),
    "a fabric without colour": ("I", "--letters", "rust="),
    "a binding that is not made": ("I", "--binding-fabric", "rust"),
    "half a copy": ("I", "--copies", "1.5"),
    "a width of fabric beyond all measure": ("I", "--fabric-width", "1000in"),
    "unknown units": ("I", "--units", "furlong"),
    "a lone brace": ("{leaf",),
    "a letter that the set lacks": ("IZ",),
    "a negative strip": ("I", "--spacing", "-1in"),
    "a negative border": ("I", "--border", "-1in"),
    "a border of three lengths": ("I", "--border", "1in,1in,1in"),
    "letters by eye in a set that does not know how": ("I", "--spacing", "eye"),
    "letters by eye in frames": ("I", "--spacing", "eye", "--frame", "5x6in"),
    "letters far beyond what the eye joins": ("I", "--spacing", "eye+100in"),
    "a spacing that is none": ("I", "--spacing", "ear"),
    "a text and a layout file": ("I", "--layout", "set/labels.toml"),
    "a strip without unit": ("I", "--word-space", "3"),
    "a strip beyond all measure": ("I", "--line-strip", "9999in"),
    "a target too small": ("IT", "--target-width", "1/2in"),
    "a target too small to pad to": ("IT", "--target-width", "3in", "--meet-target", "pad"),
    "a target of nothing": ("I", "--target-height", "0in"),
    "a frame smaller than its block": ("I", "--frame", "1x1in"),
    "a frame on an unknown side": ("I", "--frame-side", "under=1in"),
    "a frame of pieces that is none": ("I", "--frame-on-foundation"),
    "an unknown alignment": ("I", "--align", "up"),
    "no fabric": ("I", "--letters", "puce"),
    "a colour of what is not there": ("I", "--own-colour", "T=rust"),
    "a colour without character": ("I", "--own-colour", "rust"),
    "a piece that is not there": ("I", "--pieces", "I:Z9=rust"),
    "one name of two colours": ("I", "--letters", "net=#111111", "--background", "net=#eeeeee"),
    "no copies": ("I", "--copies", "0"),
    "too many copies": ("I", "--copies", "999999999"),
    "a fabric too narrow": ("I", "--fabric-width", "1mm"),
}


@pytest.mark.parametrize("arguments", BAD.values(), ids=BAD)
def test_bad_words_are_told_in_one_line_and_leave_nothing(here, arguments):
    before = contents(here)
    assert_told_in_one_line(run("words", "set", *arguments))
    assert contents(here) == before
    assert not (here / "set" / "words").exists()


def test_a_folder_without_a_pattern_is_told_in_one_line(here):
    assert_told_in_one_line(run("words", "nowhere", "I"))
    assert_told_in_one_line(run("fabric", "nowhere"))


def test_fabric_of_the_set_with_what_finishes_it(here):
    result = run("fabric", "set", "--units", "in", "--copies", 2, "--finished-size", "40x50in")
    assert result.exit_code == 0, result.output
    rows = list(csv.DictReader((here / "set" / "fabric" / "cutting-list.csv").open(encoding="utf-8")))
    bought = {row["fabric"]: row["size"] for row in rows if row["what"] == "buy"}
    assert {"binding", "backing"} < set(bought)
    assert bought.pop("wadding") == "1 piece of 48 × 58 in"
    assert all(size.endswith(" yd") for size in bought.values())
    # Common practice, no source: backing larger by 4 in on each side.
    assert "backing and wadding: 48 × 58 in" in result.stdout
    assert_told_in_one_line(run("fabric", "set", "--copies", 0))
    assert_told_in_one_line(run("fabric", "set", "--finished-size", "0x5in"))


def test_frames_for_the_whole_set(here):
    # Blocks of 60 × 80 mm in frames of 4 × 5 in; strips cut to measure, or as pieces of the templates.
    frame = ("--frame", "4x5in", "--frame-side", "bottom=1/2in", "--frame-fabric", "mist")
    assert run("fabric", "set", *frame, "--out", "cut").exit_code == 0
    assert run("fabric", "set", *frame, "--frame-on-foundation", "--out", "pieces").exit_code == 0
    what = {}
    for folder in ("cut", "pieces"):
        rows = csv.DictReader((here / folder / "cutting-list.csv").open(encoding="utf-8"))
        cut = [row for row in rows if row["fabric"].startswith("mist") and row["what"] in ("patch", "strip")]
        what[folder] = {use for row in cut for use in row["details"].removeprefix("'").split("; ")}
    symbols = ("I", "T", "A", "+")
    assert what["cut"] == {f"{s} {side}" for s in symbols for side in ("left", "right", "top", "bottom")}
    # The templates' pieces, four a block: of + they are sections of their own, and go after its last.
    assert what["pieces"] == {
        *(f"I A{n}" for n in range(6, 10)), *(f"T A{n}" for n in range(9, 13)), *(f"A A{n}" for n in range(6, 10)),
        "+ G1", "+ H1", "+ I1", "+ J1",
    }  # fmt: skip
    result = run("print", "set", *frame, "--units", "in", "--out", "printed")
    assert result.exit_code == 0, result.output
    pages = pdfplumber.open(here / "printed" / "characters.pdf").pages
    assert any("finished size 4 × 5 in" in page.extract_text() for page in pages)
    assert any("mist" in page.extract_text() for page in pages)


def test_patches_are_cut_larger_where_that_is_asked_for(here):
    def largest(*options: str) -> str:
        assert run("fabric", "set", "--units", "in", *options, "--out", "cut").exit_code == 0
        rows = csv.DictReader((here / "cut" / "cutting-list.csv").open(encoding="utf-8"))
        return next(r["size"] for r in rows if r["fabric"] == "letter" and r["what"] == "patch")

    # The largest patch of a letter grows by 2 × (1/2 − 1/4) in each way.
    plain, large = (largest(*options) for options in ((), ("--patch-margin", "1/2in")))
    sizes = [
        [parse_length(f"{side} in") for side in text.removesuffix(" in").split(" × ")]
        for text in (plain, large)
    ]
    assert [b - a for a, b in zip(*sizes, strict=True)] == pytest.approx([12.7, 12.7])
    assert_told_in_one_line(run("fabric", "set", "--patch-margin", "2000mm"))


def test_mats_of_pieces_and_sections_lie_beside_each_other_and_are_replaced(here):
    for parts in ("pieces", "sections"):
        result = run("mats", "set", "--parts", parts, "--mat", "20x20in")
        assert result.exit_code == 0, result.output
        assert "keep hands out" in result.stdout
    files = contents(here / "set" / "mats")
    assert {
        "pieces/letter-1.svg",
        "pieces/background-1.dxf",
        "sections/paper-1.svg",
        "pieces/list.csv",
    } <= set(files)
    run("mats", "set", "--parts", "sections", "--mat", "20x20in", "--only", "II", "--copies", 2)
    rows = contents(here / "set" / "mats")["sections/list.csv"].decode().splitlines()[1:]
    assert len(rows) == 4
    assert contents(here / "set" / "mats")["pieces/letter-1.svg"] == files["pieces/letter-1.svg"]


def test_pieces_of_words_lie_on_mats_in_the_fabrics_of_the_words(here):
    arguments = (
        "words",
        "set",
        "TI",
        "--letters",
        "rust",
        "--letters",
        "kelp",
        "--background",
        "sand",
        "--no-print",
    )
    result = run(*arguments, "--copies", 2, "--mat", "20x20in", "--out", "ti")
    assert result.exit_code == 0, result.output
    files = contents(here / "ti")
    assert {"mats/rust-1.svg", "mats/kelp-1.dxf", "mats/sand-1.svg"} <= set(files)
    rows = list(csv.reader(files["mats/list.csv"].decode().splitlines()))[1:]
    pieces = sum(len(glyph.pieces) for glyph in sample_pattern().glyphs if glyph.text in "TI")
    assert len(rows) == 2 * pieces
    assert Counter(row[1] for row in rows)["1.1 A1"] == 2
    run(*arguments, "--out", "ti")
    assert not any(name.startswith("mats") for name in contents(here / "ti"))


@pytest.mark.parametrize(
    "options", [("--mat", "1x1in"), ("--gap", "-1in"), ("--only", "Z"), ("--copies", "0")]
)
def test_bad_mats_are_told_in_one_line_and_leave_nothing(here, options):
    before = contents(here)
    assert_told_in_one_line(run("mats", "set", *options))
    assert contents(here) == before


FRAMES = {
    "a frame smaller than its block": ("--frame", "1x1in"),
    "a frame too narrow": ("--frame-side", "left=1/16in"),
    "two widths for one side": ("--frame-side", "left=1in", "--frame-side", "left=2in"),
    "the fabric of no frame": ("--frame-fabric", "mist"),
    "a frame without unit": ("--frame", "4x5"),
}


@pytest.mark.parametrize("options", FRAMES.values(), ids=FRAMES)
@pytest.mark.parametrize(
    "command", [("words", "set", "I"), ("print", "set"), ("fabric", "set")], ids=lambda c: c[0]
)
def test_bad_frames_are_told_in_one_line_and_leave_nothing(here, command, options):
    before = contents(here)
    assert_told_in_one_line(run(*command, *options))
    assert contents(here) == before


@pytest.mark.parametrize(
    ("text", "name"),
    [("SOW IN MAY", "sow-in-may"), ("{leaf}", "leaf"), ("?!", "u003f-u0021"), ("../x", "x"), ("CON", "con-words")],
)  # fmt: skip
def test_a_folder_is_named_after_its_text_and_stays_where_it_belongs(text, name):
    assert folder_name(text) == name


DEMO = import_module("converter.cli.demo_command")  # the package has the command under the same name
FEWER = """
[[item]]
name = "banner"
set = "letters"
also = ["symbols"]
text = "{leaf} IN"
spacing = "eye"

[[item]]
name = "drawer-labels/in"
set = "letters"
text = "IN"
target_width = "8in"

[[item]]
name = "bag-tags/leaf"
set = "symbols"
text = "{leaf}"
"""


def test_the_demo_works_from_any_folder_and_its_layout_file_makes_the_same_again(here, monkeypatch):
    assert_told_in_one_line(run("demo", "--fonts", "set"))
    monkeypatch.setattr(DEMO, "read_own_text", lambda name: FEWER)  # the real one takes long to convert
    result = run("demo", "--no-print", "--out", "seeds")
    assert result.exit_code == 0, result.output
    first = contents(here / "seeds")
    for made in ("banner", "drawer-labels/in", "bag-tags/leaf"):
        assert {f"{made}/layout.svg", f"{made}/cutting-list.csv"} <= set(first)
    assert "fabric/cutting-list.pdf" in first
    assert "$ font2foundation words --layout" in result.stdout
    picture = ElementTree.fromstring(first["demo.svg"].decode())
    ids = [element.get("id") for element in picture.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert {f"{n}-blocks" for n in range(3)} <= set(ids)
    again = run("words", "--layout", "seeds/demo.toml", "--no-print")
    assert again.exit_code == 0, again.output
    assert contents(here / "seeds") == first


def test_the_demo_chooses_colours_that_read_and_can_be_told_apart_in_grey(tmp_path):
    (tmp_path / "demo.toml").write_text(DEMO.read_own_text("demo.toml"), encoding="utf-8")
    items = read_layout(tmp_path / "demo.toml", words_command, folder_name)
    assert {item.name.split("/")[0] for item in items} == set(DEMO.SETTINGS)
    for item in items:
        given = item.given
        fabrics = {*given["letters"], given["background"], given["border_fabric"], given["frame_fabric"]} - {
            None
        }
        for one, other in combinations(sorted(f.colour for f in fabrics), 2):
            assert contrast(one, other) >= ALIKE_IN_GREY
        for letter in given["letters"]:
            assert contrast(letter.colour, given["background"].colour) >= LARGE_TEXT  # WCAG 2.2, 1.4.3
