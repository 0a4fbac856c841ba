"""Draws VillageSymbols.ttf: sixteen signs for the seed library of a coastal village.

Run ``python draw_symbols.py`` to write the font beside this script; the same script writes the same bytes.

A symbol is a list of contours on a square of 1000 units, y up. Contours are written as SVG paths with straight
lines (L) and quadratic curves (Q), the curves that TrueType knows. Symmetrical symbols give the right half of a
contour, from the axis x = 500 back to the axis, and are mirrored, so that both halves agree to the unit.
"""

import math
import re
from collections.abc import Callable
from io import BytesIO
from itertools import pairwise
from pathlib import Path

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.areaPen import AreaPen
from fontTools.pens.recordingPen import RecordingPen
from fontTools.pens.reverseContourPen import ReverseContourPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.svgLib.path import parse_path

HERE = Path(__file__).parent
UNITS_PER_EM = 1000
AXIS = 500
EPOCH = 3_786_912_000  # 1 January 2024 in seconds since 1904: a fixed date, so that the bytes never change

Contour = str  # an SVG path of one contour
Symbol = list[tuple[Contour, bool]]  # each contour, and whether it is solid (else a hole)


def solid(*paths: Contour) -> Symbol:
    """Contours filled with ink."""
    return [(path, True) for path in paths]


def hole(*paths: Contour) -> Symbol:
    """Contours cut out of the ink."""
    return [(path, False) for path in paths]


def both_halves(right: Contour) -> Contour:
    """Close the right half of a contour, which starts and ends on the axis, with its mirror image."""
    steps = [
        (letter, [tuple(map(float, pair.split(","))) for pair in pairs.split()])
        for letter, pairs in re.findall(r"([MLQ])([^MLQ]+)", right)
    ]
    ends = [points[-1] for _, points in steps]
    path = right
    for (letter, points), before in zip(reversed(steps[1:]), reversed(ends[:-1]), strict=True):
        back = [*reversed(points[:-1]), before]
        path += f" {letter} " + " ".join(f"{2 * AXIS - x:g},{y:g}" for x, y in back)
    return f"{path} Z"


def mirrored(path: Contour) -> Contour:
    """The same contour on the other side of the axis."""
    return re.sub(r"(-?[\d.]+),", lambda match: f"{2 * AXIS - float(match[1]):g},", path)


def arc(cx: float, cy: float, radius: float, start: float, end: float) -> Contour:
    """Quadratic curves along a circle between two angles in degrees, the pen being at the first of them."""
    count = max(1, math.ceil(abs(end - start) / 45))
    step = math.radians(end - start) / count
    path = ""
    for index in range(count):
        angle = math.radians(start) + index * step
        reach = radius / math.cos(step / 2)
        knee = cx + reach * math.cos(angle + step / 2), cy + reach * math.sin(angle + step / 2)
        stop = cx + radius * math.cos(angle + step), cy + radius * math.sin(angle + step)
        path += f" Q {knee[0]:.2f},{knee[1]:.2f} {stop[0]:.2f},{stop[1]:.2f}"
    return path


def circle(cx: float, cy: float, radius: float) -> Contour:
    """A whole circle as eight quadratic curves."""
    return f"M {cx + radius:g},{cy:g}{arc(cx, cy, radius, 0, 360)} Z"


def box(left: float, bottom: float, right: float, top: float) -> Contour:
    """A rectangle."""
    return f"M {left},{bottom} L {right},{bottom} L {right},{top} L {left},{top} Z"


def around(cx: float, cy: float, radius: float, degrees: float) -> str:
    """A point at an angle from a centre, as it is written in a path."""
    angle = math.radians(degrees)
    return f"{cx + radius * math.cos(angle):.2f},{cy + radius * math.sin(angle):.2f}"


def leaf() -> Symbol:
    """A leaf on its stalk, with the midrib cut out."""
    blade = (
        "M 890,800 Q 420,810 275,590 Q 165,400 245,225 L 110,90 L 180,20 L 315,155 "
        "Q 490,75 680,185 Q 900,330 890,800 Z"
    )
    return solid(blade) + hole("M 740,620 L 705,655 L 345,345 L 420,270 Z")


def sprout() -> Symbol:
    """Two seed leaves over a mound of earth."""
    blade = "M 500,310 Q 535,690 910,770 Q 920,330 500,310 Z"
    earth = "M 120,0 Q 500,260 880,0 Z"
    return solid(box(455, 40, 545, 340), blade, mirrored(blade), earth)


def sun() -> Symbol:
    """A sun rising over the sea, with three rays."""
    rays = []
    for angle in (45, 90, 135):
        foot, end = 12, 9
        corners = [
            around(500, 190, radius, angle + turn)
            for radius, turn in ((310, -foot), (470, -end), (470, end), (310, foot))
        ]
        rays.append(f"M {' L '.join(corners)} Z")
    disc = f"M 725,190{arc(500, 190, 225, 0, 180)} Z"
    return solid(disc, *rays, box(40, 0, 960, 110))


