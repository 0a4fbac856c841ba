"""Drawings that mean harm, or are no drawings: one clear line in bounded time and memory; nothing is fetched."""

import socket
import time
import tracemalloc

import pytest

from converter.budgets.drawings import DEPTH
from converter.errors import InputError
from tests.redesign.hands import Hand, rebuilt

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'width="60mm" height="80mm" viewBox="0 0 60 80">'
)
SEAMS = '<g id="seams"><line x1="0" y1="40" x2="60" y2="40"/></g>'
PIECES = '<g id="pieces"><rect width="60" height="80" fill="#f4efe6"/></g>'


def drawing(inside: str = "", before: str = "", seams: str = SEAMS) -> bytes:
    return f"<?xml version='1.0'?>{before}{HEAD}{PIECES}{seams}{inside}</svg>".encode()


def entities(levels: int = 10, fan: int = 10) -> str:
    rows = ['<!ENTITY a0 "lol">'] + [f'<!ENTITY a{k} "{f"&a{k - 1};" * fan}">' for k in range(1, levels)]
    return f"<!DOCTYPE svg [{''.join(rows)}]>"


def path(d: str) -> str:
    return f'<g id="seams"><path id="p" d="{d}"/></g>'


def line(x1: str) -> str:
    return f'<g id="seams"><line id="x" x1="{x1}" y1="0" x2="9" y2="9"/></g>'


HOSTILE = {
    "entity bomb": (drawing("<text>&a9;</text>", entities()), "entity 'a1' is not allowed"),
    "quadratic entity": (
        drawing(f"<text>{'&a;' * 20_000}</text>", f'<!DOCTYPE svg [<!ENTITY a "{"x" * 299}">]>'), "too many",
    ),
    "external entity": (
        drawing("<text>&e;</text>", '<!DOCTYPE svg [<!ENTITY e SYSTEM "file:///etc/passwd">]>'), "'e' is not allowed",
    ),
    "parameter entity": (
        drawing("", '<!DOCTYPE svg [<!ENTITY % e SYSTEM "http://127.0.0.1:9/x"> %e;]>'), "'e' is not allowed",
    ),
    "not a number": (drawing(seams=line("nan")), "x: 'nan' is not a length"),
    "no place": (drawing(seams=line("1e999")), "x: inf is not a place"),
    "far away": (drawing(seams=path("M0 0L1e30 5")), "is not a place on a block"),
    "path with words": (drawing(seams=path("M0 0 L nan 5")), "neither a command nor a number"),
    "path that backtracks": (drawing(seams=path("M" + "1" * 100_000 + "!")), "neither a command nor a number"),
    "path without start": (drawing(seams=path("L 5 5")), "cannot be read"),
    "path cut short": (drawing(seams=path("M 5 5 C 3")), "cannot be read"),
    "odd transform": (drawing('<g transform="explode(3)"/>'), "not understood"),
    "transform cut short": (drawing('<g transform="matrix(1 2)"/>'), "too few or too many numbers"),
    "flat transform": (drawing('<g transform="translate(1e200)"/>'), "is not a place on a block"),
    "length without end": (drawing(f'<g id="x"><rect width="{"9" * 1_000_000}" height="1"/></g>'), "too long for"),
    "many elements": (drawing("<g/>" * 1_000_000), "more than 20000 elements"),
    "deep groups": (drawing("<g>" * 5000 + "</g>" * 5000), f"more than {DEPTH.most} deep"),
    "many seams": (drawing(seams=path("M0 0" + "L60 9L0 9" * 5000)), "more than the 600"),
    "many pieces": (
        drawing(seams=path("".join(f"M0 {k}H60M{k} 0V80" for k in range(1, 60)))), "more than the 400",
    ),
    "many points": (drawing(seams=path("M0 0" + "L60 9L0 9" * 20_000)), "more than 20000 points"),
    "nested copies": (
        drawing(
            "<defs>" + "".join(
                f'<g id="u{k}">' + f'<use href="#u{k - 1}"/>' * 12 + "</g>" for k in range(1, 9)
            ) + '<g id="u0"><line x2="5"/></g></defs><use href="#u8"/>'
        ),
        "copies of copies",
    ),
    "wrong encoding": (drawing("<text>é</text>").replace("é".encode(), b"\xe9"), "not readable as SVG"),
    "unknown encoding": (drawing().replace(b"'1.0'", b"'1.0' encoding='klingon'"), "klingon"),
    "declared otherwise": (drawing().replace(b"'1.0'", b"'1.0' encoding='utf-16'"), "not readable as SVG"),
    "compressed": (b"\x1f\x8b\x08rest", "compressed"),
    "binary": (bytes(range(256)) * 100, "not readable as SVG"),
    "empty": (b"", "not readable as SVG"),
    "another format": (b"<html><svg/></html>", "not an SVG"),
    "cut off": (drawing()[:-30], "not readable as SVG"),
    "no layers": (f"{HEAD}<rect width='5' height='5'/></svg>".encode(), "there is no layer 'seams'"),
    "too large": (b" " * 17_000_000, "too large"),
    "empty page": (drawing().replace(b'viewBox="0 0 60 80"', b'viewBox="0 0 0 0"').replace(b"60mm", b"0"), None),
    "zero scale": (drawing(seams=f'<g transform="scale(0)">{SEAMS}</g>'), None),
}  # fmt: skip


