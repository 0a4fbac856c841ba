"""Fonts made for the tests, as bytes, and the places of the sample fonts."""

from collections.abc import Callable, Mapping
from io import BytesIO
from pathlib import Path
from typing import Any

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTCollection, TTFont
from fontTools.ttLib.tables.TupleVariation import TupleVariation

SAMPLE_FONTS = Path(__file__).parents[2] / "sample_fonts"
SPECIMENS = Path(__file__).parents[1] / "specimens"
TEXT_FONTS = (
    SAMPLE_FONTS / "archivo_black" / "archivo-black-latin-400-normal.woff2",
    SAMPLE_FONTS / "jost" / "jost-latin-800-normal.woff2",
    SAMPLE_FONTS / "fredoka" / "fredoka-latin-700-normal.woff",
)
SLAB_FONT = SPECIMENS / "alfa_slab_one" / "alfa-slab-one-latin-400-normal.woff2"
SYMBOL_FONT = SAMPLE_FONTS / "village_symbols" / "VillageSymbols.ttf"

Draw = Callable[[Any], None]


def polygon(*points: tuple[float, float], closed: bool = True) -> Draw:
    """Draw one contour through the points."""

    def draw(pen: Any) -> None:
        pen.moveTo(points[0])
        for point in points[1:]:
            pen.lineTo(point)
        if closed:
            pen.closePath()
        else:
            pen.endPath()

    return draw


def square(left: float, bottom: float, side: float, clockwise: bool = True) -> Draw:
    right, top = left + side, bottom + side
    points = [(left, bottom), (left, top), (right, top), (right, bottom)]
    return polygon(*(points if clockwise else points[::-1]))


def together(*draws: Draw) -> Draw:
    def draw(pen: Any) -> None:
        for each in draws:
            each(pen)

    return draw


def quadratic_disc(pen: Any) -> None:
    """Eight off-curve points only: every on-curve point is implied."""
    rim = ((300, 0), (100, 0), (0, 100), (0, 300), (100, 400), (300, 400), (400, 300), (400, 100))
    pen.qCurveTo(*rim, None)
    pen.closePath()


def cubic_disc(pen: Any) -> None:
    """A circle of radius 200 round (200, 200) by the usual four cubic curves."""
    k = 200 * 0.5522847498
    pen.moveTo((400, 200))
    pen.curveTo((400, 200 + k), (200 + k, 400), (200, 400))
    pen.curveTo((200 - k, 400), (0, 200 + k), (0, 200))
    pen.curveTo((0, 200 - k), (200 - k, 0), (200, 0))
    pen.curveTo((200 + k, 0), (400, 200 - k), (400, 200))
    pen.closePath()


def builder(
    glyphs: Mapping[str, Draw],
    *,
    kind: str = "glyf",
    cmap: Mapping[int, str] | None = None,
    upem: int = 1000,
    names: Mapping[str, str] | None = None,
    **os2: Any,
) -> FontBuilder:
    """A font of these glyphs, single letters mapped to themselves; ``kind`` is "glyf", "CFF" or "CFF2"."""
    order = [".notdef", *(name for name in glyphs if name != ".notdef")]
    font = FontBuilder(upem, isTTF=kind == "glyf")
    font.updateHead(created=0, modified=0)  # else two fonts made in different seconds are different files
    font.font.recalcTimestamp = False
    font.setupGlyphOrder(order)
    font.setupCharacterMap(dict(cmap) if cmap is not None else {ord(n): n for n in glyphs if len(n) == 1})
    if kind == "glyf":
        drawn = {}
        for name in order:
            pen = TTGlyphPen(dict.fromkeys(order))
            glyphs.get(name, lambda _: None)(pen)
            drawn[name] = pen.glyph()
        font.setupGlyf(drawn)
        edges = {name: getattr(font.font["glyf"][name], "xMin", 0) for name in order}
    else:
        programs = {}
        for name in order:
            pen = T2CharStringPen(600 if kind == "CFF" else None, None, CFF2=kind == "CFF2")
            glyphs.get(name, lambda _: None)(pen)
            programs[name] = pen.getCharString()
        if kind == "CFF":
            font.setupCFF("Test", {"FullName": "Test"}, programs, {})
        else:
            font.setupCFF2(programs)
        edges = dict.fromkeys(order, 0)
    font.setupHorizontalMetrics({name: (600, edges[name]) for name in order})
    font.setupHorizontalHeader(ascent=800, descent=-200)
    font.setupNameTable({"familyName": "Test", "styleName": "Regular", **(names or {})})
    font.setupOS2(**os2)
    font.setupPost()
    return font


def saved(font: FontBuilder | TTFont, flavor: str | None = None) -> bytes:
    inner = font.font if isinstance(font, FontBuilder) else font
    inner.flavor = flavor
    stream = BytesIO()
    inner.save(stream)
    return stream.getvalue()


def variable(draw: Draw, wider_by: int) -> FontBuilder:
    """A font whose A has an axis wght, 100 (default) to 900, that moves its right edge by ``wider_by``."""
    font = builder({"A": draw})
    glyph = font.font["glyf"]["A"]
    right = max(x for x, _ in glyph.coordinates)
    moves = [(wider_by if x == right else 0, 0) for x, _ in glyph.coordinates]
    phantom = [(0, 0), (wider_by, 0), (0, 0), (0, 0)]
    font.setupFvar([("wght", 100, 100, 900, "Weight")], [])
    font.setupGvar({"A": [TupleVariation({"wght": (0.0, 1.0, 1.0)}, moves + phantom)]})
    return font


def collection(*fonts: FontBuilder) -> bytes:
    faces = TTCollection()
    faces.fonts = [TTFont(BytesIO(saved(font))) for font in fonts]
    stream = BytesIO()
    faces.save(stream)
    return stream.getvalue()


def plain_sfnt(path: Path) -> bytes:
    """A sample font without its WOFF wrapping, for libraries that do not unpack it."""
    return saved(TTFont(path, recalcTimestamp=False))
