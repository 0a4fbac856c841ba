"""What a drawing fills, held against resvg, a renderer of its own: the share of pixels that differ."""

from io import BytesIO

import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image

from converter.errors import InputError
from converter.fonts.errors import GlyphError
from converter.fonts.licence import judge_licence
from converter.fonts.outlines import read_outline
from converter.symbols.folder import choose_symbols, load_symbols

PIXELS = 240
HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 24 24"'
)

RING = "M12 2a10 10 0 1 1 0 20a10 10 0 1 1 0-20M12 7a5 5 0 1 1 0 10a5 5 0 1 1 0-10"
ALIKE = {
    "kelp": '><path d="M4 20C4 8 12 4 20 4C20 12 16 20 4 20Z"/>',
    "ring by even-odd": f'><path fill-rule="evenodd" d="{RING}"/>',
    "nonzero is no ring": f'><path d="{RING}"/>',
    "shapes": '><rect x="2" y="2" width="9" height="9" rx="2.5"/><circle cx="17" cy="6" r="4"/>'
    '<ellipse cx="6" cy="18" rx="5" ry="3"/><polygon points="14,22 22,22 18,14"/>',
    "stroke, as line icons have it": ' fill="none" stroke="currentColor" stroke-width="2" stroke-linecap="round" '
    'stroke-linejoin="round"><path d="M3 12h4l3-8 4 16 3-8h4"/><circle cx="5" cy="5" r="2.5"/>',
    "butt and square ends": ' fill="none" stroke="#000" stroke-width="3"><path d="M4 6H20" stroke-linecap="square"/>'
    '<path d="M4 12H20"/><path d="M5 21L12 16L19 21" stroke-linejoin="bevel"/>',
    "fill and stroke": '><path d="M6 6H18V18H6Z" stroke="black" stroke-width="4" stroke-linejoin="miter"/>',
    "transforms": '><g transform="translate(12 12) rotate(30)"><rect x="-8" y="-3" width="16" height="6" '
    'transform="skewX(20) scale(1 .8)"/></g>',
    "a stroke that a transform stretches": ' fill="none" stroke="#000" stroke-width="2">'
    '<circle r="3" transform="translate(12 12) scale(3 1.5)"/>',
    "copies": '><defs><path id="a" d="M2 2h6v6h-6z"/></defs><use href="#a"/><use xlink:href="#a" x="12" y="12"/>',
    "a style sheet": '><style>.a{fill:none}.b{stroke:#123;stroke-width:2}</style><path class="a b" d="M4 4L20 20"/>',
    "what is hidden": '><rect width="24" height="24" opacity=".1"/><rect width="24" height="24" display="none"/>'
    '<g visibility="hidden"><rect width="24" height="24"/></g><path d="M4 4H12V20Z"/>',
    "a light mark on a dark ground": '><circle cx="12" cy="12" r="10"/><path d="M7 12l4 4 6-8" fill="none" '
    'stroke="#fff" stroke-width="2"/>',
    "a clip": '><clipPath id="c"><rect x="4" y="4" width="10" height="16"/></clipPath>'
    '<g clip-path="url(#c)"><circle cx="12" cy="12" r="10"/></g>',
    "another place and shape of the drawing": "REPLACED",
}
OTHER = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-4 10 12 24"><path d="M-2 12H6V30Z"/></svg>'


def drawing(name):
    return OTHER if ALIKE[name] == "REPLACED" else f"{HEAD}{ALIKE[name]}</svg>"


def font_of(tmp_path, **files):
    for name, data in files.items():
        (tmp_path / f"{name}.svg").write_bytes(data if isinstance(data, bytes) else data.encode())
    return load_symbols(tmp_path)


@pytest.mark.parametrize("name", ALIKE)
def test_the_outline_is_what_a_renderer_paints(tmp_path, name):
    text = drawing(name)
    font = font_of(tmp_path, one=text)
    outline = read_outline(font, "one", 0.25)
    png = Image.open(
        BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=text, height=PIXELS, background="#ffffff")))
    )
    dark = np.asarray(png.convert("L")) < 128
    height, width = dark.shape
    scale = 1000 / height
    y, x = np.mgrid[0:height, 0:width] + 0.5
    area = shapely.MultiPolygon([shapely.Polygon(p[0], p[1:]) for p in outline.polygons])
    ours = shapely.contains_xy(area, x * scale, 1000 - y * scale)
    assert dark.any()
    assert (ours != dark).sum() <= 0.02 * dark.sum()


def test_colours_are_counted_but_for_light_ones(tmp_path):
    font = font_of(
        tmp_path,
        one=f'{HEAD}><rect width="9" height="9" fill="#f00"/><rect width="2" height="2" fill="#f20505"/></svg>',
        two=f'{HEAD}><rect width="9" height="9" fill="#f00"/><rect width="2" height="2" fill="#00f"/></svg>',
        white=f'{HEAD}><rect width="9" height="9" fill="#fff"/></svg>',
    )
    assert [read_outline(font, name, 0.25).colours for name in ("one", "two", "white")] == [1, 2, 0]
    assert read_outline(font, "white", 0.25).kind == "outline"


