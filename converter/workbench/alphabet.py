"""``alphabet.toml`` as a designer chooses on the page: comments, order and all else in the file stay as they are."""

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AbstractTable

from converter.errors import InputError
from converter.settings import Settings
from converter.settings.definitions import OWN, RUN

ALPHABET = "alphabet.toml"
_HEAD = "Settings of this set; convert takes them with --settings."
_LENGTHS = {name for name, setting in {**RUN, **OWN}.items() if setting.kind.name == "length"}

Changes = Mapping[str, Mapping[str, Any]]  # by a glyph's name: keys with their values; None takes a key away


def changed_text(text: str, changes: Changes) -> str:
    """The text of a settings file with changes in the tables of glyphs.

    ``accept`` is a mapping of its own: reasons by the ids of findings. Raises :class:`InputError` for a text that
    is no TOML, or has something else where a table belongs.

    >>> print(changed_text("detail = 'fine'  # ours", {"S": {"detail": "coarse"}}))
    detail = 'fine'  # ours
    [glyph.S]
    detail = "coarse"
    <BLANKLINE>
    """
    try:
        document = tomlkit.parse(text)
        glyphs = _table(document, "glyph", is_super=True)
        for name, own in changes.items():
            table = _table(glyphs, name)
            for key, value in own.items():
                if key == "accept":
                    _accept(table, value)
                else:
                    _put(table, key, value)
            if not table and "#" not in table.as_string():
                del glyphs[name]
        if not glyphs:
            del document["glyph"]
        changed = tomlkit.dumps(document)
        return changed if text.endswith("\n\n") else changed.rstrip("\n") + "\n"
    except (TOMLKitError, TypeError, AttributeError) as error:
        raise InputError(f"{ALPHABET}: the settings cannot be read ({error}).") from None


def first_text(settings: Settings) -> str:
    """The text of a settings file for a set that has none: all that is set for it, and is not usual."""
    document = tomlkit.document()
    document.add(tomlkit.comment(_HEAD))
    usual = Settings().echo()
    for name, value in settings.echo().items():
        if name in RUN and name not in ("limits", "units") and value != usual[name] and value is not None:
            document[name] = _written(name, value)
    said = {n: value for n, value in settings.limits.items() if value != Settings().limits[n]}
    if said:
        document["limits"] = said
    own = settings.echo()["glyphs"]
    assert isinstance(own, dict)
    return changed_text(tomlkit.dumps(document), own)


def _table(parent: Any, name: str, is_super: bool = False) -> Any:
    if name not in parent:
        parent[name] = tomlkit.table(is_super_table=is_super)
    if not isinstance(parent[name], AbstractTable | Mapping):
        raise TypeError(f"{name} is no table")
    return parent[name]


def _accept(table: Any, reasons: Mapping[str, str | None]) -> None:
    accept = table.get("accept")
    if accept is None:
        accept = table["accept"] = tomlkit.inline_table()
    for finding, reason in reasons.items():
        _put(accept, finding, reason)
    if not accept:
        del table["accept"]


def _put(table: Any, key: str, value: Any) -> None:
    if value is not None:
        table[key] = _written(key, value)
    elif key in table:
        del table[key]


def _written(name: str, value: Any) -> Any:
    """A value as the file has it: lengths in quotes, with their unit."""
    if name in _LENGTHS and not isinstance(value, str):
        return f"{value:g}mm"
    if name == "block":
        return f"{value[0]:g}x{value[1]:g}mm"
    return value
