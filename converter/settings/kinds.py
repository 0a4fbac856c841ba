"""What the value of a setting may be: how it is read, and what makes no sense.

A value comes from the command line as text (:meth:`Kind.read`), from ``alphabet.toml`` (:meth:`Kind.from_file`) or
from the settings in a pattern (:meth:`Kind.from_pattern`), and is then checked. What is wrong is an
:class:`InputError` that says what to give instead; whoever catches it says of which setting.
"""

import math
from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from converter.errors import InputError
from converter.limits import resolve_limits
from converter.units import parse_length, parse_size


class Kind(ABC):
    """One kind of value. ``name`` is what the help calls it."""

    name = "text"

    def read(self, text: str) -> Any:
        """The value in a text of the command line."""
        return text

    @abstractmethod
    def from_pattern(self, value: Any) -> Any:
        """The value in a pattern's settings, or the error that says what it must be."""

    def from_file(self, value: Any) -> Any:
        """The value in a settings file."""
        return self.from_pattern(value)

    @abstractmethod
    def check(self, value: Any, side: float) -> None:
        """Raises :class:`InputError` for a value that makes no sense. ``side``: the block's smaller one, in mm."""


@dataclass(frozen=True, slots=True)
class Length(Kind):
    """A length in mm, between ``least`` and ``most``, and no more than a ``share`` of the block's smaller side."""

    least: float = 0.0
    most: float = math.inf
    share: float = math.inf
    name = "length"

    def read(self, text: str) -> float:
        """Millimetres of a length with a unit."""
        return parse_length(text)

    def from_file(self, value: Any) -> float:
        """The same, from a text in quotes."""
        return parse_length(_text(value, '"1/4in"'))

    def from_pattern(self, value: Any) -> float:
        """Millimetres."""
        return _number(value)

    def check(self, value: Any, side: float) -> None:
        """Within the bounds, and finite."""
        most = min(self.most, self.share * side)
        if not (math.isfinite(value) and self.least <= value <= most):
            bounds = f"{self.least:g} mm or more" if math.isinf(most) else f"{self.least:g} to {most:g} mm"
            raise InputError(f"{value:g} mm makes no sense here; take {bounds}.")


@dataclass(frozen=True, slots=True)
class Size(Kind):
    """Width and height in mm, each between ``least`` and ``most``."""

    least: float
    most: float
    name = "size"

    def read(self, text: str) -> tuple[float, float]:
        """Millimetres of a size with a unit."""
        return parse_size(text)

    def from_file(self, value: Any) -> tuple[float, float]:
        """The same, from a text in quotes."""
        return parse_size(_text(value, '"3x4in"'))

    def from_pattern(self, value: Any) -> tuple[float, float]:
        """Two numbers, in mm."""
        if not (isinstance(value, list | tuple) and len(value) == 2):
            raise InputError("must be width and height.")
        return _number(value[0]), _number(value[1])

    def check(self, value: Any, side: float) -> None:
        """Both within the bounds."""
        for one in value:
            if not self.least <= one <= self.most:
                raise InputError(
                    f"a side of {one:g} mm makes no sense; take {self.least:g} to {self.most:g} mm."
                )


@dataclass(frozen=True, slots=True)
class Number(Kind):
    """A number of ``unit`` between ``least`` and ``most``."""

    unit: str
    least: float
    most: float
    name = "number"

    def read(self, text: str) -> float:
        """The number."""
        try:
            return float(text)
        except ValueError:
            raise InputError(f"{text!r} is not a number.") from None

    def from_pattern(self, value: Any) -> float:
        """The number, and no text."""
        return _number(value)

    def check(self, value: Any, side: float) -> None:
        """Within the bounds; what is not a number is not."""
        if not self.least <= value <= self.most:
            raise InputError(f"{value:g} {self.unit} makes no sense; take {self.least:g} to {self.most:g}.")


@dataclass(frozen=True, slots=True)
class Count(Kind):
    """A whole number of ``unit`` from 1 to ``most``."""

    unit: str
    most: int
    name = "whole number"

    def read(self, text: str) -> int:
        """The number."""
        try:
            return int(text)
        except ValueError:
            raise InputError(f"{text!r} is not a whole number.") from None

    def from_pattern(self, value: Any) -> int:
        """The number, and no text, fraction or truth."""
        if type(value) is not int:
            raise InputError("must be a whole number, 1 or more.")
        return value

    def check(self, value: Any, side: float) -> None:
        """Within the bounds."""
        if not 1 <= value <= self.most:
            raise InputError(f"{value} {self.unit} makes no sense; take a whole number, 1 to {self.most}.")


@dataclass(frozen=True, slots=True)
class Choice(Kind):
    """One of a few words."""

    choices: tuple[str, ...]

    def from_pattern(self, value: Any) -> Any:
        """The word."""
        self.check(value, 0.0)
        return value

    def check(self, value: Any, side: float) -> None:
        """One of those that there are."""
        if value not in self.choices:
            raise InputError(f"there is no {value!r}; there is {', '.join(self.choices)}.")


@dataclass(frozen=True, slots=True)
class Colour(Kind):
    """A colour as ``#rrggbb``."""

    name = "colour"

    def from_pattern(self, value: Any) -> str:
        """The colour, in quotes."""
        return _text(value, '"#1f4e5f"')

    def check(self, value: Any, side: float) -> None:
        """Six digits, small letters."""
        if not (len(value) == 7 and value[0] == "#" and set(value[1:]) <= set("0123456789abcdef")):
            raise InputError(f"{value!r} is not a colour; write it like #1f4e5f.")


@dataclass(frozen=True, slots=True)
class Limits(Kind):
    """Thresholds by the names in :mod:`converter.limits`."""

    def from_pattern(self, value: Any) -> dict[str, float]:
        """A table of numbers."""
        return _table(value, (int, float), "numbers")

    def check(self, value: Any, side: float) -> None:
        """Names that there are, numbers above 0."""
        resolve_limits(value)


@dataclass(frozen=True, slots=True)
class Reasons(Kind):
    """Reasons by the ids of findings, of which only some may be named."""

    findings: tuple[str, ...]

    def from_pattern(self, value: Any) -> dict[str, str]:
        """A table of texts."""
        return _table(value, (str,), "reasons")

    def check(self, value: Any, side: float) -> None:
        """Findings that there are."""
        for finding in value:
            if finding not in self.findings:
                raise InputError(f"there is no finding {finding!r}{near(finding, self.findings)}.")


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
        raise InputError(f"must be in quotes, like {like}.")
    return value


def _number(value: Any) -> float:
    if type(value) not in (int, float):  # exactly these: true is an int, but no number
        raise InputError("must be a number.")
    return float(value)


def _table(value: Any, kinds: tuple[type, ...], of: str) -> dict[str, Any]:
    if not isinstance(value, Mapping) or not all(type(v) in kinds for v in value.values()):
        raise InputError(f"must be a table of {of}.")
    return dict(value)
