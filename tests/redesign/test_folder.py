"""A converted folder and a designer's work in it: checked, kept, dropped only when asked, one run at a time."""

import json
import re
import threading
from pathlib import Path

import pytest
from click.testing import CliRunner

from converter.cli import cli
from converter.cli.check_command import check_folder
from converter.errors import InputError
from converter.output import one_run_at_a_time
from converter.redesign.edited import page_size
from converter.redesign.ground import glyph_name

FONT = Path(__file__).parents[2] / "sample_fonts/archivo_black/archivo-black-latin-400-normal.woff2"


def run(*words: object, code: int = 0) -> str:
    result = CliRunner().invoke(cli, [str(w) for w in words], env={"COLUMNS": "200"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exc_info
    assert result.exit_code == code, result.output
    return result.output


def convert(folder: Path, text: str = "EI", *more: object) -> str:
    return run("convert", FONT, "--text", text, "--out", folder, "--jobs", 1, "--quiet", *more)


@pytest.fixture(scope="module")
def converted(tmp_path_factory):
    folder = tmp_path_factory.mktemp("set") / "archivo"
    convert(folder)
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def folder(converted, tmp_path):
    for path, data in converted.items():
        (tmp_path / "set" / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "set" / path).write_bytes(data)
    return tmp_path / "set"


def state(folder: Path) -> dict[Path, bytes]:
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def glyph(folder: Path, key: str) -> dict:
    pattern = json.loads((folder / "pattern.json").read_text(encoding="utf-8"))
    return next(g for g in pattern["glyphs"] if g["key"] == key)


def edit(folder: Path, key: str, pattern: str, by: str, least: int = 1) -> bytes:
    path = folder / "blocks" / f"{key}.svg"
    text, changed = re.subn(pattern, by, path.read_text(encoding="utf-8"), count=1)
    assert changed >= least
    path.write_text(text, encoding="utf-8")
    return path.read_bytes()


def add_seam(folder: Path, key: str, ends: str) -> bytes:
    edit(folder, key, r'(<g[^>]*id="seams"[^>]*?)\s*/>', r"\1></g>", least=0)
    return edit(folder, key, r'(id="seams"[^>]*>)', rf"\1<line {ends}/>")


CUT = 'x1="6.35" y1="3.175" x2="76.2" y2="3.175"'  # along the top margin, which runs from x 6.35 to the edge
OPEN = 'x1="6.35" y1="3.175" x2="50" y2="3.175"'
FULL = 'x1="0" y1="40" x2="76.2" y2="40"'


def ids(glyph: dict) -> list[str]:
    return [reason["id"] for reason in glyph["reasons"]]


def test_a_check_without_edits_changes_nothing(folder, converted):
    assert "No block has been edited" in run("check", folder)
    assert state(folder) == converted


def test_a_check_updates_all_but_the_block(folder, converted):
    before = glyph(folder, "E_")["metrics"]["pieces"]
    drawn = add_seam(folder, "E_", CUT)
    said = run("check", folder)
    assert re.search(rf"E_\s+yes\s+{before} → {before + 1}\b", said)
    after = glyph(folder, "E_")
    assert after["metrics"]["pieces"] == before + 1 == len(after["pieces"])
    assert "edited" in ids(after)
    assert (folder / "blocks/E_.svg").read_bytes() == drawn
    now = state(folder)
    changed = {str(p) for p in now if now[p] != converted.get(p)}
    assert changed == {"pattern.json", "blocks/E_.svg", "templates/E_.svg", "report.html", "report.csv",
                       "written.json"}  # fmt: skip
    assert run("check", folder / "blocks" / "E_.svg").count("E_") == 1
    assert state(folder) == now


def test_what_cannot_be_sewn_is_drawn_on_a_copy_until_it_is_mended(folder, converted):
    drawn = add_seam(folder, "E_", OPEN)
    said = run("check", folder, code=1)
    assert "ends inside a piece at (1.969, 0.125) in, 0.125 in from" in said
    after = glyph(folder, "E_")
    assert after["status"] == "redesign"
    assert "seam-open-end" in ids(after)
    assert "edited" in ids(after)
    assert after["pieces"] == json.loads(converted[Path("pattern.json")])["glyphs"][0]["pieces"]
    assert (folder / "blocks/E_.svg").read_bytes() == drawn
    copy = (folder / "faults/E_.svg").read_bytes()
    assert b'id="faults"' in copy
    assert copy.startswith(drawn[:2000])

    edit(folder, "E_", re.escape(OPEN), CUT)
    assert "yes" in run("check", folder)
    assert not (folder / "faults").exists()
    assert glyph(folder, "E_")["status"] != "redesign"


def test_an_edit_taken_back_leaves_no_trace(folder, converted):
    add_seam(folder, "E_", OPEN)
    run("check", folder, code=1)
    (folder / "blocks/E_.svg").write_bytes(converted[Path("blocks/E_.svg")])
    run("check", folder)
    assert "edited" not in ids(glyph(folder, "E_"))
    old, new = json.loads(converted[Path("pattern.json")])["glyphs"][0], glyph(folder, "E_")
    assert [p["id"] for p in new["pieces"]] == [p["id"] for p in old["pieces"]]
    assert (new["sections"], new["status"]) == (old["sections"], old["status"])


def test_converting_again_is_the_same_and_keeps_edits(folder, converted):
    convert(folder)
    assert state(folder) == converted
    before = glyph(folder, "E_")["metrics"]["pieces"]
    drawn = add_seam(folder, "E_", CUT)
    convert(folder)
    assert (folder / "blocks/E_.svg").read_bytes() == drawn
    assert glyph(folder, "E_")["metrics"]["pieces"] == before + 1
    assert "edited" in ids(glyph(folder, "E_"))
    assert "edited" in (folder / "report.html").read_text(encoding="utf-8")
    assert "edited" not in ids(glyph(folder, "I_"))
    now = state(folder)
    convert(folder)
    assert state(folder) == now


def test_an_edited_block_stays_when_its_glyph_is_not_converted_again(folder):
    drawn = add_seam(folder, "E_", CUT)
    run("check", folder)
    convert(folder, "I")
    assert (folder / "blocks/E_.svg").read_bytes() == drawn
    assert glyph(folder, "E_")["text"] == "E"
    assert (folder / "templates/E_.svg").exists()
    convert(folder, "EI")
    assert (folder / "blocks/E_.svg").read_bytes() == drawn


def test_an_edit_that_cannot_be_sewn_is_kept_as_well(folder):
    drawn = add_seam(folder, "E_", OPEN)
    convert(folder)
    assert (folder / "blocks/E_.svg").read_bytes() == drawn
    assert "seam-open-end" in ids(glyph(folder, "E_"))
    assert (folder / "faults/E_.svg").exists()


def test_discarding_is_asked_for_by_key_and_keeps_a_backup(folder, converted):
    first = add_seam(folder, "E_", CUT)
    convert(folder, "EI", "--discard-edits", "E_")
    assert (folder / "blocks/E_.svg").read_bytes() == converted[Path("blocks/E_.svg")]
    assert (folder / "backups/E_.1.svg").read_bytes() == first
    second = add_seam(folder, "E_", OPEN)
    convert(folder, "EI", "--discard-edits", "E_")
    assert (folder / "backups/E_.1.svg").read_bytes() == first
    assert (folder / "backups/E_.2.svg").read_bytes() == second
    now = state(folder)
    said = run("convert", FONT, "--text", "EI", "--out", folder, "--jobs", 1, "--discard-edits", "I_", code=2)
    assert "I_: there is no edit of that block to discard; blocks edited by hand: none" in said
    assert state(folder) == now


def test_two_runs_at_once_give_a_clear_error(folder):
    with one_run_at_a_time(folder):
        for words in (("check", folder), ("convert", FONT, "--text", "E", "--out", folder)):
            said = run(*words, code=2)
            assert "another run is using this folder; wait until it has finished" in said
    assert not (folder / ".lock").exists()
    run("check", folder)


def test_a_new_folder_is_not_left_behind_by_a_failed_run(tmp_path):
    with pytest.raises(KeyboardInterrupt), one_run_at_a_time(tmp_path / "new" / "set"):
        raise KeyboardInterrupt
    assert not (tmp_path / "new" / "set").exists()


def test_a_blank_block_joins_the_set(folder):
    said = run("blank", "eacute", "--into", folder)
    path = folder / "blocks/eacute.svg"
    assert str(path) in said
    text = path.read_text(encoding="utf-8")
    assert page_size(text.encode(), "x") == (76.2, 101.6)
    for layer in ("grid", "guide", "seams", "pieces", "labels"):
        assert f'id="{layer}"' in text
    assert "Nothing is drawn" in run("check", folder, code=1)
    assert "already exists" in run("blank", "eacute", "--into", folder, code=2)

    add_seam(folder, "eacute", 'x1="30" y1="0" x2="30" y2="101.6"')
    edit(folder, "eacute", r"(<polygon [^>]*/>)", r'\1<rect width="30" height="101.6" fill="#1f4e5f"/>')
    assert re.search(r"eacute\s+yes\s+2\s", run("check", folder))
    new = glyph(folder, "eacute")
    assert (new["text"], new["codepoints"], new["metrics"]["pieces"]) == ("é", [233], 2)
    assert new["metrics"]["iou"] is None
    assert (folder / "templates/eacute.svg").exists()
    drawn = path.read_bytes()
    convert(folder)
    assert path.read_bytes() == drawn
    assert glyph(folder, "eacute")["metrics"]["pieces"] == 2


def test_a_blank_block_by_itself(tmp_path):
    path = tmp_path / "sprout.svg"
    run("blank", "sprout", "--block", "3x4in", "--out", path)
    assert page_size(path.read_bytes(), "x") == (76.2, 101.6)
    assert "Nothing is drawn" in run("check", path, code=1)
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r'(<g[^>]*id="seams"[^>]*?)/>', rf"\1><line {FULL}/></g>", text), encoding="utf-8")
    assert re.search(r"sprout\s+yes\s+2\s", run("check", path))
    assert "not a name for a block" in run("blank", " ", code=2)