def drop() -> Symbol:
    """A drop of water."""
    return solid(both_halves("M 500,800 Q 770,480 770,270 Q 770,158 691,79 Q 612,0 500,0"))


def shell() -> Symbol:
    """A scallop of three ribs."""
    edges = [30, 70, 110, 150]
    rim = f"M 430,160 L 570,160 L {around(500, 120, 560, edges[0])}"
    for first, last in pairwise(edges):
        rim += f" Q {around(500, 120, 760, (first + last) / 2)} {around(500, 120, 560, last)}"
    grooves = []
    for angle in edges[1:-1]:
        ends = (around(500, 120, 500, angle - 4.5), around(500, 120, 500, angle + 4.5))
        grooves.append(f"M {around(500, 120, 150, angle)} L {ends[0]} L {ends[1]} Z")
    foot = both_halves("M 500,220 L 585,220 L 680,0 L 500,0")
    return solid(f"{rim} Z", foot) + hole(*grooves)


def wave() -> Symbol:
    """A breaker about to fall."""
    crest = (
        "M 60,0 L 940,0 L 940,130 Q 690,120 650,300 Q 625,440 720,480 Q 800,500 830,400 "
        "Q 950,560 830,690 Q 700,820 480,740 Q 210,630 60,240 Z"
    )
    return solid(crest)


def moon() -> Symbol:
    """The waning crescent."""
    outer, thickness, horn = 400.0, 250.0, 50.0  # the horns' angle as seen from the outer centre
    cx = 570.0
    across, height = outer * math.cos(math.radians(horn)), outer * math.sin(math.radians(horn))
    back = thickness - outer  # the inner circle passes here, left of the outer centre, and through both horns
    inner_cx = (across**2 + height**2 - back**2) / (2 * (across - back))
    turn = math.degrees(math.atan2(height, across - inner_cx))
    outside = arc(cx, 400, outer, horn, 360 - horn)
    inside = arc(cx + inner_cx, 400, inner_cx - back, 360 - turn, turn)
    return solid(f"M {around(cx, 400, outer, horn)}{outside}{inside} Z")


def seed() -> Symbol:
    """A sunflower seed with its two stripes."""
    husk = both_halves("M 500,800 Q 640,800 715,690 Q 800,560 715,330 Q 650,140 500,0")
    stripe = "M 560,660 L 640,620 L 620,330 L 560,230 Z"
    return solid(husk) + hole(stripe, mirrored(stripe))


def boat() -> Symbol:
    """A boat under jib and mainsail."""
    hull = both_halves("M 500,210 L 900,210 Q 840,0 660,0 L 500,0")
    main_sail = "M 530,265 L 530,800 Q 800,570 850,265 Z"
    jib = "M 470,265 L 470,700 Q 250,500 170,265 Z"
    return solid(hull, main_sail, jib)


def fish() -> Symbol:
    """A fish, with gill and eye."""
    body = (
        "M 940,400 Q 770,650 540,650 Q 370,640 240,470 L 70,620 Q 150,400 70,180 L 240,330 "
        "Q 370,160 540,150 Q 770,150 940,400 Z"
    )
    return solid(body) + hole(circle(740, 450, 42), "M 600,560 Q 520,400 600,240 Q 440,400 600,560 Z")


def starfish() -> Symbol:
    """A starfish with rounded arms."""
    path = ""
    for arm in range(5):
        angle = 90 + 72 * arm
        start = around(500, 385, 195, angle - 36)
        left, right = around(500, 385, 385, angle - 9), around(500, 385, 385, angle + 9)
        path += f"{' L' if path else 'M'} {start} L {left} Q {around(500, 385, 455, angle)} {right}"
    return solid(f"{path} Z") + hole(circle(500, 385, 60))


def lighthouse() -> Symbol:
    """A striped tower on its rock, the light to both sides."""
    blocks = []
    for bottom, top in ((405, 520), (235, 350), (60, 180)):
        below, above = (90 + 0.14 * (520 - y) for y in (bottom, top))
        blocks.append(
            both_halves(f"M 500,{top} L {500 + above},{top} L {500 + below},{bottom} L 500,{bottom}")
        )
    rock = both_halves("M 500,110 L 660,110 Q 800,110 850,0 L 500,0")
    roof = both_halves("M 500,800 Q 600,780 625,685 L 500,685")
    lamp, gallery = box(440, 550, 560, 700), box(355, 505, 645, 570)
    beam = "M 655,630 L 960,750 L 960,510 Z"
    return solid(*blocks, rock, roof, lamp, gallery, beam, mirrored(beam))


