"""Drawings that mean harm, or that a slip or a broken editor made: each has a name and is made when it is asked for.

All are one drawing of a block of 60 × 80 mm with something wrong. What a check says of them is held by
``test_corpus``; ``tests.fuzz`` mixes and damages them further. What was found once is kept here.
"""

import math
import random
from collections.abc import Callable, Iterator

from tests.redesign.hands import Hand

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" width="60mm" height="80mm" viewBox="0 0 60 80">'
)
SEAMS = '<g id="seams"><line id="cut" x1="0" y1="40" x2="60" y2="40"/></g>'
GROUND = '<rect width="60" height="80" fill="#f4efe6"/>'
FIGURE = '<rect x="0" y="0" width="60" height="40" fill="#1f4e5f"/>'
PIECES = f'<g id="pieces">{GROUND}{FIGURE}</g>'

Maker = Callable[[], bytes]


def drawing(
    inside: str = "", before: str = "", seams: str = SEAMS, pieces: str = PIECES, head: str = HEAD
) -> bytes:
    """A drawing with two pieces, a line between them, and what is given."""
    return f"<?xml version='1.0'?>{before}{head}{pieces}{seams}{inside}</svg>".encode(
        "utf-8", "surrogatepass"
    )


def seams(d: str = "", inside: str = "", **attributes: str) -> str:
    """The layer of seams with one path, or with what is given."""
    said = "".join(f' {name}="{value}"' for name, value in attributes.items())
    return f'<g id="seams"{said}>{f"""<path id="p" d="{d}"/>""" if d else ""}{inside}</g>'


def pieces(inside: str, **attributes: str) -> str:
    """The layer of pieces with a ground, a figure, and what is given over them."""
    said = "".join(f' {name.replace("_", "-")}="{value}"' for name, value in attributes.items())
    return f'<g id="pieces"{said}>{GROUND}{FIGURE}{inside}</g>'


def entities(levels: int = 10, fan: int = 10) -> str:
    rows = ['<!ENTITY a0 "lol">'] + [f'<!ENTITY a{k} "{f"&a{k - 1};" * fan}">' for k in range(1, levels)]
    return f"<!DOCTYPE svg [{''.join(rows)}]>"


def random_corners(count: int, seed: int = 1) -> str:
    dice = random.Random(seed)
    return " ".join(f"{dice.random() * 60:.3f},{dice.random() * 80:.3f}" for _ in range(count))


def polygon(count: int, fill: str = "#1f4e5f") -> str:
    return f'<polygon fill="{fill}" points="{random_corners(count)}"/>'


def star(count: int, x: float = 30.0, y: float = 40.0) -> str:
    """Lines through one point, from edge to edge."""
    d = ""
    for k in range(count):
        angle = math.pi * (k + 0.31) / count
        dx, dy = math.cos(angle), math.sin(angle)
        reach = min(30 / abs(dx), 40 / abs(dy))
        d += f"M{x - dx * reach:.5f} {y - dy * reach:.5f}L{x + dx * reach:.5f} {y + dy * reach:.5f}"
    return d


def grid(across: int, down: int) -> str:
    d = "".join(f"M{60 * k / across:.5f} 0V80" for k in range(1, across))
    return d + "".join(f"M0 {80 * k / down:.5f}H60" for k in range(1, down))


def random_lines(count: int, seed: int = 1) -> str:
    dice = random.Random(seed)
    d = ""
    for _ in range(count):
        a, b = dice.sample(["0 {y}", "60 {y}", "{x} 0", "{x} 80"], 2)
        d += f"M{a}L{b}".format(x=round(dice.random() * 60, 3), y=round(dice.random() * 80, 3))
    return d


