"""Papers that are older than their blocks: told, and made anew as they were made."""

import json
import shutil
from dataclasses import replace

import pytest
from click.testing import CliRunner

from converter.cli import cli
from converter.papers import SETTINGS, Paper, papers_json, parse_papers, state_of
from converter.pattern import from_json, to_json
from tests.samples import sample_pattern


def run(*arguments, code=0):
    done = CliRunner().invoke(cli, [str(a) for a in arguments])
    assert done.exit_code == code, done.output
    return " ".join(done.output.split())


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "set").mkdir()
    (tmp_path / "set" / "pattern.json").write_text(to_json(sample_pattern()), encoding="utf-8")
    return tmp_path / "set"


def change(folder, key):
    """One piece less in a block: as good as any other change."""
    path = folder / "pattern.json"
    pattern = from_json(path.read_text(encoding="utf-8"))
    glyphs = [replace(g, pieces=g.pieces[::-1]) if g.key == key else g for g in pattern.glyphs]
    path.write_text(to_json(replace(pattern, glyphs=tuple(glyphs))), encoding="utf-8")


def files(folder):
    return {p.relative_to(folder): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_what_is_older_than_a_block_is_told_and_made_anew_alone(folder):
    keys = [g.key for g in sample_pattern().glyphs if g.pieces]
    text = "".join(g.text for g in sample_pattern().glyphs if g.pieces)
    shown, other = keys[0], keys[1]
    run("print", folder, "--units", "mm", "--paper", "letter")
    run("print", folder, "--only", text[1], "--out", folder.parent / "apart")
    run("words", folder, text[0], "--letters", "rust", "--border", "1in", "--no-print")
    said = run("fabric", folder, "--copies", "2")
    assert "out of date" not in said
    assert run("print", folder, "--stale") == "nothing is out of date"

    before = files(folder), files(folder.parent / "apart")
    change(folder, shown)
    said = run("fabric", folder, "--out", folder.parent / "elsewhere")
    words = f"words/{text[0].lower()}"
    for path in ("print", "fabric", words):
        assert f"out of date: {path}" in said
    assert said.count(f"is older than {shown}") == 3
    assert other not in said.split("out of date", 1)[1]
    assert "--stale makes what is out of date anew" in said

    made = run("print", folder, "--stale")
    assert [path for path in ("print:", "fabric:", f"{words}:", "../apart:") if path in made] == [
        "print:", "fabric:", f"{words}:",
    ]  # fmt: skip
    assert files(folder.parent / "apart") == before[1]
    assert run("print", folder, "--stale") == "nothing is out of date"

    # As they were made: the same commands by hand give the same bytes.
    for path, command in (
        ("print", ("print", "--units", "mm", "--paper", "letter")),
        (words, ("words", text[0], "--letters", "rust", "--border", "1in", "--no-print")),
        ("fabric", ("fabric", "--copies", "2")),
    ):
        run(command[0], folder, *command[1:], "--out", folder.parent / "by-hand" / path)
        assert files(folder / path) == files(folder.parent / "by-hand" / path)
        assert files(folder / path) != {p: b for p, b in before[0].items() if p.parts[0] == path}


def test_papers_go_with_their_set_when_both_are_moved(folder, tmp_path, monkeypatch):
    key = next(g.key for g in sample_pattern().glyphs if g.pieces)
    run("fabric", folder)
    shutil.move(folder, tmp_path / "moved")
    change(tmp_path / "moved", key)
    monkeypatch.chdir(tmp_path / "moved")
    assert run("print", ".", "--stale").startswith("fabric:")
    assert run("print", ".", "--stale") == "nothing is out of date"


def test_what_its_owner_has_changed_or_deleted_is_left_alone(folder):
    key = next(g.key for g in sample_pattern().glyphs if g.pieces)
    run("fabric", folder)
    (folder / "fabric" / "cutting-list.csv").write_text("mine", encoding="utf-8")
    change(folder, key)
    assert run("print", folder, "--stale") == "nothing is out of date"
    assert (folder / "fabric" / "cutting-list.csv").read_text(encoding="utf-8") == "mine"


def test_a_symbol_of_a_second_set_is_known_to_its_own_set(folder):
    leaf = next(g for g in sample_pattern().glyphs if g.pieces)
    second = folder.parent / "symbols"
    second.mkdir()
    symbols = replace(
        sample_pattern(), glyphs=(replace(leaf, key="leaf", name="leaf", text="", codepoints=()),)
    )
    (second / "pattern.json").write_text(to_json(symbols), encoding="utf-8")
    run("words", folder, "{leaf}", "--also", second, "--no-print", "--out", folder.parent / "tag")
    assert not (folder / "papers.json").exists()
    change(second, "leaf")
    assert run("print", second, "--stale") == "../tag:"
    assert run("print", second, "--stale") == "nothing is out of date"


def test_stale_takes_no_other_option(folder):
    assert "leave --only out" in run("print", folder, "--stale", "--only", "T", code=2)


def test_a_record_of_papers_that_is_not_ours_runs_nothing(folder):
    run("fabric", folder)
    record = json.loads((folder / "papers.json").read_text(encoding="utf-8"))
    record["papers"]["fabric"]["command"] = "convert"
    (folder / "papers.json").write_text(json.dumps(record), encoding="utf-8")
    change(folder, next(g.key for g in sample_pattern().glyphs if g.pieces))
    assert "makes no papers" in run("print", folder, "--stale", code=2)
    for text in ("[]", "{", '{"format": "font2foundation-papers", "version": 1, "papers": {"a": 1}}'):
        (folder / "papers.json").write_text(text, encoding="utf-8")
        assert "papers.json is damaged" in run("print", folder, "--stale", code=2)


def test_a_new_block_and_new_settings_make_a_paper_older():
    pattern = sample_pattern()
    state = state_of(pattern)
    whole = Paper("print", {}, {}, state, whole=True)
    part = Paper("print", {"only": "T"}, {}, state, whole=False)
    more = replace(pattern, glyphs=(*pattern.glyphs, replace(pattern.glyphs[0], key="new")))
    assert whole.older_than(state) == part.older_than(state) == ()
    assert whole.older_than(state_of(more)) == ("new",)
    assert part.older_than(state_of(more)) == ()
    titled = replace(pattern, settings={**pattern.settings, "pattern": {"title": "Drawers"}})
    assert part.older_than(state_of(titled)) == (SETTINGS,)
    assert parse_papers(papers_json({"a": whole, "b": part})) == {"a": whole, "b": part}
