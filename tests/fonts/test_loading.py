"""Every container and flavour, axes and faces, heights and names."""

from pathlib import Path

import pytest
import shapely
from fontTools.fontBuilder import FontBuilder
from fontTools.misc.psCharStrings import T2CharString
from fontTools.ttLib import newTable

from converter.errors import InputError
from converter.fonts.loading import load_font
from converter.fonts.outlines import read_outline
from tests.fonts.makers import (
    SYMBOL_FONT,
    TEXT_FONTS,
    builder,
    collection,
    cubic_disc,
    polygon,
    quadratic_disc,
    saved,
    square,
    variable,
)


def area(font, name):
    return sum(shapely.Polygon(r[0], r[1:]).area for r in read_outline(font, name, 0.1).polygons)


@pytest.mark.parametrize("flavor", [None, "woff", "woff2"])
@pytest.mark.parametrize(
    ("kind", "disc"), [("glyf", quadratic_disc), ("CFF", cubic_disc), ("CFF2", cubic_disc)]
)
def test_every_container_and_outline_flavour(load, kind, disc, flavor):
    plain = load(builder({"o": disc, "A": square(0, 0, 500)}, kind=kind))
    font = load(saved(builder({"o": disc, "A": square(0, 0, 500)}, kind=kind), flavor))
    assert area(font, "A") == 250_000
    assert read_outline(font, "o", 0.5).polygons == read_outline(plain, "o", 0.5).polygons
    assert (font.family, font.style, font.cmap[65]) == ("Test", "Regular", "A")


def test_a_face_of_a_collection(load):
    faces = collection(builder({"A": square(0, 0, 100)}), builder({"A": square(0, 0, 200)}))
    assert area(load(faces, "test.ttc"), "A") == 100**2  # the first, when none is asked for
    assert area(load(faces, "test.ttc", face=1), "A") == 200**2
    with pytest.raises(InputError, match=r"holds 2 faces; give --face N with N from 0 to 1"):
        load(faces, "test.ttc", face=2)
    with pytest.raises(InputError, match="single face"):
        load(builder({"A": square(0, 0, 100)}), face=1)


def test_an_instance_of_a_variable_font(load):
    font = saved(variable(square(0, 0, 100), 100))
    assert area(load(font), "A") == 100 * 100
    assert area(load(font, axes={"wght": 900}), "A") == 200 * 100
    middle = load(font, axes={"wght": 500})
    assert area(middle, "A") == 150 * 100
    assert (middle.axes, middle.style) == ({"wght": 500}, "wght=500")
    assert read_outline(middle, "A", 1).advance == 650  # from the phantom points, there being no HVAR


@pytest.mark.parametrize(
    ("axes", "told"),
    [
        ({"wdth": 100}, "has no axis wdth; it has wght 100 to 900"),
        ({"wght": 950}, "wght=950 is out of range; it has wght 100 to 900"),
        ({"wght": float("nan")}, "out of range"),
        ({"\x1b[2Jevil": 1}, "has no axis evil"),
    ],
)
def test_an_axis_that_is_not_there_or_out_of_range(load, axes, told):
    font = saved(variable(square(0, 0, 100), 100))
    with pytest.raises(InputError, match=told):
        load(font, axes=axes)
    with pytest.raises(InputError, match="not a variable font"):
        load(builder({"A": square(0, 0, 100)}), axes={"wght": 400})


def test_heights_come_from_os2_version_2_and_later_else_from_h_and_x(load):
    # OpenType, OS/2: sCapHeight and sxHeight exist from version 2
    glyphs = {
        "H": square(0, 0, 700),
        "x": square(0, 0, 480),
        "d": square(0, 0, 730),
        "p": square(0, -210, 690),
    }
    stated = load(builder(glyphs, version=4, sCapHeight=690, sxHeight=470))
    assert (stated.cap_height, stated.x_height) == (690, 470)
    old = load(builder(glyphs, version=1))
    assert (old.cap_height, old.x_height) == (700, 480)
    unset = load(builder(glyphs, version=4))
    assert (unset.cap_height, unset.x_height) == (700, 480)
    assert (old.ascender, old.descender) == (730, -210)  # ink, not the 800 and -200 of hhea


def test_heights_fall_back_to_hhea_without_such_letters(load):
    font = load(builder({"A": square(0, 0, 650)}))
    assert (font.ascender, font.descender, font.cap_height) == (800, -200, 650)


