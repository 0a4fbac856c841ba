"""What README.md and DEVELOPERS.md say is there is there: commands, options, settings, links, modules."""

import re
import shlex
from pathlib import Path

import click
import pytest

from converter.cli import COMMANDS as NAMES
from converter.cli import cli
from converter.cli.layout_file import read_layout
from converter.cli.words_types import folder_name
from converter.fonts.loading import load_font
from converter.settings import read_pattern_table, resolve_settings

ROOT = Path(__file__).parents[2]
README, DEVELOPERS = ((ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md"))
TEXTS = README + DEVELOPERS
COMMANDS = sorted(
    set(
        re.findall(
            r"(?<=font2foundation )(?:convert|check|blank|print|words|fabric|mats|demo|store)\b[^`\n&|]*",
            TEXTS,
        )
    )
)
TOML = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)
CONTEXT = click.Context(cli)
OPTIONS = {
    name for command in NAMES for option in cli.get_command(CONTEXT, command).params for name in option.opts
}


@pytest.mark.parametrize("line", COMMANDS)
def test_every_command_can_be_given_as_it_stands(line):
    name, *arguments = shlex.split(line.replace("$font", "font.ttf"))
    cli.get_command(CONTEXT, name).make_context(name, arguments)


@pytest.mark.parametrize("name", NAMES)
def test_the_help_of_every_command_ends_with_an_example_that_can_be_given(name):
    command = cli.get_command(CONTEXT, name)
    last = command.get_help(click.Context(command)).rstrip().splitlines()[-1]
    program, command_name, *arguments = shlex.split(last)
    assert (program, command_name) == ("font2foundation", name)
    command.make_context(name, arguments)


def test_an_option_means_the_same_in_every_command():
    # Of one name: of one kind, and with the same words or at least the same default.
    found = {}
    for name in NAMES:
        for option in cli.get_command(CONTEXT, name).params:
            if isinstance(option, click.Option):
                for said in option.opts:
                    choices = getattr(option.type, "choices", None)
                    found.setdefault(said, set()).add(
                        (option.is_flag, option.type.name, choices and tuple(choices))
                    )
    assert {said: kinds for said, kinds in found.items() if len(kinds) > 1} == {}


def test_every_option_that_the_readme_names_is_there():
    named = set(re.findall(r"(?<![\w-])--[a-z][a-z-]+", README))
    others = {
        "--help",
        "--read",
        "--dist",
        "--minutes",
        "--port",
        "--protocol",
        "--nthreads",
        "--nworkers",
    }  # of every command; of the benchmark; of pytest; of the fuzzer; of Dask
    assert len(named) > 20
    assert named - others <= OPTIONS


def test_the_settings_in_the_readme_are_settings(tmp_path):
    (text,) = [text for text in TOML if text.startswith("block")]
    (pattern,) = [text for text in TOML if text.startswith("[pattern]")]
    (tmp_path / "alphabet.toml").write_text(text + pattern, encoding="utf-8")
    said, pictures = read_pattern_table(tmp_path / "alphabet.toml")
    assert said.title
    assert set(pictures) == {"cover", "logo"}
    settings = resolve_settings(tmp_path / "alphabet.toml", {})
    assert {"S", "W"} == set(settings.glyphs)
    settings.check_names(load_font(ROOT / "sample_fonts/archivo_black/archivo-black-latin-400-normal.woff2"))


def test_the_layout_file_in_the_readme_is_one(tmp_path):
    (text,) = [text for text in TOML if "[[item]]" in text]
    (tmp_path / "labels.toml").write_text(text, encoding="utf-8")
    items = read_layout(tmp_path / "labels.toml", cli.get_command(CONTEXT, "words"), folder_name)
    assert [item.letter_size for item in items] == ["drawers"] * 2
    assert items[1].given["spacing"] == (True, 0.0)


@pytest.mark.parametrize("target", sorted(set(re.findall(r"\]\(([\w./-]+)\)", TEXTS))))
def test_every_link_leads_somewhere(target):
    assert (ROOT / target).is_file()


def test_the_map_for_contributors_has_every_module_and_no_other():
    there = {"pages", "typeface"}  # folders of printing
    for path in (ROOT / "converter").rglob("*"):
        if (
            path.suffix in (".py", ".js")
            and not path.stem.startswith("__")
            and not path.stem.endswith("_command")
        ):
            there.add(path.stem)
    rows = DEVELOPERS.split("| module |")[1].split("\n\n")[0].splitlines()[2:]
    named = {name for row in rows for name in re.findall(r"`(\w+)/?`", row.split("|")[1])}
    assert named == there
