"""The settings of a run, resolved: command line before ``alphabet.toml`` before defaults.

All lengths are mm once they are here.
"""

import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from difflib import get_close_matches
from pathlib import Path
from types import MappingProxyType
from typing import Any

from converter.errors import InputError
from converter.fonts.limits import MAX_NAME_LENGTH
from converter.fonts.loading import Font
from converter.fonts.plain import plain_text
from converter.limits import resolve_limits
from converter.measures import UNITS, Units, is_metric, measured_text
from converter.placement import Fit, Frame, Width
from converter.publication import KEY as PATTERN
from converter.publication import Publication, read_publication
from converter.units import MM_PER_INCH, Size, parse_length, parse_size


@dataclass(frozen=True, slots=True)
class Detail:
    """What truth to the font is worth, in pieces."""

    truth: float  # all of the letter's area
    level: float  # times what it is worth by itself that bowls and long straights are level where the font is


SMALLEST_BLOCK, LARGEST_BLOCK = 20.0, 1000.0  # mm; below, nothing can be sewn; above, no cloth is wide enough
METRIC_ALLOWANCE = 7.0  # mm; common practice where rulers are metric, no source
MARGIN_SHARE = 1 / 16  # of the block's height, where no margin is given: 1/4 in in a 3 × 4 in block
DETAILS = MappingProxyType(
    {
        "coarse": Detail(truth=4.0, level=0.2),
        "plain": Detail(truth=8.0, level=0.4),
        "balanced": Detail(truth=12.0, level=1.0),
        "fine": Detail(truth=60.0, level=2.5),
        "finest": Detail(truth=180.0, level=5.0),
    }
)
ACCEPTABLE = (  # ids of the findings that a designer may accept: those of blocks that can be sewn
    "alternative-missing", "counter-lost", "cut-off", "edges-cross", "far-from-outline", "low-overlap", "many-pieces",
    "many-sections", "narrow-piece", "narrowed", "not-proved", "outline-repaired", "part-lost", "pinched",
    "search-budget", "sharp-corner", "stroke-end", "thin-strokes",
)  # fmt: skip
MOST_SETTINGS_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class GlyphSettings:
    """What may be set for one glyph alone; None where the run's setting holds."""

    detail: str | None = None
    alternative: int | None = None  # 1 is the first
    width: Width | None = None
    margin: float | None = None
    min_piece_width: float | None = None
    accept: Mapping[str, str] = field(default_factory=dict)  # id of a finding: why it is accepted