@pytest.mark.parametrize(
    ("given", "file", "text"),
    [("/", "slash", "/"), ("é", "eacute", "é"), ("A", "A_", "A"), ("🌱", "u1F_331", "🌱")],
)
def test_a_character_gets_a_safe_file_and_comes_back_as_itself(folder, given, file, text):
    run("blank", given, "--into", folder)
    add_seam(folder, file, FULL)
    run("check", folder)
    assert glyph(folder, file)["text"] == text


def test_hidden_files_of_editors_are_no_blocks(folder, converted):
    (folder / "blocks/.E_.svg").write_bytes(b"half saved")
    assert "No block has been edited" in run("check", folder)


def test_what_is_not_there_is_said_in_one_line(tmp_path, folder):
    assert "no such file or folder" in run("check", tmp_path / "none", code=2)
    assert "no pattern.json in it" in run("check", tmp_path, code=2)
    (folder / "record.json").write_text("{}", encoding="utf-8")
    assert "record.json is damaged" in run("check", folder, code=2)


def test_watching_checks_on_save_and_tells_the_page(folder, converted, monkeypatch):
    steps = iter(range(3))

    def saved(_event, _seconds):
        step = next(steps)
        if step == 0:
            page = (folder / "report.html").read_text(encoding="utf-8")
            version = re.search(r'now === "(\w+)"', page)[1]
            assert version in (folder / "report-version.js").read_text(encoding="utf-8")
            add_seam(folder, "E_", CUT)
        elif step == 1:
            assert glyph(folder, "E_")["metrics"]["pieces"] == len(glyph(folder, "E_")["pieces"])
            assert "edited" in ids(glyph(folder, "E_"))
        else:
            raise KeyboardInterrupt

    monkeypatch.setattr(threading.Event, "wait", saved)
    said = run("check", folder, "--watch")
    assert "watching" in said
    assert re.search(r"E_\s+yes", said)
    assert not (folder / "report-version.js").exists()
    assert "report-version" not in (folder / "report.html").read_text(encoding="utf-8")


def test_a_folder_of_another_version_keeps_all_drawings(folder, converted):
    (folder / "record.json").unlink()
    convert(folder)
    assert state(folder)[Path("blocks/E_.svg")] == converted[Path("blocks/E_.svg")]


def test_checking_needs_a_folder_that_can_be_written(folder):
    with pytest.raises(InputError, match="no such file"):
        check_folder(folder, ["Q_"])


def test_names_behind_file_names():
    assert [glyph_name(key) for key in ("A_", "a", "A_E_", "T_h", "a_b")] == ["A", "a", "AE", "Th", "a_b"]