def gull() -> Symbol:
    """A gull from above, gliding."""
    wing = (
        "M 500,720 L 545,640 Q 570,600 570,550 Q 690,690 800,650 Q 930,590 990,330 "
        "Q 890,450 770,440 Q 640,430 580,360 L 565,250 L 640,90 Q 570,60 500,110"
    )
    return solid(both_halves(wing))


def anchor() -> Symbol:
    """A stocked anchor."""
    arms = both_halves("M 500,130 Q 690,140 735,270 L 660,270 L 800,440 L 910,250 L 845,262 Q 790,20 500,0")
    shank = box(450, 60, 550, 620)
    stock = box(290, 470, 710, 560)
    return solid(arms, shank, stock, circle(500, 680, 120)) + hole(circle(500, 680, 55))


def key() -> Symbol:
    """A door key."""
    bow, shaft = circle(270, 450, 210), box(440, 400, 940, 500)
    bits = (box(700, 230, 770, 420), box(850, 190, 940, 420))
    return solid(bow, shaft, *bits) + hole(circle(270, 450, 100))


def house() -> Symbol:
    """A cottage with an arched door."""
    walls = both_halves("M 500,800 L 930,390 L 800,390 L 800,0 L 580,0 L 580,190 Q 580,270 500,270")
    chimney = box(690, 500, 790, 760)
    return solid(walls, chimney) + hole(circle(500, 470, 70))


SYMBOLS: dict[str, tuple[int, Callable[[], Symbol]]] = {
    "leaf": (0x1F343, leaf),
    "sprout": (0x1F331, sprout),
    "sun": (0x2600, sun),
    "drop": (0x1F4A7, drop),
    "shell": (0x1F41A, shell),
    "wave": (0x1F30A, wave),
    "moon": (0x1F319, moon),
    "seed": (0xE000, seed),
    "boat": (0x26F5, boat),
    "fish": (0x1F41F, fish),
    "starfish": (0xE001, starfish),
    "lighthouse": (0xE002, lighthouse),
    "gull": (0xE003, gull),
    "anchor": (0x2693, anchor),
    "key": (0x1F511, key),
    "house": (0x2302, house),
}


def draw(symbol: Symbol) -> object:
    """A TrueType glyph: ink clockwise, holes the other way round."""
    pen = TTGlyphPen(None)
    for path, is_solid in symbol:
        contour, area = RecordingPen(), AreaPen()
        parse_path(path, contour)
        contour.replay(area)
        clockwise = area.value < 0
        contour.replay(pen if clockwise == is_solid else ReverseContourPen(pen))
    return pen.glyph()


def build() -> bytes:
    """The bytes of the font."""
    frame = solid(box(100, 0, 900, 800)) + hole(box(180, 80, 820, 720))
    glyphs = {".notdef": draw(frame), "space": draw([])}
    glyphs |= {name: draw(make()) for name, (_, make) in SYMBOLS.items()}
    builder = FontBuilder(UNITS_PER_EM, isTTF=True)
    builder.setupGlyphOrder(list(glyphs))
    builder.setupCharacterMap({0x20: "space"} | {code: name for name, (code, _) in SYMBOLS.items()})
    builder.setupGlyf(glyphs)
    edges = {name: getattr(glyph, "xMin", 0) for name, glyph in builder.font["glyf"].glyphs.items()}
    builder.setupHorizontalMetrics({name: (UNITS_PER_EM, edge) for name, edge in edges.items()})
    builder.setupHorizontalHeader(ascent=900, descent=-100)
    builder.setupNameTable(
        {
            "copyright": "Copyright 2026 The font2foundation authors",
            "familyName": "Village Symbols",
            "styleName": "Regular",
            "uniqueFontIdentifier": "1.000;VillageSymbols-Regular",
            "fullName": "Village Symbols Regular",
            "version": "Version 1.000",
            "psName": "VillageSymbols-Regular",
            "licenseDescription": "This Font Software is licensed under the SIL Open Font License, Version 1.1.",
            "licenseInfoURL": "https://openfontlicense.org",
        },
        mac=False,
    )
    builder.setupOS2(
        version=4,
        sTypoAscender=900,
        sTypoDescender=-100,
        sTypoLineGap=0,
        usWinAscent=900,
        usWinDescent=100,
        sCapHeight=800,
        sxHeight=500,
        fsType=0,
    )
    builder.setupPost()
    builder.updateHead(created=EPOCH, modified=EPOCH, fontRevision=1.0)
    builder.font.recalcTimestamp = False
    stream = BytesIO()
    builder.save(stream)
    return stream.getvalue()


if __name__ == "__main__":
    (HERE / "VillageSymbols.ttf").write_bytes(build())
