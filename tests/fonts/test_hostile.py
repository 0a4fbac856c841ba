"""A font is hostile until shown otherwise: each broken file gives an InputError or a GlyphError, soon.

The damage is done here, by cutting, flipping and rewriting bytes of sound fonts with a fixed seed.
"""

import contextlib
import random
import struct
import time
import tracemalloc
import zlib
from io import BytesIO
from pathlib import Path

import brotli
import pytest
from fontTools.misc.psCharStrings import T2CharString
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._c_m_a_p import CmapSubtable

from converter.errors import InputError
from converter.fonts.choosing import choose_glyphs
from converter.fonts.errors import GlyphError
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.fonts.outlines import read_outline
from tests.fonts.makers import (
    TEXT_FONTS,
    builder,
    collection,
    cubic_disc,
    plain_sfnt,
    quadratic_disc,
    saved,
    square,
    together,
    variable,
)

SECONDS = 5  # of processor time, far above what any of these takes; a bound, not a benchmark
LETTERS = {"A": square(0, 0, 500), "B": quadratic_disc, "C": together(quadratic_disc, square(100, 100, 50))}
CUBIC = {"A": square(0, 0, 500), "B": cubic_disc, "C": together(cubic_disc, square(100, 100, 50))}


def composite(pen):
    pen.addComponent("B", (1, 0, 0, 1, 30, 40))
    pen.addComponent("A", (1, 0, 0, 1, 0, 0))


SOUND = {
    "ttf": lambda: saved(builder({**LETTERS, "D": composite})),
    "otf": lambda: saved(builder(CUBIC, kind="CFF")),
    "cff2": lambda: saved(builder(CUBIC, kind="CFF2")),
    "woff": lambda: saved(builder({**LETTERS, "D": composite}), "woff"),
    "woff2": lambda: saved(builder({**LETTERS, "D": composite}), "woff2"),
    "ttc": lambda: collection(builder(LETTERS), builder(LETTERS)),
    "variable": lambda: saved(variable(square(0, 0, 100), 100)),
    "real ttf": lambda: plain_sfnt(TEXT_FONTS[0]),
    "real woff2": lambda: TEXT_FONTS[1].read_bytes(),
    "real woff": lambda: TEXT_FONTS[2].read_bytes(),
}


def use(path, **options):
    """Do with a font what the converter does with one; only the two errors meant for people may come out."""
    started = time.process_time()
    try:
        font = load_font(path, **options)
        judge_licence(font, path.parent)
        for glyph in choose_glyphs(font, text="ABCD", glyphs="*").glyphs[:20]:
            with contextlib.suppress(GlyphError):
                read_outline(font, glyph.name, font.units_per_em / 500)
        told = ""
    except InputError as error:
        told = str(error)
    assert time.process_time() - started < SECONDS
    assert not told or (told.isprintable() and told.endswith("."))
    return told


