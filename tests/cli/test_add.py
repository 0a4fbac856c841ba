"""``convert --add``: characters join a set in its hand, and nothing else in it changes by a byte."""

import json

import pytest

from tests.cli.running import assert_told_in_one_line, contents, run
from tests.cli.sea import LETTERS, OFL, bar
from tests.fonts.makers import builder, polygon, saved, together

MORE = {
    "E": polygon(
        (100, 0), (100, 700), (450, 700), (450, 540), (300, 540), (300, 430), (430, 430), (430, 280), (300, 280),
        (300, 160), (460, 160), (460, 0),
    ),
    "Í": together(bar(130, 0, 330, 700), polygon((170, 790), (230, 900), (360, 900), (270, 790))),
    "j": together(bar(80, -200, 280, 450), bar(80, 520, 280, 700)),
}  # fmt: skip
OWN = ("blocks/", "templates/")


@pytest.fixture
def sea(tmp_path):
    """A font, and a set of its I, L and i."""
    shapes = {(f"uni{ord(k):04X}" if k == "Í" else k): shape for k, shape in (LETTERS | MORE).items()}
    cmap = {ord(name): name for name in shapes if len(name) == 1} | {32: "space", 0xCD: "uni00CD"}
    font = tmp_path / "sea.ttf"
    font.write_bytes(saved(builder(shapes, cmap=cmap, names={"licenseDescription": OFL}, sCapHeight=700)))
    done = run(
        "convert", font, "--text", "ILi", "--effort", "draft", "--jobs", 1, "--figure-colour", "#884422",
        "--out", tmp_path / "set",
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    return font, tmp_path / "set"


def add(sea, text, *more):
    return run("convert", sea[0], "--add", text, "--jobs", 1, "--out", sea[1], *more)


def lines(folder, name):
    return (folder / name).read_text(encoding="utf-8").split("\n")


def test_what_was_there_stays_byte_for_byte(sea):
    folder = sea[1]
    drawing = folder / "blocks/L_.svg"
    drawing.write_bytes(
        drawing.read_bytes() + b"<!-- moved a seam -->\n"
    )  # an edit that nobody has taken in yet
    before, pattern, record = contents(folder), lines(folder, "pattern.json"), lines(folder, "record.json")
    done = add(sea, "Ej")
    assert done.exit_code == 0, done.output
    after = contents(folder)
    for path, content in before.items():
        if path.startswith(OWN):
            assert after[path] == content, path
    assert {path for path in set(after) - set(before) if path.startswith(OWN)} == {
        f"{part}{key}.svg" for part in OWN for key in ("E_", "j")
    }
    kept = [line.removesuffix(",") for line in pattern if line.startswith('  {"key"')]
    now = [line.removesuffix(",") for line in lines(folder, "pattern.json") if line.startswith('  {"key"')]
    assert now[:3] == kept
    assert [json.loads(line)["text"] for line in now] == ["I", "L", "i", "E", "j"]
    entries = {line.removesuffix(",") for line in record if line.startswith('  "')}
    assert entries < {line.removesuffix(",") for line in lines(folder, "record.json")}
    old, new = (json.loads(data["pattern.json"]) for data in (before, after))
    assert all(old[part] == new[part] for part in ("source", "settings", "fabrics", "block"))
    assert b"#884422" in after["blocks/E_.svg"]
    assert "E" in new["spacing"]["advances"] or "E_" in new["spacing"]["advances"]
    assert run("check", folder, "--quiet").exit_code == 0  # the edit is still there to be taken in


def test_what_is_added_stands_as_the_set_does_and_follows_its_figures(sea):
    add(sea, "jÍ")
    glyphs = {g["text"]: g for g in json.loads((sea[1] / "pattern.json").read_text("utf-8"))["glyphs"]}
    for text in "jÍ":
        assert glyphs[text]["placement"][3] == glyphs["I"]["placement"][3]
        assert glyphs[text]["placement"][5] == glyphs["I"]["placement"][5]
    assert sorted(map(len, (ring[0] for ring in glyphs["Í"]["figure"]))) == [4, 4]
    stem = max(glyphs["Í"]["figure"], key=lambda rings: max(y for _, y in rings[0]))[0]
    (base,) = glyphs["I"]["figure"][0]
    right = min(x for x, _ in stem) - min(x for x, _ in base)
    moved = sorted((x + right, y) for x, y in base)
    assert sorted(map(tuple, stem)) == [pytest.approx(corner, abs=2e-4) for corner in moved]


def test_what_the_block_cuts_off_is_told_with_what_to_do(sea):
    done = add(sea, "jÍ")
    assert done.exit_code == 0
    assert "j, Í: taller or lower than the set's letters, and cut off by the block" in done.stderr


def test_what_is_there_is_said_in_one_line_and_nothing_changes(sea):
    before = contents(sea[1])
    done = add(sea, "LI")
    assert (done.exit_code, done.stdout) == (0, "")
    assert done.stderr == f"already in {sea[1]}: L, I; nothing is changed\n"
    assert contents(sea[1]) == before


def test_faults_are_told_in_one_line_and_change_nothing(sea, tmp_path):
    font, folder = sea
    other = tmp_path / "other.ttf"
    other.write_bytes(saved(builder(LETTERS, cmap={ord("T"): "T"}, names={"licenseDescription": OFL})))
    (folder / "blocks/T_.svg").write_text("<svg/>")
    before = contents(folder)
    assert_told_in_one_line(run("convert", other, "--add", "T", "--out", folder))
    assert_told_in_one_line(run("convert", font, "--add", "E", "--out", tmp_path / "nowhere"))
    for text, more in (("E", ("--detail", "fine")), ("E", ("--text", "E")), ("é", ()), ("", ()), ("T", ())):
        assert_told_in_one_line(add(sea, text, *more))
    assert contents(folder) == before