@pytest.fixture
def no_network(monkeypatch):
    def refuse(*args, **kwargs):
        raise AssertionError("the network was asked")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.usefixtures("no_network")
def test_hostile_drawings_end_in_one_line_or_in_a_fault(name):
    data, words = HOSTILE[name]
    tracemalloc.start()
    start = time.process_time()
    try:
        if words is None:
            rebuilt(data)
        else:
            with pytest.raises(InputError) as caught:
                rebuilt(data)
            assert words in str(caught.value)
            assert str(caught.value).startswith("T.svg")
            assert len(str(caught.value)) < 300
            assert "\n" not in str(caught.value)
        assert time.process_time() - start < 5
        assert tracemalloc.get_traced_memory()[1] < 100_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize(
    "inside",
    [
        '<script>fetch("http://127.0.0.1:9/")</script><script href="http://127.0.0.1:9/x.js"/>',
        '<image href="http://127.0.0.1:9/x.png" width="9" height="9"/>',
        '<image xlink:href="file:///etc/passwd" width="9" height="9"/>',
        '<use xlink:href="http://127.0.0.1:9/x.svg#seams"/><use href="#nothing"/><use id="me" href="#me"/>',
        '<style>@import url("http://127.0.0.1:9/x.css"); @font-face { src: url(http://127.0.0.1:9/f) }</style>',
        "<style>g { fill: url(http://127.0.0.1:9/#p) } }}} [ { : ; </style>",
        '<foreignObject><html xmlns="http://www.w3.org/1999/xhtml"><body onload="alert(1)"/></html></foreignObject>',
        '<x:thing xmlns:x="http://example.org/x"><line x1="3"/></x:thing>',
        '<g onload="alert(1)" style="fill:red;;:;{}"/>',
    ],
)
@pytest.mark.usefixtures("no_network")
def test_what_could_reach_out_is_passed_over(inside):
    result = rebuilt(drawing(inside))
    assert result.faults == ()
    assert len(result.plan.pieces) == 2


def test_plain_entities_of_editors_are_read():
    before = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://127.0.0.1:9/svg11.dtd" [<!ENTITY c "#1f4e5f">]>'
    seams = SEAMS + '<g id="pieces2"/>'
    data = drawing("", before, seams).replace(b'fill="#f4efe6"', b'fill="&c;"')
    assert {p.fabric for p in rebuilt(data).plan.pieces} == {"figure"}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1"])
def test_encodings_that_xml_declares(encoding):
    data = Hand().save().decode("utf-8")
    declared = "utf-8" if encoding == "utf-8-sig" else encoding
    data = data.replace("encoding='utf-8'", f"encoding='{declared}'").replace("×", "x")
    assert len(rebuilt(data.encode(encoding)).plan.pieces) == 8
