"""``check`` on drawings that come back: by themselves, and in a folder beside sound ones."""

import random
from collections.abc import Callable

from converter.drawing.block import block_svg
from converter.folder.keeping import Kept, record_json
from converter.model import Glyph
from converter.output import digest
from converter.pattern import to_json
from converter.redesign.check import check_block
from tests.fuzz.running import Case
from tests.redesign.corpus import (
    CORPUS,
    HIDING,
    SEAMS,
    cut_up,
    drawing,
    hidden_shapes,
    pieces,
    random_corners,
    random_lines,
    seams,
    star,
)
from tests.samples import letter_i, letter_t, sample_pattern

Dice = random.Random
NAMES = sorted(CORPUS)
HIDDEN = [shape for _, shape in hidden_shapes()]
_SMALL = 300_000  # bytes of a drawing that is damaged further
_WORDS = (
    "nan",
    "1e999",
    "-1",
    "0",
    "none",
    "url(#x)",
    "hidden",
    "scale(0)",
    "rotate(9e9)",
    "#f4efe6",
    "",
    "&amp;",
    "ſ",
)
_OUTLINES: tuple[Glyph, ...] = (letter_i(), letter_t())
check_block(
    sample_pattern(letter_t()), "T_", drawing()
)  # loads what is compiled, before processes are copied


def case(dice: Dice) -> Case:
    """One drawing of some kind, by itself or in a folder."""
    kind = dice.choice(sorted(KINDS))
    data = KINDS[kind](dice)
    if dice.random() < 0.3:
        return _in_folder(kind, data)
    if dice.random() < 0.02:
        return Case("pipe", ("check", "drawing.svg"), pipes=("drawing.svg",))
    more = dice.choice(((), ("--quiet",)))
    return Case(kind, ("check", *more, "drawing.svg"), {"drawing.svg": data}, most_lines=1 if more else 8)


def _in_folder(kind: str, data: bytes) -> Case:
    pattern = sample_pattern(*_OUTLINES)
    sound = {glyph.key: block_svg(pattern, glyph).encode() for glyph in _OUTLINES}
    kept = {glyph.key: Kept(digest(sound[glyph.key]), 60.0, glyph.figure) for glyph in _OUTLINES}
    files = {f"set/blocks/{key}.svg": drawn for key, drawn in sound.items()} | {
        "set/pattern.json": to_json(pattern).encode(),
        "set/record.json": record_json(kept).encode(),
        "set/blocks/T_.svg": data,
        "set/notes.txt": b"sow in May",
    }
    left = tuple(name for name in files if "blocks" in name or name.endswith(".txt"))
    return Case(f"in a folder: {kind}", ("check", "--quiet", "set"), files, kept=left, most_lines=1)


def _corpus(dice: Dice) -> bytes:
    return CORPUS[dice.choice(NAMES)]()


def _hand(dice: Dice) -> bytes:
    """A block that was sound, and what a hand does to it."""
    strokes = [cut_up(dice.choice((2, 9, 30, 120)), dice.randrange(1000), least=dice.choice((0, 1.0)))]
    for _ in range(dice.randrange(6)):
        x, y, size = dice.uniform(-1, 61), dice.uniform(-1, 81), dice.choice((0.01, 0.3, 0.9, 5, 90))
        strokes.append(f"M{x:.4f} {y:.4f}l{dice.uniform(-size, size):.4f} {dice.uniform(-size, size):.4f}")
    if dice.random() < 0.2:
        strokes.append(star(dice.randrange(2, 40), dice.uniform(0, 60), dice.uniform(0, 80)))
    if dice.random() < 0.2:
        strokes.append(random_lines(dice.randrange(1, 12), dice.randrange(1000)))
    dice.shuffle(strokes)
    return drawing(HIDING, seams=seams("".join(strokes)), pieces=pieces(_shapes(dice)))


def _shapes(dice: Dice) -> str:
    drawn = []
    for _ in range(dice.randrange(8)):
        colour = dice.choice(("#1f4e5f", "#f4efe6", "red", "none", "url(#g)", "rgb(31 78 95 / 40%)"))
        points = random_corners(dice.choice((2, 3, 4, 9, 40)), dice.randrange(10_000))
        drawn.append(dice.choice((f'<polygon fill="{colour}" points="{points}"/>', dice.choice(HIDDEN))))
    return "".join(drawn)


def _words(dice: Dice) -> bytes:
    """A drawing with some of its values replaced."""
    parts = _hand(dice).decode().split('"')
    for _ in range(dice.randrange(1, 5)):
        parts[2 * dice.randrange(len(parts) // 2) + 1] = dice.choice(_WORDS)
    return '"'.join(parts).encode()


def _elements(dice: Dice) -> bytes:
    """A drawing with elements doubled, dropped, moved, or wrapped into groups."""
    parts = _hand(dice).decode().replace("><", ">\n<").split("\n")
    for _ in range(dice.randrange(1, 6)):
        place = dice.randrange(2, len(parts) - 1)
        change = dice.randrange(4)
        if change == 0:
            parts.insert(place, parts[dice.randrange(2, len(parts) - 1)])
        elif change == 1:
            del parts[place]
        elif change == 2:
            parts.insert(dice.randrange(2, len(parts) - 1), parts.pop(place))
        else:
            parts[place] = (
                f'<g transform="{dice.choice(_WORDS)}" id="{dice.choice(("seams", "pieces", "x"))}">{parts[place]}</g>'
            )
        if len(parts) < 5:
            break
    return "".join(parts).encode()


def _bytes(dice: Dice) -> bytes:
    """A drawing with bytes flipped, cut out or repeated."""
    data = bytearray(dice.choice((_hand, _corpus, _elements))(dice)[:_SMALL])
    for _ in range(dice.choice((1, 1, 3, 30))):
        if not data:
            break
        place, change = dice.randrange(len(data)), dice.randrange(4)
        if change == 0:
            data[place] = dice.randrange(256)
        elif change == 1:
            del data[place : place + dice.choice((1, 9, 300))]
        elif change == 2:
            data[place:place] = data[place : place + dice.choice((1, 9, 300))] * dice.choice((1, 1, 50))
        else:
            data[place:place] = dice.choice(
                (b"<![CDATA[", b"<!--", b"]]>", b"&", b"\0", b"\xff\xfe", b'"', b"<svg>")
            )
    return bytes(data)


def _layers(dice: Dice) -> bytes:
    """Layers named, nested and hidden in odd ways."""
    layer = dice.choice(("seams", "pieces", "seams2", "Seams copy", "guide", "labels", "faults", "x"))
    said = dice.choice(
        ('display="none"', 'opacity="0"', 'id="pieces"', f'id="{layer}"', 'clip-path="url(#corner)"', "")
    )
    inside = f'<g id="{layer}" {said}>{SEAMS}{_shapes(dice)}</g>'
    return drawing(HIDING + (inside if dice.random() < 0.5 else ""), pieces=pieces(_shapes(dice)) + inside)


KINDS: dict[str, Callable[[Dice], bytes]] = {
    "corpus": _corpus,
    "hand": _hand,
    "values": _words,
    "elements": _elements,
    "bytes": _bytes,
    "layers": _layers,
}
