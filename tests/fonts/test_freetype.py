"""The sample fonts' outlines against FreeType, which reads, decomposes and fills them by code of its own.

FreeType gets the unpacked font; contours come from FT_Outline_Decompose, areas from skia-pathops or from
FreeType's own rasteriser. Nothing here goes through fontTools' pens.
"""

import ctypes
import math
from functools import cache
from io import BytesIO

import freetype
import numpy as np
import pathops
import pytest
import shapely

from converter.fonts.loading import load_font
from converter.fonts.outlines import read_outline
from tests.fonts.makers import SLAB_FONT, SYMBOL_FONT, TEXT_FONTS, plain_sfnt

FONTS = [*TEXT_FONTS, SYMBOL_FONT, SLAB_FONT]
CRUDE = freetype.FT_LOAD_NO_SCALE | freetype.FT_LOAD_NO_HINTING | freetype.FT_LOAD_NO_BITMAP
SCALED = freetype.FT_LOAD_NO_HINTING | freetype.FT_LOAD_NO_BITMAP
DRAWN = SCALED | freetype.FT_LOAD_RENDER
FINE = 5e-5  # of an em; chords cut off area, which counts in small round glyphs


@cache
def opened(path):
    return load_font(path), freetype.Face(BytesIO(plain_sfnt(path)))


@cache
def outline(path, name):
    font, _ = opened(path)
    return read_outline(font, name, FINE * font.units_per_em)


def area(polygons):
    return sum(shapely.Polygon(rings[0], rings[1:]).area for rings in polygons)


def decomposed(outline):
    """FreeType's contours as a path of skia-pathops, curves in 32 chords, filled by nonzero winding."""
    path = pathops.Path(fillType=pathops.FillType.WINDING)
    here = []

    def move(to, _):
        if here:
            path.close()
        here[:] = [to.x, to.y]
        path.moveTo(to.x, to.y)

    def curve(*points):
        corners = [here[:], *([p.x, p.y] for p in points[:-1])]
        degree = len(corners) - 1
        for step in range(1, 33):
            t = step / 32
            weights = [math.comb(degree, i) * t**i * (1 - t) ** (degree - i) for i in range(degree + 1)]
            path.lineTo(*(sum(w * c[axis] for w, c in zip(weights, corners, strict=True)) for axis in (0, 1)))
        here[:] = corners[-1]

    outline.decompose(None, move_to=move, line_to=curve, conic_to=curve, cubic_to=curve)
    if here:
        path.close()
    path.simplify(fix_winding=True)
    return path


@pytest.mark.parametrize("path", FONTS, ids=lambda path: path.stem)
def test_every_glyph_has_the_area_bounds_and_advance_that_freetype_finds(path):
    font, face = opened(path)
    # A pixel is a font unit, counted in 1/64; unscaled, FreeType rounds implied points to whole units.
    face.set_pixel_sizes(font.units_per_em, font.units_per_em)
    compared = 0
    for number, name in enumerate(font.glyph_names):
        face.load_glyph(number, CRUDE)
        ours = outline(path, name)
        assert ours.advance == face.glyph.advance.x, name
        face.load_glyph(number, SCALED)
        theirs = decomposed(face.glyph.outline)
        if not theirs.area:
            assert ours.kind == "blank", name
            continue
        assert area(ours.polygons) == pytest.approx(abs(theirs.area) / 64**2, rel=1e-3), name
        box = face.glyph.outline.get_bbox()
        exact = [edge / 64 for edge in (box.xMin, box.yMin, box.xMax, box.yMax)]
        assert ours.bounds == pytest.approx(exact, abs=1 / 32), name
        compared += 1
    assert compared >= 16


@pytest.mark.parametrize("path", FONTS, ids=lambda path: path.stem)
def test_every_glyph_covers_the_pixels_that_freetype_fills(path):
    font, face = opened(path)
    face.set_pixel_sizes(font.units_per_em, font.units_per_em)  # a pixel is a font unit
    for number, name in enumerate(font.glyph_names):
        ours = outline(path, name)
        face.load_glyph(number, DRAWN)
        bitmap = face.glyph.bitmap
        grey = ctypes.string_at(bitmap._FT_Bitmap.buffer, bitmap.rows * bitmap.pitch) if bitmap.rows else b""
        covered = np.frombuffer(grey, dtype=np.uint8).sum() / 255
        rim = sum(shapely.Polygon(rings[0], rings[1:]).length for rings in ours.polygons)
        # 0.1 % of the area, and half a grey step of 255 for each pixel that the rim passes through
        assert area(ours.polygons) == pytest.approx(covered, rel=1e-3, abs=2 * rim * 0.5 / 255), name


@pytest.mark.parametrize("path", FONTS, ids=lambda path: path.stem)
def test_characters_and_units_are_those_that_freetype_finds(path):
    font, face = opened(path)
    theirs = {code: number for code, number in face.get_chars() if number}  # 0 marks the end
    ours = {code: font.glyph_names.index(name) for code, name in font.cmap.items()}
    assert ours == theirs
    assert font.units_per_em == face.units_per_EM