@dataclass(frozen=True, slots=True)
class Settings:
    """Every setting of a conversion. Lengths in mm."""

    block: tuple[float, float] = parse_size("3x4in")
    margin: float | None = None
    seam_allowance: float = MM_PER_INCH / 4
    grid: float = MM_PER_INCH / 16
    min_piece_width: float = MM_PER_INCH / 8
    fit: Fit = "together"
    width: Width = "fixed"
    units: Units = "in"
    detail: str = "balanced"
    section_price: float = 0.9
    budget: int = 4000
    figure_colour: str = "#1f4e5f"
    background_colour: str = "#f4efe6"
    limits: Mapping[str, float] = field(default_factory=lambda: resolve_limits({}))
    glyphs: Mapping[str, GlyphSettings] = field(default_factory=dict)

    def __post_init__(self) -> None:
        width, height = self.block
        for side in (width, height):
            if not SMALLEST_BLOCK <= side <= LARGEST_BLOCK:
                least, most, said = (
                    measured_text(length, self.units) for length in (SMALLEST_BLOCK, LARGEST_BLOCK, side)
                )
                raise InputError(f"A block side must be {least} to {most}, not {said}.")
        smaller = min(width, height)
        self._check("seam allowance", self.seam_allowance, 1.0, 50.0)
        self._check("grid", self.grid, 0.1, smaller / 8)
        self._check("least piece width", self.min_piece_width, 0.5, smaller / 4)
        if not 0 <= self.section_price <= 100:  # also where it is no number
            raise InputError(
                f"a section price of {self.section_price:g} pieces makes no sense; take 0 to 100."
            )
        if not 1 <= self.budget <= 10_000_000:
            raise InputError(f"a budget of {self.budget} states makes no sense; take 1 to 10000000.")
        if self.detail not in DETAILS:
            raise InputError(f"there is no detail {self.detail!r}; there is {', '.join(DETAILS)}.")
        for colour in (self.figure_colour, self.background_colour):
            if not (len(colour) == 7 and colour[0] == "#" and set(colour[1:]) <= set("0123456789abcdef")):
                raise InputError(f"{colour!r} is not a colour; write it like #1f4e5f.")
        self.frame()
        for name, own in self.glyphs.items():
            try:
                self.frame(own)
                if own.min_piece_width is not None:
                    self._check("least piece width", own.min_piece_width, 0.5, smaller / 4)
            except InputError as error:
                raise InputError(f"glyph {plain_text(name, MAX_NAME_LENGTH)!r}: {error}") from None

    def _check(self, what: str, value: float, least: float, most: float) -> None:
        if not (math.isfinite(value) and least <= value <= most):
            said, low, high = (measured_text(length, self.units) for length in (value, least, most))
            raise InputError(f"a {what} of {said} makes no sense here; take {low} to {high}.")

    def frame(self, glyph: GlyphSettings | None = None) -> Frame:
        """How glyphs are placed, for the run or with one glyph's own settings."""
        own = glyph or GlyphSettings()
        run = self.block[1] * MARGIN_SHARE if self.margin is None else self.margin
        side = run if own.margin is None else own.margin
        for margin in (run, side):
            if margin < 0 or not math.isfinite(margin):
                said = measured_text(margin, self.units)
                raise InputError(f"a margin of {said} makes no sense; take 0 or more.")
        # On one baseline with the others, a glyph keeps their height.
        above = run if self.fit == "together" else side
        return Frame(*self.block, above, self.fit, own.width or self.width, side)

    def of(self, name: str) -> GlyphSettings:
        """The settings of one glyph."""
        return self.glyphs.get(name, GlyphSettings())

    def check_names(self, font: Font) -> None:
        """Raises :class:`InputError` where something is set for a glyph that the font does not have."""
        known = set(font.glyph_names)
        for name in self.glyphs:
            if name in known:
                continue
            said = f"{font.file}: settings are given for glyph {plain_text(name, MAX_NAME_LENGTH)!r}, "
            if len(name) == 1 and ord(name) in font.cmap:
                raise InputError(f"{said}whose name in the font is {font.cmap[ord(name)]!r}; write that.")
            raise InputError(f"{said}which the font does not have{_near(name, font.glyph_names)}.")

    def echo(self) -> dict[str, object]:
        """Every resolved setting, for the pattern file."""
        frame = self.frame()
        return {
            "min_piece_width": self.min_piece_width,
            "block": [*self.block],
            "margin": frame.margin,
            "seam_allowance": self.seam_allowance,
            "grid": self.grid,
            "fit": self.fit,
            "width": self.width,
            "units": self.units,
            "detail": self.detail,
            "section_price": self.section_price,
            "budget": self.budget,
            "limits": dict(self.limits),
            "glyphs": {name: _plain(own) for name, own in sorted(self.glyphs.items())},
        }


def _near(name: str, names: Iterable[str]) -> str:
    """The names most like a mistyped one, in brackets; nothing where none is."""
    near = get_close_matches(name, sorted(names))
    return f" (did you mean {' or '.join(near)}?)" if near else ""


def _plain(own: GlyphSettings) -> dict[str, object]:
    values = {f.name: getattr(own, f.name) for f in fields(own)}
    return {
        name: dict(v) if isinstance(v, Mapping) else v for name, v in values.items() if v not in (None, {})
    }


