"""Reading a font file: checked, bounded, and turned into one frozen :class:`Font`."""

import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Protocol

from fontTools.ttLib import TTFont

from converter.budgets import fonts as budgets
from converter.errors import InputError
from converter.fonts import guards
from converter.fonts.characters import read_characters
from converter.fonts.containers import open_container
from converter.fonts.errors import GlyphError
from converter.fonts.flatten import flatten_contour
from converter.fonts.glyphs import Contour, GlyphReader
from converter.fonts.names import plain_glyph_names, read_name, read_style
from converter.fonts.pictures import picture_glyph_ids
from converter.fonts.plain import plain_text

MIN_UNITS_PER_EM, MAX_UNITS_PER_EM = 16, 16384  # OpenType, head table
_NEEDED = ("head", "maxp", "hhea", "hmtx")
_PICTURE_TABLES = ("CBDT", "EBDT", "sbix", "SVG ", "bdat")
_TALL, _DEEP = "bdhkl", "gpqy"
_CAP_HEIGHT_IN_EM = 0.7  # where a font states none and has no letters; common practice, no source


class Reader(Protocol):
    """What draws the glyphs, by their own names; each of these raises :class:`GlyphError` for one that is damaged."""

    def contours(self, name: str) -> list[Contour]:
        """The glyph's curves."""

    def advance(self, name: str) -> float:
        """Its advance width."""

    def colours(self, name: str) -> int:
        """How many colours it is drawn in."""


@dataclass(frozen=True, slots=True, eq=False)
class Font:
    """One face of a font file at one place of its design space, or a folder of drawings (:mod:`converter.symbols`).

    Lengths are in font units, y up.

    All strings are safe to print. Glyph names are the font's own where they are plain ASCII, else made up
    from the glyph's number. ``ascender`` and ``descender`` (negative below the baseline) are the ink of
    typical letters. ``axes`` is the place in the design space, empty for a static font. The font stays open
    behind this object, which therefore does not travel between processes; an
    :class:`converter.fonts.outlines.Outline` does.
    """

    file: str
    sha256: str
    family: str
    style: str
    fs_type: int
    licence_text: str
    licence_url: str
    units_per_em: int
    cap_height: float
    x_height: float
    ascender: float
    descender: float
    glyph_names: tuple[str, ...]
    cmap: Mapping[int, str]
    axes: Mapping[str, float]
    _reader: Reader = field(repr=False)
    _own_names: Mapping[str, str] = field(repr=False)
    _pictures: frozenset[str] = field(repr=False)
    _file: TTFont = field(repr=False)

    def table(self, tag: str) -> bytes | None:
        """A table of the font as it stands in the file; None where there is none."""
        reader = self._file.reader  # none behind a folder of drawings
        return bytes(reader[tag]) if reader is not None and tag in reader else None

    def contours(self, glyph_name: str) -> list[Contour]:
        """The glyph's curves as the font draws them. Raises :class:`GlyphError` when its data is damaged."""
        return self._reader.contours(self._own_names[glyph_name])

    def advance(self, glyph_name: str) -> float:
        """The glyph's advance width. Raises :class:`GlyphError` when its data is damaged."""
        return self._reader.advance(self._own_names[glyph_name])

    def colours(self, glyph_name: str) -> int:
        """How many colours the glyph is drawn in; they are one figure. Raises :class:`GlyphError`."""
        return self._reader.colours(self._own_names[glyph_name])

    def is_picture(self, glyph_name: str) -> bool:
        """True when the font holds this glyph as a colour, bitmap or SVG picture, whatever its outline."""
        return glyph_name in self._pictures


def load_font(path: Path, *, face: int | None = None, axes: Mapping[str, float] | None = None) -> Font:
    """Read a TTF, OTF, WOFF, WOFF2, or one ``face`` (from 0; default 0) of a TTC or OTC.

    ``axes``: where in the design space of a variable font, in the units of its axes; what is not given
    stays at the font's default. Raises :class:`InputError` with one line for everything that cannot be
    used.

    >>> font = load_font(Path("sample_fonts/jost/jost-latin-800-normal.woff2"))
    >>> font.family, font.cmap[ord("&")]
    ('Jost', 'ampersand')
    """
    file = plain_text(path.name, budgets.NAME.most)
    return font_of(_read(path, file), file, face, axes)


def font_of(data: bytes, file: str, face: int | None = None, axes: Mapping[str, float] | None = None) -> Font:
    """The font in the bytes of a file of that name; all else as in :func:`load_font`."""
    guards.install()
    file = plain_text(file, budgets.NAME.most)
    if len(data) > budgets.BYTES.most:
        raise InputError(
            f"{file}: is larger than {budgets.BYTES.most // 2**20} MB; give a subset of the font."
        )
    try:
        return _load(data, file, face, axes or {})
    except InputError:
        raise
    except Exception as error:  # fontTools lets any exception escape from damaged data
        raise InputError(
            f"{file}: the font is damaged and cannot be read ({type(error).__name__}); download the file again."
        ) from None