def cut_up(count: int, seed: int = 1, least: float = 1.0) -> str:
    """So many pieces by cuts of the largest piece, level or upright."""
    dice = random.Random(seed)
    boxes, d = [(0.0, 0.0, 60.0, 80.0)], ""
    while len(boxes) < count:
        boxes.sort(key=lambda b: max(b[2] - b[0], b[3] - b[1]))
        x0, y0, x1, y1 = boxes.pop()
        share = 0.35 + 0.3 * dice.random()
        if x1 - x0 > y1 - y0:
            x = round(x0 + share * (x1 - x0), 3)
            boxes += [(x0, y0, x, y1), (x, y0, x1, y1)]
            d += f"M{x} {y0}V{y1}"
        else:
            y = round(y0 + share * (y1 - y0), 3)
            boxes += [(x0, y0, x1, y), (x0, y, x1, y1)]
            d += f"M{x0} {y}H{x1}"
        if max(boxes[-1][2] - boxes[-1][0], boxes[-1][3] - boxes[-1][1]) < least:
            break
    return d


def pinwheels(across: int, down: int) -> str:
    """A grid of squares, each cut as a pinwheel."""
    w, h = 60 / across, 80 / down
    d = grid(across, down)
    for i in range(across):
        for j in range(down):
            x, y = i * w, j * h
            xs, ys = [x, x + w / 3, x + 2 * w / 3, x + w], [y, y + h / 3, y + 2 * h / 3, y + h]
            for a, b in (((0, 1), (2, 1)), ((2, 0), (2, 2)), ((3, 2), (1, 2)), ((1, 3), (1, 1))):
                d += f"M{xs[a[0]]:.4f} {ys[a[1]]:.4f}L{xs[b[0]]:.4f} {ys[b[1]]:.4f}"
    return d


def uses(levels: int, fan: int) -> str:
    rows = "".join(f'<g id="u{k}">' + f'<use href="#u{k - 1}"/>' * fan + "</g>" for k in range(1, levels + 1))
    return f'<defs>{rows}<g id="u0"><line x2="5"/></g></defs>'


def hand(change: Callable[[Hand], object]) -> Maker:
    """The letter T, changed by hand."""

    def make() -> bytes:
        opened = Hand()
        change(opened)
        return opened.save()

    return make