_LENGTHS = {"margin", "seam_allowance", "grid", "min_piece_width"}
_RUN_KEYS = {f.name for f in fields(Settings)} - {"glyphs"}
_GLYPH_KEYS = {f.name for f in fields(GlyphSettings)}
_CHOICES = {
    "fit": ("together", "each"),
    "width": ("fixed", "proportional"),
    "units": UNITS,
    "detail": tuple(DETAILS),
}


def resolve_settings(file: Path | None, given: Mapping[str, Any]) -> Settings:
    """The settings of a run: ``given`` (by name; lengths in mm; None where not given) over the file's.

    Raises :class:`InputError` for a file that cannot be read, unknown keys, and values that make no sense.
    """
    values = _from_file(file) if file is not None else {}
    limits = {**values.pop("limits", {}), **(given.get("limits") or {})}
    values |= {name: value for name, value in given.items() if value is not None and name != "limits"}
    if isinstance(block := values.get("block"), Size):
        values.setdefault("units", block.unit)
    if is_metric(values.get("units", "in")):
        values.setdefault("seam_allowance", METRIC_ALLOWANCE)
    return Settings(**values, limits=resolve_limits(limits))


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


def _read_table(file: Path) -> dict[str, Any]:
    try:
        if file.stat().st_size > MOST_SETTINGS_BYTES:
            raise InputError(f"{file.name}: too large for a settings file.")
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(f"{file}: the settings cannot be read ({error.strerror or error}).") from None
    except UnicodeDecodeError:
        raise InputError(f"{file.name}: the settings cannot be read (they are no text in UTF-8).") from None
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError(f"{file.name}: the settings cannot be read ({error}).") from None


def _from_file(file: Path) -> dict[str, Any]:
    table = _read_table(file)
    table.pop(PATTERN, None)
    glyphs = _table(table.pop("glyph", {}), file, "glyph")
    values = {key: _value(key, value, _RUN_KEYS, file, "") for key, value in table.items()}
    values["glyphs"] = {
        name: GlyphSettings(
            **{
                key: _value(key, value, _GLYPH_KEYS, file, f"glyph.{name}: ")
                for key, value in _table(own, file, f"glyph.{name}").items()
            }
        )
        for name, own in glyphs.items()
    }
    return values


def _table(value: Any, file: Path, name: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise InputError(f"{file.name}: {name} must be a table.")
    return value


def _value(key: str, value: Any, keys: set[str], file: Path, where: str) -> Any:
    place = f"{file.name}: {where}{key}"
    if key not in keys:
        raise InputError(
            f"{file.name}: {where}there is no setting {key!r}{_near(key, keys)}; "
            f"there is {', '.join(sorted(keys))}."
        )
    if key in ("limits", "accept"):
        kinds = (int, float) if key == "limits" else (str,)  # exactly these: true is an int, but no number
        if not isinstance(value, dict) or not all(type(v) in kinds for v in value.values()):
            raise InputError(f"{place} must be a table of {'numbers' if key == 'limits' else 'reasons'}.")
        for name in value if key == "accept" else ():
            if name not in ACCEPTABLE:
                raise InputError(f"{place}: there is no finding {name!r}{_near(name, ACCEPTABLE)}.")
        return value
    if key == "block" or key in _LENGTHS:
        if not isinstance(value, str):
            raise InputError(f'{place} needs a unit; write it in quotes, like "1/4in".')
        try:
            return parse_size(value) if key == "block" else parse_length(value)
        except InputError as error:
            raise InputError(f"{place}: {error}") from None
    if key in _CHOICES and value not in _CHOICES[key]:
        raise InputError(f"{place} must be one of {', '.join(_CHOICES[key])}.")
    if key in ("budget", "alternative") and (
        not isinstance(value, int) or isinstance(value, bool) or value < 1
    ):
        raise InputError(f"{place} must be a whole number, 1 or more.")
    if key == "section_price" and (not isinstance(value, int | float) or isinstance(value, bool)):
        raise InputError(f"{place} must be a number.")
    if key.endswith("colour") and not isinstance(value, str):
        raise InputError(f'{place} must be a colour in quotes, like "#1f4e5f".')
    return value
