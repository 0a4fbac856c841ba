"""The library as others call it: what there is, what it costs to import, and that the README's example runs."""

import inspect
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import converter
from converter import (
    InputError,
    Settings,
    choose_glyphs,
    convert,
    judge_licence,
    load_font,
    read_pattern,
    write_set,
)
from tests.fonts.makers import builder, polygon, saved

ROOT = Path(__file__).parents[2]
STEM = polygon((100, 0), (100, 700), (300, 700), (300, 0))
HEAVY = ("numpy", "shapely", "fontTools", "click", "numba", "typst")


@pytest.fixture
def conversion(tmp_path):
    return converted(tmp_path, "SIL Open Font License")


def converted(folder: Path, licence: str, checked: str = ""):
    font = builder({"I": STEM, "space": lambda pen: None}, sCapHeight=700)
    font.setupNameTable({"familyName": "Shore", "styleName": "Regular", "licenseDescription": licence})
    path = folder / "shore.ttf"
    path.write_bytes(saved(font))
    opened = load_font(path)
    chosen = choose_glyphs(opened, glyphs="*").glyphs
    return convert(opened, chosen, judge_licence(opened, folder, checked), Settings())


def test_the_readme_s_example_runs_and_writes_a_set(tmp_path, monkeypatch, capsys):
    (text,) = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    assert len(text.splitlines()) <= 14  # about a dozen lines
    shutil.copytree(ROOT / "sample_fonts/jost", tmp_path / "sample_fonts/jost")
    monkeypatch.chdir(tmp_path)
    exec(compile(text, "README.md", "exec"), {})
    said = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in said] == [*"KELP"]
    assert [glyph.text for glyph in read_pattern(tmp_path / "out/kelp").glyphs] == [*"KELP"]


def test_every_name_is_there_and_told():
    assert set(converter.__all__) <= set(dir(converter))
    for name in converter.__all__:
        assert inspect.getdoc(getattr(converter, name)), name
    with pytest.raises(AttributeError, match="no attribute 'shore'"):
        converter.shore  # noqa: B018


def loaded_by(statement: str) -> set[str]:
    code = f"{statement}\nimport sys; print(*sys.modules)"
    return set(
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        ).stdout.split()
    )


def test_importing_the_package_loads_nothing_that_takes_time():
    assert not loaded_by("import converter") & set(HEAVY)


@pytest.mark.parametrize("command", ["blank", "fabric", "print", "words"])
def test_commands_that_convert_nothing_load_nothing_of_the_search(command):
    loaded = loaded_by(f"import converter.cli.{command}_command")
    assert not loaded & {"numba", "converter.sewing", "converter.straighten"}


def test_a_set_is_written_with_edits_kept_and_can_be_discarded(conversion, tmp_path):
    folder = tmp_path / "set"
    assert write_set(folder, conversion).checked == ()
    path = folder / "blocks/I_.svg"
    path.write_text(edited := path.read_text(encoding="utf-8") + "<!-- mine -->", encoding="utf-8")
    (checked,) = write_set(folder, conversion).checked
    assert checked.after.key == "I_"
    assert path.read_text(encoding="utf-8") == edited
    with pytest.raises(InputError, match="no edit"):
        write_set(folder, conversion, ["L_"])
    assert write_set(folder, conversion, ["I_"]).checked == ()
    assert path.read_text(encoding="utf-8") != edited
    assert (folder / "backups/I_.1.svg").read_text(encoding="utf-8") == edited


def test_the_size_that_limits_refer_to_is_kept_for_what_was_placed(conversion):
    # 4 in less two margins of 1/4 in is the height of capitals; a space has nothing to place.
    sizes = {made.glyph.name: made.size for made in conversion.made}
    assert sizes == {"I": pytest.approx(3.5 * 25.4), "space": 0.0}


def test_a_restricted_licence_is_refused_without_a_word_of_one_s_own(tmp_path):
    with pytest.raises(InputError, match="its licence does not allow this"):
        converted(tmp_path, "All rights reserved.")
    assert converted(tmp_path, "All rights reserved.", "Ann, May 2026, asked the foundry").pattern.glyphs