def _read(path: Path, file: str) -> bytes:
    try:
        if path.is_dir():
            raise InputError(f"{file or path}: is a folder; give a font file in it.")
        if not path.exists():
            raise InputError(f"{file}: no such file; check the path.")
        if not path.is_file():
            raise InputError(f"{file}: is not an ordinary file; give a font file.")
        size = path.stat().st_size
        if size == 0:
            raise InputError(f"{file}: is empty; download the file again.")
        if size > budgets.BYTES.most:
            raise InputError(
                f"{file}: is larger than {budgets.BYTES.most // 2**20} MB; give a subset of the font."
            )
        with path.open("rb") as stream:
            return stream.read(budgets.BYTES.most + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "bad path"
        raise InputError(f"{file}: cannot be read ({reason}).") from None


def _load(data: bytes, file: str, face: int | None, axes: Mapping[str, float]) -> Font:
    font = open_container(data, file, face)
    _check_tables(font, file)
    place = _place(font, file, axes)
    characters = read_characters(font, file)  # before the glyph names, which fontTools may take from the cmap
    own_names = plain_glyph_names(font.getGlyphOrder())
    plain = {own: name for name, own in own_names.items()}
    cmap = {code: plain[own] for code, own in characters.items() if own in plain}
    defaults = {axis.axisTag: axis.defaultValue for axis in _axes(font)}
    reader = GlyphReader(font, {} if place == defaults else place)
    names, ids = tuple(own_names), picture_glyph_ids(font)
    os2 = font.get("OS/2")
    measured = _Ink(reader, {code: own_names[name] for code, name in cmap.items()}, font["head"].unitsPerEm)
    at_default = place == defaults
    ascender, descender = measured.top(_TALL), measured.bottom(_DEEP)
    return Font(
        file=file,
        sha256=hashlib.sha256(data).hexdigest(),
        family=read_name(font, (16, 1), budgets.NAME.most) or file,
        style=read_style(font, place if not at_default else {}),
        fs_type=int(os2.fsType) if os2 is not None else 0,
        licence_text=read_name(font, (13,), budgets.LICENCE.most),
        licence_url=read_name(font, (14,), 4 * budgets.NAME.most),
        units_per_em=int(font["head"].unitsPerEm),
        cap_height=_stated(os2, "sCapHeight", font, at_default)
        or measured.top("H")
        or measured.top("A")
        or ascender
        or _CAP_HEIGHT_IN_EM * font["head"].unitsPerEm,
        x_height=_stated(os2, "sxHeight", font, at_default) or measured.top("x"),
        ascender=ascender or float(font["hhea"].ascent),
        descender=descender or float(font["hhea"].descent),
        glyph_names=names,
        cmap=cmap,
        axes=place,
        _reader=reader,
        _own_names=own_names,
        _pictures=frozenset(name for number, name in enumerate(names) if number in ids),
        _file=font,
    )


def _check_tables(font: TTFont, file: str) -> None:
    if not any(tag in font for tag in ("glyf", "CFF ", "CFF2")):
        if any(tag in font for tag in _PICTURE_TABLES):
            raise InputError(
                f"{file}: holds bitmap or SVG pictures but no outlines; give a font with outlines."
            )
        raise InputError(f"{file}: holds no outlines; give a font with outlines.")
    missing = [tag for tag in _NEEDED if tag not in font]
    if missing:
        raise InputError(f"{file}: lacks the table {missing[0]}, so it is damaged; download the file again.")
    units = font["head"].unitsPerEm
    if not MIN_UNITS_PER_EM <= units <= MAX_UNITS_PER_EM:
        raise InputError(
            f"{file}: {units} units per em, but OpenType allows {MIN_UNITS_PER_EM} to {MAX_UNITS_PER_EM}; "
            "the font is damaged."
        )


def _axes(font: TTFont) -> list[Any]:
    return list(font["fvar"].axes) if "fvar" in font else []


def _place(font: TTFont, file: str, wanted: Mapping[str, float]) -> dict[str, float]:
    """Every axis with its value; what was asked for must exist and lie in the axis's range."""
    axes = {axis.axisTag: axis for axis in _axes(font)}
    for axis in axes.values():
        limits = (axis.minValue, axis.defaultValue, axis.maxValue)
        if not all(map(math.isfinite, limits)) or list(limits) != sorted(limits):
            raise InputError(f"{file}: an axis has an impossible range; the font is damaged.")
    have = ", ".join(f"{plain_text(t, 4)} {a.minValue:g} to {a.maxValue:g}" for t, a in axes.items())
    for tag, value in wanted.items():
        shown = plain_text(tag, 8)
        if not axes:
            raise InputError(f"{file}: is not a variable font, so it has no axis {shown}; leave --axis out.")
        if tag not in axes:
            raise InputError(f"{file}: has no axis {shown}; it has {have}.")
        if not axes[tag].minValue <= value <= axes[tag].maxValue:
            raise InputError(f"{file}: {shown}={value:g} is out of range; it has {have}.")
    return {tag: float(wanted.get(tag, axis.defaultValue)) for tag, axis in axes.items()}


def _stated(os2: Any, attribute: str, font: TTFont, at_default: bool) -> float:
    """A height that the font states (OS/2 version 2 and later); 0 where it does not, or for an instance."""
    value = getattr(os2, attribute, 0) if at_default else 0
    return float(value) if 0 < value <= 2 * font["head"].unitsPerEm else 0.0


class _Ink:
    """Highest and lowest ink of letters that the font has; 0 where it has none of them."""

    def __init__(self, reader: GlyphReader, cmap: Mapping[int, str], units_per_em: int):
        self._reader, self._cmap, self._tolerance = reader, cmap, units_per_em / 100

    def top(self, letters: str) -> float:
        return max((y for letter in letters for y in self._heights(letter)), default=0.0)

    def bottom(self, letters: str) -> float:
        return min((y for letter in letters for y in self._heights(letter)), default=0.0)

    def _heights(self, letter: str) -> list[float]:
        if ord(letter) not in self._cmap:
            return []
        try:
            contours = self._reader.contours(self._cmap[ord(letter)])
            return [y for curves, _ in contours for _, y in flatten_contour(curves, self._tolerance)]
        except GlyphError:  # told where the glyph itself is asked for
            return []