def _large() -> Iterator[tuple[str, Maker]]:
    for count in (200, 2_000, 20_000, 100_000):
        yield f"polygon of {count} random corners", lambda n=count: drawing(pieces=pieces(polygon(n)))
        yield (
            f"seams of {count} random corners",
            lambda n=count: drawing(seams=seams(inside=f'<polyline points="{random_corners(n)}"/>')),
        )
    yield "fifty polygons of 300 random corners", lambda: drawing(pieces=pieces(polygon(300) * 50))
    yield (
        "a polygon of 300 corners copied 400 times",
        lambda: drawing(
            f"<defs>{polygon(300).replace('<polygon', '<polygon id=q')}</defs>".replace("id=q", 'id="q"'),
            pieces=pieces('<use href="#q"/>' * 400),
        ),
    )
    for count in (400, 2_000, 15_000):
        yield f"{count} rectangles as pieces", lambda n=count: drawing(
            pieces=pieces("".join(
                f'<rect x="{k % 120 / 2}" y="{k // 120 / 2}" width=".4" height=".4" fill="#1f4e5f"/>' for k in range(n)
            ))
        )  # fmt: skip
        yield (
            f"{count} rectangles over all",
            lambda n=count: drawing(pieces=pieces(f"{GROUND.replace('60', '59').replace('80', '79')}" * n)),
        )
        yield f"{count} thin shapes over each other", lambda n=count: drawing(
            pieces=pieces("".join(
                f'<polygon points="0,{k % 80} 60,{k * 7 % 80} 60,{k * 7 % 80 + 0.1}" fill="#1f4e5f"/>'
                for k in range(n)
            ))
        )  # fmt: skip
    yield "400 pieces", lambda: drawing(seams=seams(grid(20, 20)))
    yield "420 pieces", lambda: drawing(seams=seams(grid(20, 21)))
    yield "3481 pieces", lambda: drawing(seams=seams(grid(59, 59)))
    for count in (100, 250, 400):
        yield f"{count} pieces by cuts", lambda n=count: drawing(seams=seams(cut_up(n)))
        yield f"{count} pieces by cuts, each with a shape", lambda n=count: drawing(
            seams=seams(cut_up(n)), pieces=pieces("".join(
                f'<circle cx="{k * 7 % 60}" cy="{k * 13 % 80}" r="2" fill="#1f4e5f"/>' for k in range(n)
            ))
        )  # fmt: skip
    for across, down in ((2, 2), (5, 6), (8, 10)):
        yield (
            f"{5 * across * down} pieces in pinwheels",
            lambda a=across, b=down: drawing(seams=seams(pinwheels(a, b))),
        )
    for count in (25, 100, 590, 5_000):
        yield f"{count} lines through a point", lambda n=count: drawing(seams=seams(star(n)))
        yield f"{count} random lines", lambda n=count: drawing(seams=seams(random_lines(n)))
        yield (
            f"{count} lines side by side",
            lambda n=count: drawing(seams=seams("".join(f"M0 {80 * k / n:.4f}H60" for k in range(1, n)))),
        )
        yield f"one line {count} times", lambda n=count: drawing(seams=seams("M0 40H60" * n))
        yield (
            f"{count} short strokes on one line",
            lambda n=count: drawing(
                seams=seams("".join(f"M{60 * k / n:.4f} 40H{60 * (k + 1) / n:.4f}" for k in range(n)))
            ),
        )
        yield (
            f"{count} short strokes anywhere",
            lambda n=count: drawing(
                seams=seams("".join(f"M{k * 7 % 59}.3 {k * 13 % 79}.3l.5 .3" for k in range(n)))
            ),
        )
    yield "many elements", lambda: drawing("<g/>" * 1_000_000)
    yield "many lines in no layer", lambda: drawing('<line x1="1" y1="2" x2="30" y2="40"/>' * 15_000)
    yield "deep groups", lambda: drawing("<g>" * 5000 + "</g>" * 5000)
    yield "deep groups just allowed", lambda: drawing("<g>" * 97 + "</g>" * 97)
    yield "too large", lambda: b" " * 17_000_000
    yield "a large comment", lambda: drawing("<!--" + "x" * 15_000_000 + "-->")
    yield "many comments", lambda: drawing("<!-- -->" * 1_500_000)
    yield "comments after the end", lambda: drawing() + b"<!-- -->" * 200_000
    yield "a comment never closed after the end", lambda: drawing() + b"<!-- -" * 200_000
    yield "a large text", lambda: drawing("<text>" + "x" * 15_000_000 + "</text>")
    yield "a large title", lambda: drawing("<title>" + "x" * 15_000_000 + "</title>")
    yield "a picture inside", lambda: drawing(f'<image href="data:image/png;base64,{"A" * 12_000_000}"/>')
    yield (
        "a large path in the guide",
        lambda: drawing(f'<g id="guide"><path d="M0 0{"L1 1" * 2_000_000}"/></g>'),
    )
    yield "a large path in no layer", lambda: drawing(f'<path d="M0 0{"L1 1" * 2_000_000}"/>')
    yield "a large path as seams", lambda: drawing(seams=seams("M0 0" + "L60 9L0 9" * 500_000))
    yield "a large path as pieces", lambda: drawing(pieces=pieces(f'<path d="M0 0{"L60 9L0 8" * 500_000}"/>'))
    yield (
        "many large paths as pieces",
        lambda: drawing(pieces=pieces("".join(f'<path d="M0 0{"L60 9L0 8" * 4_900}"/>' for _ in range(200)))),
    )
    yield (
        "many curves as pieces",
        lambda: drawing(pieces=pieces(f'<path d="M0 0{"c9 9 9-9 9 9" * 100_000}"/>')),
    )
    yield (
        "many arcs as pieces",
        lambda: drawing(pieces=pieces(f'<path d="M0 0{"a9 9 0 0 1 9 9" * 100_000}"/>')),
    )
    yield (
        "many turns of an arc",
        lambda: drawing(pieces=pieces('<path d="M0 0a1e5 1e-5 1e9 1 1 1e5 1e5"/>' * 3000)),
    )


