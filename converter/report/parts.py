"""The parts that letters share, as the report shows them: a picture of each treatment, and who has it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from converter.drawing.svg import number
from converter.model import Pattern


@dataclass(frozen=True, slots=True)
class Treatment:
    """A way in which a part can be drawn. ``view``: of its picture (SVG's viewBox); ``figure``, ``outline``: paths."""

    number: int
    is_taken: bool
    letters: str  # that have it now
    found: str  # that had it by themselves
    view: str
    figure: str
    outline: str


@dataclass(frozen=True, slots=True)
class SharedPart:
    """A part, its treatments, and the letters that fall out of the one that was taken, with the reason."""

    name: str
    treatments: tuple[Treatment, ...]
    apart: tuple[tuple[str, str], ...]  # letters, reason


def shared_parts(pattern: Pattern) -> tuple[SharedPart, ...]:
    """The parts that the pattern's settings tell of; none where they are damaged or of another version."""
    said = pattern.settings.get("parts")
    if not isinstance(said, list | tuple):
        return ()
    try:
        return tuple(_part(one) for one in said)
    except (KeyError, TypeError, ValueError, AttributeError):
        return ()


def _part(said: Mapping[str, Any]) -> SharedPart:
    treatments = tuple(
        Treatment(
            n, n == said["treatment"], _listed(one["now"]), _listed(one["found"]), _view(one["box"]),
            _path(one["figure"]), _path(one["outline"]),
        )
        for n, one in enumerate(said["treatments"], 1)
    )  # fmt: skip
    reasons: dict[str, list[str]] = {}
    for one in said["apart"]:
        reasons.setdefault(str(one["why"]), []).append(str(one["letter"]))
    apart = tuple((_listed(letters), why) for why, letters in reasons.items())
    return SharedPart(str(said["name"]), treatments, apart)


def _listed(letters: Sequence[str]) -> str:
    return " ".join(str(letter) for letter in letters)


def _view(sides: Sequence[float]) -> str:
    left, top, right, foot = (float(side) for side in sides)
    return " ".join(str(number(v)) for v in (left, top, right - left, foot - top))


def _path(polygons: Sequence[Any]) -> str:
    return "".join(
        "M" + "L".join(f"{number(float(x))} {number(float(y))}" for x, y in ring) + "Z"
        for polygon in polygons
        for ring in polygon
    )
