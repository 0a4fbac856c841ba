"""Lengths as makers write them. Inside the program every length is in millimetres.

Source of the factors: international yard and pound agreement of 1959 (1 in = 25.4 mm exactly);
CSS Values and Units, absolute lengths (1 in = 72 pt).
"""

import re
from fractions import Fraction
from typing import Literal

from converter.budgets.words import LENGTH
from converter.errors import InputError

Unit = Literal["in", "mm", "cm"]

MM_PER_INCH = 25.4
POINTS_PER_MM = 72 / MM_PER_INCH

_INCH = Fraction("25.4")
_MM_PER_UNIT = {"in": _INCH, '"': _INCH, "″": _INCH, "mm": Fraction(1), "cm": Fraction(10)}
_UNIT_NAMES: dict[str, Unit] = {"mm": "mm", "cm": "cm"}  # all others are inches
_NUMBER = r"(?:(?:\d+[ -])?\d+/\d+|\d+(?:\.\d+)?|\.\d+)"
_UNIT = r"(?:in|\"|″|mm|cm)"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*({_UNIT})\s*", re.IGNORECASE)
_SIZE = re.compile(rf"\s*({_NUMBER})\s*({_UNIT})?\s*[x×]\s*({_NUMBER})\s*({_UNIT})\s*", re.IGNORECASE)


def _mm(number: str, unit: str) -> float:
    """Worked out in fractions, so that 3 in is 76.2 mm and not a hair less."""
    try:
        value = sum((Fraction(part) for part in re.split("[ -]", number)), Fraction(0))
    except ZeroDivisionError:
        raise InputError(f"{number}: a fraction cannot have 0 as its denominator.") from None
    return float(value * _MM_PER_UNIT[unit.lower()])


def _bounded(text: str) -> str:
    """Raises :class:`InputError` for numbers that nobody writes, before anything is worked out of them."""
    if len(text) > LENGTH.most:
        raise InputError(f"{text[: LENGTH.most]!r}… is too long for a length; write it like 1/4in or 6.5mm.")
    return text


def parse_length(text: str) -> float:
    """Millimetres of a length such as ``3in``, ``2 5/8in``, ``1/8in``, ``6.35mm`` or ``2cm``.

    Raises :class:`InputError` when the text is not a length with a unit.

    >>> parse_length("2 5/8in"), parse_length("7.5cm")
    (66.675, 75.0)
    """
    match = _LENGTH.fullmatch(_bounded(text))
    if match is None:
        raise InputError(f"{text!r} is not a length; write it like 1/4in, 2 5/8in or 6.5mm.")
    return _mm(match[1], match[2])


class Size(tuple[float, float]):
    """Width and height in mm, with the unit that they were written in."""

    unit: Unit

    def __new__(cls, width: float, height: float, unit: Unit) -> "Size":
        """A pair that remembers its unit."""
        size = super().__new__(cls, (width, height))
        size.unit = unit
        return size

    def __getnewargs__(self) -> tuple[float, float, Unit]:
        return self[0], self[1], self.unit


def parse_size(text: str) -> Size:
    """Width and height in millimetres of a size such as ``3x4in``, ``3in x 4in`` or ``75x100mm``.

    >>> parse_size("1.5x2in"), parse_size("75x100mm").unit
    ((38.1, 50.8), 'mm')
    """
    match = _SIZE.fullmatch(_bounded(text))
    if match is None:
        raise InputError(f"{text!r} is not a size; write width x height, like 3x4in or 75x100mm.")
    width, width_unit, height, unit = match.groups()
    return Size(_mm(width, width_unit or unit), _mm(height, unit), _UNIT_NAMES.get(unit.lower(), "in"))