def _texts() -> Iterator[tuple[str, Maker]]:
    for what in (
        "1",
        "seams1",
        "a",
        " ",
        "seams-1_",
        "(",
        "translate(1)",
        "translate(1",
        "1,",
        "-",
        "é",
        "&#10;",
    ):
        for name in ("id", "class", "transform", "style", "fill", "inkscape:label", "data-name"):
            yield (
                f"a million of {what!r} in {name}",
                lambda w=what, n=name: drawing(f'<g {n}="{w * (1_000_000 // len(w))}"/>'),
            )
    for name in ("x1", "d", "points", "viewBox", "href", "width"):
        yield (
            f"a million digits in {name}",
            lambda n=name: drawing(
                seams=seams(inside=f'<line {n}="{"9" * 1_000_000}"/><path {n}="M{"9" * 1_000_000}"/>')
            ),
        )
    for bracket in ("(", "[", "{", "f(", "({["):
        yield (
            f"5000 nested {bracket}",
            lambda b=bracket: drawing(seams=seams("M0 40H60", style=f"fill:{b * 5000}")),
        )
        yield (
            f"5000 nested {bracket} in a sheet",
            lambda b=bracket: drawing(f"<style>g {{ fill: {b * 5000}</style>"),
        )
        yield (
            f"5000 nested {bracket} in a colour",
            lambda b=bracket: drawing(pieces=pieces("", fill=f"rgb({b * 5000}")),
        )
    yield "a sheet of 100,000 rules", lambda: drawing("<style>" + ".a{fill:red}" * 100_000 + "</style>")
    yield (
        "a sheet of 2,000 rules and 10,000 elements",
        lambda: drawing("<style>" + ".a{fill:red}" * 2_000 + "</style>" + '<path class="a b c"/>' * 10_000),
    )
    yield "a sheet of one long rule", lambda: drawing("<style>.a{" + "fill:red;" * 500_000 + "}</style>")
    yield "a sheet never closed", lambda: drawing("<style>/*" + "*" * 1_000_000 + "</style>")
    yield (
        "10,000 styles",
        lambda: drawing(
            pieces=pieces(
                "".join(
                    f'<path style="fill:#{k:06x};stroke:none;stroke-width:{k}px"/>' for k in range(10_000)
                )
            )
        ),
    )
    yield (
        "a data section never closed",
        lambda: drawing("<![CDATA[" + "x" * 1_000_000).replace(b"</svg>", b""),
    )
    yield "sections and comments mixed", lambda: drawing("<![CDATA[<!--]]><!--<![CDATA[-->" * 100_000)
    yield "a processing instruction", lambda: drawing("<?x " + "?" * 1_000_000 + "?>")
    yield (
        "an attribute list",
        lambda: drawing("", f"<!DOCTYPE svg [{'<!ATTLIST g fill CDATA #IMPLIED>' * 100_000}]>"),
    )
    yield (
        "an attribute by default",
        lambda: drawing("", '<!DOCTYPE svg [<!ATTLIST rect display CDATA "none">]>'),
    )
    yield (
        "a thousand attributes",
        lambda: drawing("<g " + " ".join(f'a{k}="1"' for k in range(100_000)) + "/>"),
    )
    yield "the same attribute twice", lambda: drawing('<g id="a" id="b"/>')