BAD = {
    "empty": (b"", "not readable"),
    "no drawing": (b"<html/>", "not an SVG"),
    "cut off": (f"{HEAD}><path d='M0 0".encode(), "not readable"),
    "bytes": (bytes(range(256)), "not readable"),
    "laughs": (
        b'<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>' + f"{HEAD}/>".encode(),
        "entity",
    ),
    "a file fetched": (
        b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]>' + f"{HEAD}>&a;</svg>".encode(),
        "entity",
    ),
    "text": (f"{HEAD}><text>K</text></svg>".encode(), "has text"),
    "a picture": (f'{HEAD}><image href="data:image/png;base64,AA"/></svg>'.encode(), "has a picture"),
    "a mask": (f'{HEAD}><mask id="m"/><path mask="url(#m)" d="M0 0H9V9Z"/></svg>'.encode(), "has a mask"),
    "dashes": (f'{HEAD}><path stroke="#000" stroke-dasharray="2 1" d="M0 0H9V9Z"/></svg>'.encode(), "dashed"),
    "no size": (b'<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H9V9Z"/></svg>', "how large"),
    "flat": (HEAD.replace("24 24", "24 0").encode() + b'><path d="M0 0H9V9Z"/></svg>', "how large"),
    "not a number": (f'{HEAD}><path d="M0 0H9V9Z" transform="scale(nan)"/></svg>'.encode(), "place"),
    "far off": (f'{HEAD}><path d="M0 0H9e30V9Z"/></svg>'.encode(), "."),
    "a bad path": (f'{HEAD}><path d="M0 0 say aah"/></svg>'.encode(), "path"),
    "copies of copies": (
        (
            f'{HEAD}><g id="g0"><path d="M0 0H9V9Z"/></g>'
            + "".join(f'<g id="g{n}">' + f'<use href="#g{n - 1}"/>' * 10 + "</g>" for n in range(1, 8))
            + "</svg>"
        ).encode(),
        "copies",
    ),
    "deep": (f"{HEAD}>{'<g>' * 500}{'</g>' * 500}</svg>".encode(), "nested"),
    "endless": (f'{HEAD}><path d="M0 0{"h1v1" * 20_000}"/></svg>'.encode(), "points"),
    "packed": (b"\x1f\x8b\x08\x00", "compressed"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_drawing_costs_itself_only_and_says_why(tmp_path, name):
    data, said = BAD[name]
    font = font_of(tmp_path, bad=data, good=drawing("kelp"))
    with pytest.raises(GlyphError, match=said) as caught:
        read_outline(font, "bad", 0.25)
    assert "\n" not in str(caught.value)
    assert read_outline(font, "good", 0.25).kind == "outline"


def test_what_is_no_file_is_a_bad_drawing_and_what_is_hidden_is_none(tmp_path):
    font_of(tmp_path, kelp=drawing("kelp"))
    (tmp_path / "folder.svg").mkdir()
    (tmp_path / "link.svg").symlink_to(tmp_path / "kelp.svg")
    (tmp_path / "._kelp.svg").write_bytes(b"")
    font = load_symbols(tmp_path)
    assert font.glyph_names == ("folder", "kelp", "link")
    for name in ("folder", "link"):
        with pytest.raises(GlyphError):
            read_outline(font, name, 0.25)


def test_the_same_drawings_have_the_same_digest_and_others_another(tmp_path):
    one = font_of(tmp_path, kelp=drawing("kelp"))
    assert load_symbols(tmp_path).sha256 == one.sha256
    assert font_of(tmp_path, kelp=drawing("copies")).sha256 != one.sha256


def test_names_choose_and_characters_cannot(tmp_path):
    font = font_of(tmp_path, kelp=drawing("kelp"), dulse=drawing("copies"))
    assert [g.name for g in choose_symbols(font).glyphs] == ["dulse", "kelp"]
    assert [g.name for g in choose_symbols(font, glyphs="kelp").glyphs] == ["kelp"]
    with pytest.raises(InputError, match="--glyphs"):
        choose_symbols(font, text="K")
    (tmp_path / "none").mkdir()
    with pytest.raises(InputError, match="no drawings"):
        load_symbols(tmp_path / "none")


def test_a_licence_file_among_the_drawings_counts(tmp_path):
    font = font_of(tmp_path, kelp=drawing("kelp"))
    assert judge_licence(font, tmp_path, of_drawings=True).verdict == "unknown"
    (tmp_path / "LICENSE").write_text(MIT)
    licence = judge_licence(font, tmp_path, of_drawings=True)
    assert (licence.verdict, licence.name) == ("open", "MIT")


MIT = """MIT License

Permission is hereby granted, free of charge, to any person obtaining a copy of this software and associated
documentation files (the "Software"), to deal in the Software without restriction, including without limitation the
rights to use, copy, modify, merge, publish, distribute, sublicense, and/or sell copies of the Software, and to permit
persons to whom the Software is furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in all copies or substantial portions of the
Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND.
"""