def test_names_are_safe_to_print(load):
    font = load(
        builder(
            {"A": square(0, 0, 100), "\x1b[31mred": square(0, 0, 100), "a\u00e9": square(0, 0, 100)},
            names={
                "familyName": "Sea\x1b[2J\u202eGlass\x00\x07  Black" + "k" * 300,
                "licenseDescription": "one\r\ntwo",
            },
        )
    )
    assert font.family.startswith("SeaGlass Black")
    assert len(font.family) == 120
    assert font.licence_text == "one two"
    assert font.glyph_names[1] == "A"
    assert all(name.isprintable() and name.isascii() for name in font.glyph_names)
    assert all(area(font, name) == 100**2 for name in font.glyph_names[1:])


def test_a_symbol_font_without_unicode_answers_to_plain_codes(load):
    font = builder({"A": square(0, 0, 100)}, cmap={0xF041: "A"})
    for table in font.font["cmap"].tables:
        table.platformID, table.platEncID = 3, 0
    font.font["cmap"].tables = font.font["cmap"].tables[:1]
    loaded = load(font)
    assert loaded.cmap == {0x41: "A", 0xF041: "A"}


def test_glyphs_that_are_only_pictures(load):
    font = builder({"A": lambda _: None, "B": lambda _: None, "C": square(0, 0, 100)})
    font.setupCOLR({"A": [("C", 0)]}, version=0)
    font.setupCPAL([[(0.1, 0.3, 0.4, 1.0)]])
    loaded = load(font)
    kinds = [read_outline(loaded, name, 1).kind for name in ("A", "B", "C")]
    assert kinds == ["no-outline", "blank", "outline"]


def test_a_font_without_outlines(load):
    font = FontBuilder(1000, isTTF=True)
    font.setupGlyphOrder([".notdef"])
    font.setupHorizontalHeader()
    font.font["SVG "] = newTable("SVG ")
    font.font["SVG "].docList = [("<svg/>", 0, 0)]
    with pytest.raises(InputError, match="pictures but no outlines"):
        load(font)


def test_what_is_not_a_font_is_told_apart(load, tmp_path):
    cases = {
        b"": "is empty",
        b"%PDF-1.7 ...": "not a font but a PDF",
        b"<!DOCTYPE html><title>404": "a web page",
        b"PK\x03\x04....": "ZIP archive",
        b"hello": "not a font; give a TTF",
        b"\0\1\0\0": "truncated or damaged",
        b"wOF2": "truncated or damaged",
        b"ttcf": "truncated or damaged",
    }
    for content, told in cases.items():
        with pytest.raises(InputError, match=told) as caught:
            load(content)
        assert "\n" not in str(caught.value)
    with pytest.raises(InputError, match="is a folder"):
        load_font(tmp_path)
    with pytest.raises(InputError, match="no such file"):
        load_font(tmp_path / "nothing.ttf")
    with pytest.raises(InputError, match=r"no such file|cannot be read"):
        load_font(Path("a\0b"))


def test_sample_fonts_hold_what_the_examples_need():
    needed = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789Éaçdgjpqy!?&.,"
    for path in TEXT_FONTS:
        assert path.stat().st_size < 100_000
        assert not {ord(c) for c in needed} - set(load_font(path).cmap)
    assert len(load_font(SYMBOL_FONT).glyph_names) == 2 + 16


def test_open_contours_are_closed_and_told(load, monkeypatch):
    font = load(builder({"A": square(0, 0, 100)}))
    draw = polygon((0, 0), (100, 0), (100, 100), closed=False)
    monkeypatch.setattr(type(font._reader), "_draw", lambda self, name, pen: draw(pen))
    outline = read_outline(font, "A", 1)
    assert outline.repairs == ("1 open contour closed with a straight line",)
    assert shapely.Polygon(outline.polygons[0][0]).area == 5000


def test_an_instance_of_a_variable_cff2_font(load):
    font = builder({"A": square(0, 0, 100)}, kind="CFF2")
    font.setupFvar([("wght", 100, 100, 900, "Weight")], [])
    program = [
        0,
        "hmoveto",
        100,
        100,
        1,
        "blend",
        "hlineto",
        100,
        "vlineto",
        -100,
        -100,
        1,
        "blend",
        "hlineto",
    ]
    empty, drawn = T2CharString(program=[]), T2CharString(program=program)
    font.setupCFF2({".notdef": empty, "A": drawn}, regions=[{"wght": (0.0, 1.0, 1.0)}])
    data = saved(font)
    assert area(load(data), "A") == 100 * 100
    assert area(load(data, axes={"wght": 900}), "A") == 200 * 100