def _xml() -> Iterator[tuple[str, Maker]]:
    yield "entity bomb", lambda: drawing("<text>&a9;</text>", entities())
    yield (
        "quadratic entity",
        lambda: drawing(f"<text>{'&a;' * 20_000}</text>", f'<!DOCTYPE svg [<!ENTITY a "{"x" * 299}">]>'),
    )
    yield (
        "external entity",
        lambda: drawing("<text>&e;</text>", '<!DOCTYPE svg [<!ENTITY e SYSTEM "file:///etc/passwd">]>'),
    )
    yield (
        "parameter entity",
        lambda: drawing("", '<!DOCTYPE svg [<!ENTITY % e SYSTEM "http://127.0.0.1:9/x"> %e;]>'),
    )
    yield "no such entity", lambda: drawing("<text>&nothing;</text>")
    yield "wrong encoding", lambda: drawing("<text>é</text>").replace("é".encode(), b"\xe9")
    yield "unknown encoding", lambda: drawing().replace(b"'1.0'", b"'1.0' encoding='klingon'")
    yield "an odd name of an encoding", lambda: drawing().replace(b"'1.0'", b"'1.0' encoding='idna'")
    for name in (
        "utf-7",
        "rot13",
        "hex",
        "zlib",
        "utf-16",
        "punycode",
        "raw_unicode_escape",
        "cp1252",
        "utf-32",
    ):
        yield (
            f"declared as {name}",
            lambda n=name: drawing().replace(b"'1.0'", f"'1.0' encoding='{n}'".encode()),
        )
    for name in ("utf-16", "utf-16-le", "utf-16-be", "utf-32", "utf-8-sig", "latin-1", "cp037"):
        yield f"written in {name}", lambda n=name: drawing().decode().encode(n)
    yield "compressed", lambda: b"\x1f\x8b\x08rest"
    yield "binary", lambda: bytes(range(256)) * 100
    yield "empty", lambda: b""
    yield "one byte", lambda: b"<"
    yield "nothing but zeros", lambda: bytes(100_000)
    yield "a zero within", lambda: drawing("<text>\0</text>")
    yield "half a pair", lambda: drawing("<text>\ud800</text>")
    yield "another format", lambda: b"<html><svg/></html>"
    yield "no svg of SVG's", lambda: b"<svg/>"
    yield "cut off", lambda: drawing()[:-30]
    yield "two roots", lambda: drawing() + drawing()
    yield "a name space of no name", lambda: drawing('<x:g xmlns:x=""/>')
    yield "an open name space", lambda: drawing("<y:g/>")
    yield "another name space", lambda: drawing('<x:g xmlns:x="http://example.org/x"><x:line/></x:g>')
    yield "no layers", lambda: f"{HEAD}<rect width='5' height='5'/></svg>".encode()
    yield "no seams", lambda: drawing(seams=seams())
    yield "no pieces", lambda: drawing(pieces="")
    yield "neither", lambda: drawing(pieces="", seams="")
    yield (
        "layers in layers",
        lambda: drawing(seams=f'<g id="pieces2">{PIECES}{SEAMS}<g id="seams2">{SEAMS}</g></g>'),
    )
    yield "seams within pieces", lambda: drawing(pieces=f'<g id="pieces">{GROUND}{SEAMS}</g>', seams="")
    yield "the root as a layer", lambda: drawing(head=HEAD.replace("<svg", '<svg id="seams"'))
    yield "an svg in the svg", lambda: drawing(f'<svg x="5" width="9mm" viewBox="0 0 1 1">{SEAMS}</svg>')
    yield (
        "a switch",
        lambda: drawing('<switch><g systemLanguage="tlh"><line x2="9"/></g><line x2="5"/></switch>'),
    )
    yield "a link", lambda: drawing('<a href="http://127.0.0.1:9/"><line x2="9"/></a>')
    yield (
        "an animation",
        lambda: drawing('<line x2="9"><animate attributeName="x2" from="0" to="9" dur="1s"/></line>'),
    )
    yield (
        "a name with breaks",
        lambda: drawing(seams=seams(inside='<line id="a&#10;b&#13;c&#9;d" x2="9" y2="9"/>')),
    )
    yield (
        "a name that is an escape",
        lambda: drawing(seams=seams(inside='<line id="&#155;31m" x2="9" y2="9"/>')),
    )
    yield (
        "a name that is markup",
        lambda: drawing(seams=seams(inside='<line id="[red]&lt;b&gt;]]&gt;{{x}}%s" x2="9" y2="9"/>')),
    )
    yield "a long name", lambda: drawing(seams=seams(inside=f'<line id="{"n" * 9_000}" x2="9" y2="9"/>'))


