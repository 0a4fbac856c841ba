"""A layout file: texts with their options, kept to be made again, several of them in letters of one size.

Its keys are the options of ``words``, with ``_`` for ``-``: what can be said on the command line can be kept, and
nothing else has to be learnt. Keys above the first ``[[item]]`` hold for all items.
"""

import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

import click

from converter.budgets.files import ITEMS
from converter.cli.reading import read_toml
from converter.errors import InputError

_OWN = ("set", "text", "name", "letter_size")  # what is no option; folders are read from where the file lies
_UNKEPT = {"folder", "lines", "sampler", "columns", "out", "quiet", "layout", "keep", "help"}


@dataclass(frozen=True, slots=True)
class Item:
    """One text of the file. ``letter_size``: a name that items of one size share, or empty."""

    name: str
    given: Mapping[str, Any]  # as the command's own options would be
    letter_size: str


def read_layout(path: Path, command: click.Command, name_of: Any) -> tuple[Item, ...]:
    """The items of a layout file, their options read by the command itself.

    ``name_of`` makes a name from a text where none is given. Raises :class:`InputError` saying where.
    """
    data = read_toml(path)
    listed = data.pop("item", None)
    if not isinstance(listed, list) or not listed or not all(isinstance(one, dict) for one in listed):
        raise InputError(f"{path}: there is no [[item]] in it; each text is an item, with a key text.")
    if len(listed) > ITEMS.most:
        raise InputError(f"{path}: {len(listed)} items; at most {ITEMS.most} can be made at once.")
    items: list[Item] = []
    for number, own in enumerate(listed, 1):
        where = f"{path}: item {number}"
        item = _item({**data, **own}, where, path.parent, command, name_of)
        if item.name.casefold() in {known.name.casefold() for known in items}:
            raise InputError(f"{where}: there are two items called {item.name!r}; give one another name.")
        items.append(item)
    return tuple(items)


def layout_text(command: click.Command, arguments: Sequence[str], folder: Path) -> str:
    """The command's arguments as a layout file that lies in ``folder``."""
    context = click.Context(command)
    found, _, _ = command.make_parser(context).parse_args(list(arguments))
    named = {p.name: p for p in command.params if isinstance(p, click.Option)}
    rows = [f"set = {_value(_relative(found['folder'], folder))}"]
    for key, value in found.items():
        if key in named and key not in _UNKEPT:
            name = named[key].opts[-1].removeprefix("--").replace("-", "_")
            paths = [_relative(each, folder) for each in value] if key == "also" else value
            rows.append(f"{name} = {_value(paths)}")
    texts = [str(line) for line in found["lines"]]
    return "\n".join([*rows, "", "[[item]]", f"text = {_value(texts[0] if len(texts) == 1 else texts)}", ""])


def _item(values: dict[str, Any], where: str, folder: Path, command: click.Command, name_of: Any) -> Item:
    own = {key: values.pop(key, "") for key in _OWN}
    texts = own["text"] if isinstance(own["text"], list) else [own["text"]]
    if not all(isinstance(text, str) for text in texts) or not "".join(texts).strip():
        raise InputError(f'{where}: a text is missing; write text = "KELP", or a list of lines.')
    for key in ("set", "name", "letter_size"):
        if not isinstance(own[key], str):
            raise InputError(f"{where}: {key} is not in quotes.")
    if not own["set"]:
        raise InputError(f"{where}: the set is missing; write set = and the folder that convert wrote.")
    arguments = [
        part for key, value in values.items() for part in _argument(key, value, where, folder, command)
    ]
    arguments += ["--", str(folder / own["set"]), *texts]
    try:
        given = command.make_context("words", arguments).params
    except (click.UsageError, InputError) as error:
        message = error.format_message() if isinstance(error, click.UsageError) else str(error)
        raise InputError(f"{where}: {' '.join(message.split())}") from None
    return Item(_safe(own["name"] or name_of("\n".join(texts)), where), given, own["letter_size"])


def _argument(key: str, value: Any, where: str, folder: Path, command: click.Command) -> list[str]:
    """One key as the command line has it."""
    option = f"--{key.replace('_', '-')}"
    known = {
        o: p for p in command.params if isinstance(p, click.Option) and p.name not in _UNKEPT for o in p.opts
    }
    if option not in known:
        keys = ", ".join(sorted([*_OWN, *(o.removeprefix("--").replace("-", "_") for o in known)]))
        raise InputError(f"{where}: there is no key {key[:40]!r}; there are {keys}.")
    flag = getattr(known[option], "is_flag", False)
    if flag and isinstance(value, bool):
        return [option] if value else []
    many = value if isinstance(value, list) else [value]
    if flag or any(isinstance(one, bool) or not isinstance(one, str | int | float) for one in many):
        raise InputError(
            f"{where}: {key} is {'true or false' if flag else 'a text in quotes, or a list of them'}."
        )
    return [f"{option}={folder / str(one) if key == 'also' else one}" for one in many]


def _safe(name: str, where: str) -> str:
    """A name of folders below the file's own. Raises :class:`InputError` for one that leads elsewhere."""
    path = PurePosixPath(name)
    if (
        path.is_absolute()
        or not path.parts
        or any(p == ".." or set(p) & set('\\:*?"<>|') for p in path.parts)
    ):
        raise InputError(f"{where}: the name {name[:40]!r} cannot be a folder; use letters, digits, - and /.")
    return str(path)


def _relative(path: str | Path, folder: Path) -> str:
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # another drive
        return Path(path).absolute().as_posix()


def _value(value: Any) -> str:
    """Texts, lists and switches in TOML, whose basic strings are those of JSON."""
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_value, value))}]"
    return json.dumps(value if isinstance(value, bool) else str(value), ensure_ascii=False).replace(
        "\x7f", "\\u007f"
    )
