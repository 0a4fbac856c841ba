"""``alphabet.toml``, and the settings of a run: command line before file before defaults."""

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from converter.budgets.files import SETTINGS_BYTES
from converter.errors import InputError
from converter.files import read_file
from converter.publication import KEY as PATTERN
from converter.publication import Publication, read_publication
from converter.settings.definitions import OWN, RUN, GlyphSettings, Setting, Settings, treatment_number
from converter.settings.kinds import naming, near


def resolve_settings(file: Path | None, given: Mapping[str, Any]) -> Settings:
    """The settings of a run: ``given`` (by name; lengths in mm; None where not given) over the file's.

    Raises :class:`InputError` for a file that cannot be read, unknown keys, and values that make no sense.
    """
    values = _from_file(file) if file is not None else {}
    limits = {**values.pop("limits", {}), **(given.get("limits") or {})}
    values |= {name: value for name, value in given.items() if value is not None}
    return Settings(**(values | {"limits": limits}))


def read_pattern_table(file: Path | None) -> tuple[Publication, dict[str, str]]:
    """What a settings file says of the pattern as a publication, and the paths of its pictures by their names.

    Raises :class:`InputError` as :func:`resolve_settings` does.
    """
    if file is None:
        return Publication(), {}
    return read_publication(_read_table(file).get(PATTERN, {}), f"{file.name}: {PATTERN}")


def read_accepted(file: Path) -> dict[str, Mapping[str, str]]:
    """The findings that a settings file accepts, by the glyphs' names.

    Raises :class:`InputError` as :func:`resolve_settings` does.
    """
    return {name: own.accept for name, own in _from_file(file)["glyphs"].items() if own.accept}


def read_settings_text(file: Path) -> str:
    """The text of a settings file. Raises :class:`InputError` where there is none that can be read."""
    try:
        return read_file(file, SETTINGS_BYTES.most).decode("utf-8")
    except FileNotFoundError:
        raise InputError(f"{file}: there is no such file.") from None
    except UnicodeDecodeError:
        raise InputError(f"{file.name}: the settings cannot be read (the file is not UTF-8 text).") from None


def own_of_text(text: str, name: str) -> tuple[dict[str, GlyphSettings], dict[str, int]]:
    """What the text of a settings file of that name sets for single glyphs, and for parts, by their names.

    Raises :class:`InputError` as :func:`resolve_settings` does.
    """
    values = _from_table(_parsed(text, name), name)
    return values["glyphs"], values["parts"]


def _read_table(file: Path) -> dict[str, Any]:
    return _parsed(read_settings_text(file), file.name)


def _parsed(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(f"{name}: the settings cannot be read ({error}).") from None


def _from_file(file: Path) -> dict[str, Any]:
    return _from_table(_read_table(file), file.name)


def _from_table(table: dict[str, Any], name: str) -> dict[str, Any]:
    table.pop(PATTERN, None)
    with naming(name):
        glyphs, parts = (_table(table.pop(kind, {}), kind) for kind in ("glyph", "part"))
        return _values(table, RUN) | {
            "glyphs": {name: _of_glyph(name, own) for name, own in glyphs.items()},
            "parts": {name: _of_part(name, own) for name, own in parts.items()},
        }


def _of_glyph(name: str, own: Any) -> GlyphSettings:
    table = _table(own, f"glyph.{name}")
    with naming(f"glyph.{name}"):
        return GlyphSettings(**_values(table, OWN))


def _of_part(name: str, own: Any) -> int:
    table = _table(own, f"part.{name}")
    if set(table) != {"treatment"}:
        raise InputError(f"part.{name}: give it a treatment, and nothing else.")
    return treatment_number(name, table["treatment"])


def _table(value: Any, name: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise InputError(f"{name}: must be a table.")
    return value


def _values(table: Mapping[str, Any], settings: Mapping[str, Setting]) -> dict[str, Any]:
    values = {}
    for key, value in table.items():
        if key not in settings:
            there = ", ".join(sorted(settings))
            raise InputError(f"unknown setting {key!r}{near(key, settings)}; choose from {there}.")
        with naming(key):
            values[key] = settings[key].kind.from_file(value)
    return values