def _uses() -> Iterator[tuple[str, Maker]]:
    yield "copies of copies", lambda: drawing(uses(8, 12) + '<use href="#u8"/>')
    yield "copies of copies as seams", lambda: drawing(uses(8, 12), seams=seams(inside='<use href="#u8"/>'))
    for count in (50, 5_000):
        yield (
            f"a chain of {count} copies",
            lambda n=count: drawing(uses(n, 1), seams=seams("M0 40H60", f'<use href="#u{n}"/>')),
        )
    yield (
        "copies by themselves",
        lambda: drawing(
            "".join(f'<use id="c{k}" href="#c{k - 1}"/>' for k in range(1, 3000)),
            seams=seams(inside='<use href="#c2999"/>'),
        ),
    )
    yield "a copy of itself", lambda: drawing('<use id="me" href="#me"/>')
    yield "a ring of copies", lambda: drawing('<use id="a" href="#b"/><use id="b" href="#a"/>')
    yield (
        "a copy of the whole",
        lambda: drawing('<use href="#all"/>', head=HEAD.replace("<svg", '<svg id="all"')),
    )
    yield (
        "a copy of the layer in itself",
        lambda: drawing(seams=seams("M0 40H60", '<use href="#seams" x="0.1"/>')),
    )
    yield (
        "a copy of a symbol",
        lambda: drawing(
            '<symbol id="s"><line x1="0" y1="60" x2="60" y2="60"/></symbol>',
            seams=seams("M0 40H60", '<use href="#s"/>'),
        ),
    )
    yield "deep groups in copies", lambda: drawing(
        "<defs>" + "".join(
            f'<g id="u{k}">' + "<g>" * 90 + f'<use href="#u{k - 1}"/>' + "</g>" * 91 for k in range(1, 60)
        ) + '<g id="u0"/></defs>', seams=seams("M0 40H60", '<use href="#u59"/>'),
    )  # fmt: skip


def _numbers() -> Iterator[tuple[str, Maker]]:
    for value in ("nan", "inf", "1e999", "1e308", "-1e308", "1e-320", "1e6", "1e5", "", " ", "1_0", "٣", "0x10", "1e",
                  "-0", "5%", "5em", "calc(1px)", "1,2", "+-1"):  # fmt: skip
        yield (
            f"{value!r} as a place",
            lambda v=value: drawing(
                seams=seams("M0 40H60", f'<line id="x" x1="{v}" y1="0" x2="60" y2="9"/>')
            ),
        )
        yield f"{value!r} in a path", lambda v=value: drawing(seams=seams(f"M0 {v}L60 40"))
        yield (
            f"{value!r} in points",
            lambda v=value: drawing(pieces=pieces(f'<polygon points="0,0 {v},0 30,30" fill="#1f4e5f"/>')),
        )
        yield (
            f"{value!r} as the page",
            lambda v=value: drawing(head=HEAD.replace("60mm", v).replace("0 0 60 80", f"0 0 {v} 80")),
        )
        yield f"{value!r} in a transform", lambda v=value: drawing(pieces=pieces("", transform=f"scale({v})"))
        yield (
            f"{value!r} as an opacity",
            lambda v=value: drawing(pieces=pieces("", opacity=v, fill_opacity=v)),
        )
    for size in (
        "1e-5mm",
        "1e-9mm",
        "0",
        "-5mm",
        "0.001mm",
        "1mm",
        "1e5mm",
        "100%",
        "auto",
        "60 mm",
        "60MM",
        "60furlong",
    ):
        yield (
            f"a page of {size}",
            lambda s=size: drawing(
                head=HEAD.replace("60mm", s).replace("80mm", s).replace("0 0 60 80", "0 0 60 60")
            ),
        )
        yield (
            f"a page of {size} and no view",
            lambda s=size: drawing(
                head=HEAD.replace("60mm", s).replace("80mm", s).replace(' viewBox="0 0 60 80"', "")
            ),
        )
    for box in (
        "0 0 0 0",
        "0 0 -60 -80",
        "0 0 1e-9 1e-9",
        "1e9 1e9 60 80",
        "0 0 60",
        "none",
        "0 0 80 60",
        "-1e5 0 60 80",
    ):
        yield f"a view of {box!r}", lambda b=box: drawing(head=HEAD.replace("0 0 60 80", b))
    for move in ("scale(0)", "scale(1e-9)", "scale(1e9)", "matrix(0 0 0 0 0 0)", "matrix(1 1 1 1 0 0)", "skewX(90)",
                 "skewX(89.999)", "rotate(1e9)", "rotate(45 1e5 1e5)", "matrix(1 2)", "explode(3)", "translate(1e200)",
                 "scale(1e-300)scale(1e300)", "scale(-1,1)", "matrix(nan 0 0 1 0 0)", "translate()",
                 "rotate(1,2)"):  # fmt: skip
        yield f"seams under {move}", lambda m=move: drawing(seams=seams("M0 40H60", transform=m))
        yield f"pieces under {move}", lambda m=move: drawing(pieces=pieces("", transform=m))
        yield (
            f"all under {move}",
            lambda m=move: drawing(pieces=f'<g transform="{m}">{PIECES}{SEAMS}</g>', seams=""),
        )


