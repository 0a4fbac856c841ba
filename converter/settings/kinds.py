"""What the value of a setting may be: how it is read, and what makes no sense.

What is wrong is an :class:`InputError` that says what to give instead; :func:`naming` says of which setting.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from converter.errors import InputError
from converter.limits import resolve_limits
from converter.measures import Units, measured_text
from converter.units import parse_length, parse_size


@dataclass(frozen=True, slots=True)
class Of:
    """What a value is checked for: the block's smaller side, in mm, and the units that messages speak in."""

    side: float
    units: Units


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of value; ``name`` is what the help calls it.

    ``check`` is also told what it is checked for. ``parse`` takes the value from a pattern's settings or a
    settings file, ``read`` from a text on the command line. ``like``: a value with a unit, which stands as such a text
    in the file, too. ``choices``: the words that there are, where it is one of a few.
    """

    name: str
    check: Callable[[Any, "Of"], None]
    parse: Callable[[Any], Any]
    read: Callable[[str], Any] = str
    like: str = ""
    choices: tuple[str, ...] = ()

    def from_file(self, value: Any) -> Any:
        """The value in a settings file."""
        return self.read(_text(value, self.like)) if self.like else self.parse(value)


def length(least: float = 0.0, most: float = math.inf, share: float = math.inf) -> Kind:
    """A length in mm, between bounds, and no more than a ``share`` of the block's smaller side."""

    def check(value: float, of: Of) -> None:
        top = min(most, share * of.side)
        if not (math.isfinite(value) and least <= value <= top):
            said, low = (measured_text(mm, of.units) for mm in (value, least))
            bounds = f"{low} or more" if math.isinf(top) else f"{low} to {measured_text(top, of.units)}"
            raise InputError(f"must be {bounds}, not {said}.")

    return Kind("length", check, _number, parse_length, like="1/4in")


def size(least: float, most: float) -> Kind:
    """Width and height in mm, each between bounds."""

    def check(value: tuple[float, float], of: Of) -> None:
        for side in value:
            if not least <= side <= most:
                said, low, high = (measured_text(mm, of.units) for mm in (side, least, most))
                raise InputError(f"a side must be {low} to {high}, not {said}.")

    def parse(value: Any) -> tuple[float, float]:
        if not (isinstance(value, list | tuple) and len(value) == 2):
            raise InputError("must be width and height.")
        return _number(value[0]), _number(value[1])

    return Kind("size", check, parse, parse_size, like="3x4in")


def number(unit: str, least: float, most: float) -> Kind:
    """A number of ``unit`` between bounds."""

    def check(value: float, _: Of) -> None:
        if not least <= value <= most:  # also where it is no number
            raise InputError(f"must be {least:g} to {most:g} {unit}, not {value:g}.")

    return Kind("number", check, _number, lambda text: _counted(float, text, "a number"))


def count(unit: str, most: int) -> Kind:
    """A whole number of ``unit`` from 1 to ``most``."""

    def check(value: int, _: Of) -> None:
        if not 1 <= value <= most:
            raise InputError(f"must be a whole number, 1 to {most}, not {value}.")

    def parse(value: Any) -> int:
        if type(value) is not int:  # exactly this: true is one, too
            raise InputError("must be a whole number, 1 or more.")
        return value

    return Kind("whole number", check, parse, lambda text: _counted(int, text, "a whole number"))


def choice(words: Iterable[str]) -> Kind:
    """One of a few words."""
    choices = tuple(words)

    def parse(value: Any) -> Any:
        if value not in choices:
            raise InputError(f"{value!r} is not a choice; choose {', '.join(choices)}.")
        return value

    return Kind("word", lambda value, _: parse(value), parse, choices=choices)


def reasons(findings: Iterable[str]) -> Kind:
    """Reasons by the ids of findings, of which only some may be named."""

    def check(value: Mapping[str, str], _: Of) -> None:
        for finding in value:
            if finding not in findings:
                raise InputError(f"unknown finding {finding!r}{near(finding, findings)}.")

    return Kind("reasons", check, lambda value: _table(value, (str,), "reasons"))


@contextmanager
def naming(what: str) -> Iterator[None]:
    """Puts a name before the message of an :class:`InputError`, such as the setting's."""
    try:
        yield
    except InputError as error:
        raise InputError(f"{what}: {error}") from None


def near(name: str, names: Iterable[str]) -> str:
    """The names most like a mistyped one, in brackets; nothing where none is."""
    found = get_close_matches(name, sorted(names))
    return f" (did you mean {' or '.join(found)}?)" if found else ""


def _text(value: Any, like: str) -> str:
    if not isinstance(value, str):
        raise InputError(f'must be in quotes, like "{like}".')
    return value


def _number(value: Any) -> float:
    if type(value) not in (int, float):  # exactly these: true is an int, but no number
        raise InputError("must be a number.")
    return float(value)


def _counted(kind: type[int] | type[float], text: str, what: str) -> float:
    try:
        return kind(text)
    except ValueError:
        raise InputError(f"{text!r} is not {what}.") from None


def _table(value: Any, kinds: tuple[type, ...], of: str) -> dict[str, Any]:
    if not isinstance(value, Mapping) or not all(type(v) in kinds for v in value.values()):
        raise InputError(f"must be a table of {of}.")
    return dict(value)


def _check_colour(value: str, _: Of) -> None:
    if not (len(value) == 7 and value[0] == "#" and set(value[1:]) <= set("0123456789abcdef")):
        raise InputError(f"{value!r} is not a colour; write it like #1f4e5f.")


def _check_limits(value: Mapping[str, float], _: Of) -> None:
    resolve_limits(value)


COLOUR = Kind("colour", _check_colour, lambda value: _text(value, "#1f4e5f"))  # as #rrggbb
LIMITS = Kind("limits", _check_limits, lambda value: _table(value, (int, float), "numbers"))  # by name