@pytest.mark.parametrize("kind", SOUND)
def test_cut_short_anywhere(kind, tmp_path):
    data = SOUND[kind]()
    path = tmp_path / "cut.ttf"
    assert not put_and_use(path, data)
    for part in range(40):
        path.write_bytes(data[: len(data) * part // 40])
        told = use(path)
        assert told or kind == "ttc", part  # the face asked for may lie whole in what is left


def test_a_cff2_index_that_claims_four_thousand_million_entries(tmp_path):
    def change(table):
        struct.pack_into(">LB", table, table[2] + struct.unpack_from(">H", table, 3)[0], 0xFFFFFFFF, 0)
        return table

    assert "damaged" in put_and_use(tmp_path / "index.otf", table_patched(SOUND["cff2"](), "CFF2", change))


def put_and_use(path, data, **options):
    path.write_bytes(data)
    return use(path, **options)


@pytest.mark.parametrize("kind", SOUND)
def test_bytes_flipped_anywhere(kind, tmp_path):
    data = SOUND[kind]()
    dice = random.Random(f"flips of {kind}")
    path = tmp_path / "flipped.ttf"
    options = {"axes": {"wght": 500}} if kind == "variable" else {}
    for _ in range(60):
        broken = bytearray(data)
        for _ in range(dice.choice((1, 1, 4, 30))):
            place = dice.randrange(len(broken) if dice.random() < 0.5 else min(len(broken), 1500))
            broken[place] = dice.choice((0, 0x7F, 0x80, 0xFF, dice.randrange(256)))
        put_and_use(path, bytes(broken), **options)


def table_patched(data, tag, change):
    """The font with one table's bytes changed in place or replaced."""
    font = TTFont(BytesIO(data), recalcBBoxes=False, recalcTimestamp=False)
    tables = {name: font.reader[name] for name in list(font.reader.keys())}
    tables[tag] = bytes(change(bytearray(tables[tag])))
    head = struct.pack(">4sHHHH", data[:4], len(tables), 0, 0, 0)
    offset, directory, body = 12 + 16 * len(tables), b"", b""
    for name, content in tables.items():
        directory += struct.pack(">4sLLL", name.encode(), 0, offset + len(body), len(content))
        body += content + bytes(-len(content) % 4)
    return head + directory + body


def with_value(form, offset, value):
    def change(table):
        struct.pack_into(form, table, offset, value)
        return table

    return change


@pytest.mark.parametrize("upem", [0, 1, 15, 16385, 65535])
def test_units_per_em_out_of_range(upem, tmp_path):
    # OpenType, head table: 16 to 16384
    broken = table_patched(SOUND["ttf"](), "head", with_value(">H", 18, upem))
    assert f"{upem} units per em" in put_and_use(tmp_path / "upem.ttf", broken)


@pytest.mark.parametrize(
    "tag", ["head", "maxp", "hhea", "hmtx", "glyf", "loca", "cmap", "post", "name", "OS/2"]
)
def test_a_table_emptied_or_full_of_ones(tag, tmp_path):
    sound = SOUND["ttf"]()
    for change in (lambda t: b"", lambda t: b"\xff" * len(t), lambda t: t[:5]):
        put_and_use(tmp_path / "table.ttf", table_patched(sound, tag, change))


def unpacked_woff2(size):
    """A WOFF2 of one table that unpacks to ``size`` zero bytes."""
    packed = brotli.compress(bytes(size), quality=2)
    entry = bytes([0x3F]) + b"BOOM" + base128(size)
    length = 48 + len(entry) + len(packed)
    header = struct.pack(
        ">4s4sLHHLLHHLLLLL", b"wOF2", b"\0\1\0\0", length, 1, 0, 999, len(packed), 1, 0, *[0] * 5
    )
    return header + entry + packed


def base128(value):
    digits = [value & 0x7F]
    while value := value >> 7:
        digits.append(0x80 | value & 0x7F)
    return bytes(reversed(digits))


def test_a_woff2_that_unpacks_without_end_is_not_unpacked(tmp_path):
    honest = unpacked_woff2(300 * 2**20)
    assert len(honest) < 2000
    lying = bytearray(honest)
    lying[53:58] = base128(1000).rjust(5, b"\x80")  # declares 1000 bytes, holds 300 MB
    for bomb in (honest, bytes(lying)):
        path = tmp_path / "bomb.woff2"
        path.write_bytes(bomb)
        tracemalloc.start()
        assert use(path)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert peak < 100 * 2**20


def test_a_woff_that_unpacks_without_end_is_not_unpacked(tmp_path):
    packed = zlib.compress(bytes(200 * 2**20))
    for declared in (len(packed) + 1, 0xFFFFFFFF):
        header = struct.pack(
            ">4s4sLHHLHHLLLLL", b"wOFF", b"\0\1\0\0", 64 + len(packed), 1, 0, 99, 1, 0, *[0] * 5
        )
        entry = struct.pack(">4sLLLL", b"head", 64, len(packed), declared, 0)
        assert put_and_use(tmp_path / "bomb.woff", header + entry + packed)


def test_a_character_table_that_claims_everything(tmp_path):
    groups = struct.pack(">LLL", 0, 0xFFFFFFFF, 1)
    table = struct.pack(">HHHHL", 0, 1, 3, 10, 12) + struct.pack(">HHLLL", 12, 0, 28, 0, 1) + groups
    broken = table_patched(SOUND["ttf"](), "cmap", lambda _: table)
    assert "more characters than exist" in put_and_use(tmp_path / "cmap.ttf", broken)
    bare = table_patched(broken, "post", with_value(">L", 0, 0x00030000))  # names would come from the cmap
    assert "more characters than exist" in put_and_use(tmp_path / "cmap.ttf", bare)


def test_a_character_table_of_many_overlapping_segments(tmp_path):
    font = builder(LETTERS)
    four = CmapSubtable.newSubtable(4)
    four.platformID, four.platEncID, four.language, four.cmap = 3, 1, 0, {65: "A"}
    segments = 8000
    body = struct.pack(">HHHH", 2 * segments, 0, 0, 0) + b"\xff\xff" * segments + b"\0\0"
    body += b"\0\0" * segments + b"\0\0" * segments + b"\0\0" * segments
    table = struct.pack(">HHHHL", 0, 1, 3, 1, 12) + struct.pack(">HHH", 4, (6 + len(body)) & 0xFFFF, 0) + body
    put = table_patched(saved(font), "cmap", lambda _: table)
    assert "more characters than exist" in put_and_use(tmp_path / "cmap4.ttf", put)


def glyph_errors(path, data, names, **options):
    path.write_bytes(data)
    font = load_font(path, **options)
    told = {}
    for name in names:
        started = time.process_time()
        try:
            read_outline(font, name, 1)
        except GlyphError as error:
            told[name] = str(error)
        assert told.get(name, "").isprintable()
        assert time.process_time() - started < SECONDS
    return told


def redrawn(font, glyphs):
    """The glyphs drawn anew without fontTools' checks of them."""
    for name, draw in glyphs.items():
        pen = TTGlyphPen(glyphs)
        draw(pen)
        glyph = pen.glyph()
        glyph.xMin = glyph.yMin = glyph.xMax = glyph.yMax = 0
        font.font["glyf"].glyphs[name] = glyph
    font.font.recalcBBoxes = False
    return font


def test_composites_that_contain_each_other_cost_only_themselves(tmp_path):
    glyphs = {
        "A": lambda pen: pen.addComponent("B", (1, 0, 0, 1, 0, 0)),
        "B": lambda pen: pen.addComponent("A", (1, 0, 0, 1, 0, 0)),
        "C": square(0, 0, 100),
        "D": lambda pen: pen.addComponent("D", (1, 0, 0, 1, 0, 0)),
    }
    font = redrawn(builder({name: square(0, 0, 1) for name in glyphs}), glyphs)
    told = glyph_errors(tmp_path / "cycle.ttf", saved(font), "ABCD")
    assert set(told) == {"A", "B", "D"}
    assert "contain each other" in told["A"]


def test_composites_that_fan_out_without_end(tmp_path):
    glyphs = {"A": square(0, 0, 100)}
    names = "ABCDEFGHIJ"
    for above, below in zip(names[1:], names, strict=False):
        glyphs[above] = lambda pen, part=below: [
            pen.addComponent(part, (1, 0, 0, 1, i, i)) for i in range(20)
        ]
    font = redrawn(builder({name: square(0, 0, 1) for name in glyphs}), glyphs)
    told = glyph_errors(tmp_path / "fan.ttf", saved(font), names)
    assert "J" in told
    assert "A" not in told
    assert "components" in told["J"]


def test_cff_subroutines_that_call_themselves_or_fan_out(tmp_path):
    for levels, calls in ((1, 1), (9, 40)):
        font = builder({"A": cubic_disc, "B": square(0, 0, 100)}, kind="CFF")
        top = font.font["CFF "].cff.topDictIndex[0]
        subrs = top.GlobalSubrs
        for level in range(levels):
            deeper = level + 1 if level + 1 < levels else (0 if levels == 1 else level)
            call = [deeper - 107, "callgsubr"] if level + 1 < levels or levels == 1 else []
            subrs.append(T2CharString(program=[*call * calls, "return"]))
        font.font.recalcBBoxes = False
        top.CharStrings["A"].setProgram([600, 0, 0, "rmoveto", -107, "callgsubr", "endchar"])
        told = glyph_errors(tmp_path / "subrs.otf", saved(font), "AB")
        assert set(told) == {"A"}


def test_wild_coordinates(tmp_path):
    font = builder({"A": square(-32000, -32000, 30000), "B": square(0, 0, 100)}, upem=64)
    told = glyph_errors(tmp_path / "wild.ttf", saved(font), "AB")
    assert told == {"A": "a point lies implausibly far from the letter"}


def test_a_glyph_tangled_beyond_reason(tmp_path):
    dice = random.Random("tangle")
    points = [(dice.randrange(1000), dice.randrange(1000)) for _ in range(4000)]

    def tangle(pen):
        pen.moveTo(points[0])
        for point in points[1:]:
            pen.lineTo(point)
        pen.closePath()

    told = glyph_errors(tmp_path / "tangle.ttf", saved(builder({"A": tangle, "B": square(0, 0, 100)})), "AB")
    assert told == {"A": "its edges cross each other too often to be a letter"}


def test_nested_frames_of_a_thousand_rings_are_still_a_letter(tmp_path):
    rings = [square(i, i, 2000 - 2 * i, clockwise=i % 2 == 0) for i in range(900)]
    told = glyph_errors(tmp_path / "rings.ttf", saved(builder({"A": together(*rings)})), "A")
    assert told == {}


def test_what_is_not_an_ordinary_file():
    with pytest.raises(InputError, match="not an ordinary file"):
        load_font(Path("/dev/null"))


def test_a_file_too_large_is_not_read(tmp_path):
    path = tmp_path / "huge.ttf"
    with path.open("wb") as stream:
        stream.truncate(70 * 2**20)  # sparse
    assert "larger than" in use(path)


def test_a_glyph_that_varies_at_absurdly_many_places(tmp_path):
    def crowd(pen):
        pen.moveTo((0, 0))
        for i in range(3000):
            pen.lineTo((i, 1000 + i % 2))
        pen.closePath()

    font = variable(crowd, 10)
    (variation,) = font.font["gvar"].variations["A"]
    font.font["gvar"].variations["A"] = [variation] * 4000
    told = glyph_errors(tmp_path / "gvar.ttf", saved(font), "A", axes={"wght": 900})
    assert told == {"A": "it has an implausible number of variations"}


def test_a_width_that_makes_no_sense(tmp_path):
    font = builder({"A": square(0, 0, 10), "B": square(0, 0, 10)}, upem=16)
    font.font["hmtx"].metrics["A"] = (60000, 0)
    assert glyph_errors(tmp_path / "width.ttf", saved(font), "AB") == {
        "A": "the glyph's width is implausible"
    }