def _slips() -> Iterator[tuple[str, Maker]]:
    for length in (0.0, 1e-9, 0.15, 0.21, 0.5, 0.79, 0.81, 1.2, 1.59, 1.61, 3.0):
        for turn in (0.0, 1.0, 1.9, 2.1, 30.0, 45.0, 90.0):
            dx, dy = length / 2 * math.sin(math.radians(turn)), length / 2 * math.cos(math.radians(turn))
            yield (
                f"a stray stroke of {length} mm at {turn} degrees",
                lambda x=dx, y=dy: hand(lambda h: h.line(24 - x, 40 - y, 24 + x, 40 + y))(),
            )
    for x in (0.0, 0.01, 0.3, 0.5, 0.9):
        yield f"a seam {x} mm beside a seam", lambda d=x: hand(lambda h: h.line(24 + d, 22, 24 + d, 70))()
        yield f"a seam {x} mm beside the edge", lambda d=x: hand(lambda h: h.line(d, 0, d, 80))()
        yield (
            f"a cross {x} mm beside a crossing",
            lambda d=x: hand(lambda h: (h.line(20, 30 + d, 30, 31), h.line(24 + d, 22, 23, 70)))(),
        )
    yield (
        "all seams on one point",
        hand(lambda h: [s.attrib.update(x1="9", y1="9", x2="9", y2="9") for s in h.seams()]),
    )
    yield (
        "all seams short",
        hand(lambda h: [s.attrib.update(x1="9", y1="9", x2="9.5", y2="9") for s in h.seams()]),
    )
    yield "all seams mirrored", hand(lambda h: h.layer("seams").set("transform", "matrix(-1 0 0 1 60 0)"))
    yield "all seams moved", hand(lambda h: h.layer("seams").set("transform", "translate(0.5 0.5)"))
    yield "a seam off the block", hand(lambda h: h.line(-30, 5, 90, 5))
    yield "a circle as seam", hand(lambda h: h.add("seams", "circle", cx="30", cy="40", r="10"))
    yield "a dot as seam", hand(lambda h: h.add("seams", "circle", cx="30", cy="40", r="0"))
    yield "a box as seam", hand(lambda h: h.add("seams", "rect", x="25", y="30", width="10", height="10"))
    yield (
        "a drawing of dots",
        lambda: drawing(
            seams=seams(inside='<circle cx="5" cy="5" r="0"/><line x1="3" y1="3" x2="3" y2="3"/>'),
            pieces='<g id="pieces"><rect x="3" y="3" width="0" height="0"/><polygon points="1,1 1,1 1,1"/></g>',
        ),
    )
    yield (
        "dots alone",
        lambda: drawing(
            seams=seams("M1 1M2 2M3 3"),
            pieces='<g id="pieces"><circle cx="1" cy="1" r="0"/><path d="M5 5z"/></g>',
        ),
    )
    yield "a speck as page", lambda: drawing(head=HEAD.replace("60mm", "6e-5mm").replace("80mm", "8e-5mm"))
    yield "pieces on a line", lambda: drawing(pieces='<g id="pieces"><polygon points="0,0 60,0 30,0"/></g>')
    yield (
        "a colour of no fabric",
        lambda: drawing(pieces=pieces('<rect width="60" height="80" fill="#ff00ff"/>')),
    )
    yield "a gradient", lambda: drawing(pieces=pieces('<rect width="60" height="80" fill="url(#g)"/>'))
    yield (
        "a bow tie",
        lambda: drawing(pieces=pieces('<polygon points="0,0 60,80 60,0 0,80" fill="#1f4e5f"/>')),
    )


