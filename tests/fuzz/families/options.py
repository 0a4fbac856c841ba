"""Commands with options of any value: those that tests keep as hostile, and random ones of every option."""

import random

import click

from converter.cli import COMMANDS, cli
from tests.cli.damage import MARKUP, STEERING, TYPST
from tests.cli.sea import sea_font
from tests.cli.test_hostile_options import HOSTILE
from tests.fuzz.running import Case
from tests.fuzz.sets import OWN, sound_set

Dice = random.Random
FONT = sea_font()
ALWAYS = {
    "convert": ("sea.ttf", "--effort", "draft", "--jobs", "1", "--text", "I", "--out", "new", "--quiet"),
    "check": ("set", "--quiet"),
    "print": ("set", "--out", "new", "--quiet"),
    "words": ("set", "IT", "--no-print", "--out", "new", "--quiet"),
    "fabric": ("set", "--out", "new", "--quiet"),
    "mats": ("set", "--out", "new", "--quiet"),
    "blank": ("eacute", "--out", "new.svg"),
    "demo": ("--fonts", "nowhere", "--out", "new", "--quiet"),
}
UNTRIED = {"watch", "jobs", "out", "help", "effort"}  # without end, beside others, or said above
VALUES = (
    "", " ", "0", "1", "-1", "2", "1.5", "1e9", "1e999", "nan", "inf", "9" * 400, "0in", "1in", "1/0in", "1/3in",
    "-1in", "1000in", "5x5in", "0x0in", "12x12in", "99999x99999mm", "3x4", "1in,2in,3in,4in", "1in,", "left=1/2in",
    "up=1in", "rust", "rust=", "=rust", "K=rust", "T=#9c3f1d", "old shirt=#9c3f1d", "#12345", "T:A1,A2=rust",
    "T:ZZ=rust", "eye", "eye+9in", "eye-9in", "none", "a4", "letter", "both", "word", "sections=3", "sections=nan",
    "wght=1e300", "x=",    "U+41-5A", "0-10FFFF", "*", "I,L", "{leaf}", "{{", "}", "kelp\udcff", ".", "nowhere",
    "sea.ttf", "set", "set/pattern.json", "pipe", STEERING.replace("\x00", ""), TYPST, MARKUP, "w" * 100_000,
)  # fmt: skip


def case(dice: Dice) -> Case:
    """One command with one to three options of its own."""
    files = sound_set() | {"sea.ttf": FONT}
    if dice.random() < 0.15:
        name = dice.choice(tuple(HOSTILE))
        return Case("kept", HOSTILE[name], files, kept=(*OWN, "sea.ttf"), codes=frozenset({2}), most_lines=1)
    name = dice.choice(COMMANDS)
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    options = [p for p in command.params if isinstance(p, click.Option) and p.name not in UNTRIED]
    arguments = [name, *ALWAYS[name]]
    for option in dice.sample(options, min(len(options), dice.choice((1, 1, 2, 3)))):
        arguments += _said(dice, option)
    if dice.random() < 0.1:
        arguments[1] = dice.choice(VALUES)
    return Case(
        name, tuple(arguments), files, pipes=("pipe",), kept=(*OWN, "sea.ttf"), most_lines=6, seconds=10.0,
    )  # fmt: skip


def _said(dice: Dice, option: click.Option) -> list[str]:
    if option.is_flag:
        return [option.opts[-1]]
    value = dice.choice(VALUES)
    if isinstance(option.type, click.Choice) and dice.random() < 0.7:
        value = dice.choice(tuple(map(str, option.type.choices)))
    return [f"{option.opts[-1]}={value}"]