def hidden_shapes() -> Iterator[tuple[str, str]]:
    """Ways in which a shape of the background's colour that lies over the figure is not seen (layer ``pieces``)."""
    over = '<rect width="60" height="80" fill="#f4efe6" {}/>'
    for said in ('display="none"', 'style="display:none"', 'style="display: none !important"', 'visibility="hidden"',
                 'visibility="collapse"', 'style="visibility:hidden"', 'opacity="0"', 'opacity="0%"', 'opacity="0.01"',
                 'style="opacity:0"', 'fill-opacity="0"', 'style="fill-opacity:0.1"', 'style="fill:none"',
                 'style="fill:#f4efe600"', 'style="fill:rgba(244,239,230,0)"', 'clip-path="url(#nothing-in-it)"',
                 'style="clip-path:url(#nothing-in-it)"', 'transform="scale(0)"', 'class="away"', 'class="gone"',
                 'clip-path="url(#corner)"'):  # fmt: skip
        yield said, over.format(said)
    for said in ('display="none"', 'visibility="hidden"', 'opacity="0"', 'style="display:none"', 'fill-opacity="0"',
                 'clip-path="url(#nothing-in-it)"', 'class="away"'):  # fmt: skip
        yield f"a group with {said}", f"<g {said}><g>{over.format('')}</g></g>"
    yield "a symbol", f"<symbol>{over.format('')}</symbol>"
    yield "two groups, each half seen", f'<g opacity="0.6"><g opacity="0.6">{over.format("")}</g></g>'


HIDING = (
    '<defs><clipPath id="nothing-in-it"/><clipPath id="corner"><rect width="3" height="3"/></clipPath></defs>'
    "<style>.away { display: none } .gone { opacity: 0 }</style>"
)


def _hidden() -> Iterator[tuple[str, Maker]]:
    for name, over in hidden_shapes():
        yield f"hidden: {name}", lambda o=over: drawing(HIDING, pieces=pieces(o))
    for said in ('mask="url(#m)"', 'filter="url(#f)"', 'clip-path="url(#lost)"', 'clip-path="circle(5px)"',
                 'class="b"', 'style="mix-blend-mode:multiply"'):  # fmt: skip
        yield f"odd: {said}", lambda s=said: drawing(
            "<style>g > .b { display: none }</style>"
            '<mask id="m"/><filter id="f"/>', pieces=pieces(f'<rect width="60" height="80" fill="#f4efe6" {s}/>')
        )  # fmt: skip
    for layer in ("pieces", "seams"):
        yield (
            f"the layer {layer} hidden",
            lambda name=layer: drawing(
                pieces=PIECES.replace(
                    'id="pieces"', f'id="pieces" {"display=" if name == "pieces" else "x="}"none"'
                ),
                seams=SEAMS.replace(
                    'id="seams"', f'id="seams" {"display=" if name == "seams" else "x="}"none"'
                ),
            ),
        )


def _damaged() -> Iterator[tuple[str, Maker]]:
    def flipped(seed: int) -> bytes:
        dice = random.Random(f"flips {seed}")
        data = bytearray(Hand().save())
        for _ in range(dice.choice((1, 1, 3, 20))):
            data[dice.randrange(len(data))] = dice.randrange(256)
        return bytes(data)

    def mixed(seed: int) -> bytes:
        dice = random.Random(f"lines {seed}")
        lines = Hand().save().decode().replace("><", ">\n<").splitlines()
        for _ in range(dice.choice((1, 2, 8))):
            lines.insert(dice.randrange(1, len(lines)), lines.pop(dice.randrange(1, len(lines))))
        return "".join(lines).encode()

    for seed in range(25):
        yield f"bytes flipped, {seed}", lambda s=seed: flipped(s)
        yield f"elements moved, {seed}", lambda s=seed: mixed(s)


CORPUS: dict[str, Maker] = dict(
    item for part in (_large, _texts, _xml, _uses, _numbers, _slips, _hidden, _damaged) for item in part()
)
