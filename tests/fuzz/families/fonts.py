"""Fonts: shapes that no letter has, taken the whole way to templates and pages, and files that are damaged."""

import math
import random
from collections.abc import Callable
from pathlib import Path

from converter.pattern import from_json
from converter.verify import NotSewableError, verify_glyph
from tests.cli.sea import LETTERS, OFL
from tests.fonts.makers import (
    TEXT_FONTS,
    Draw,
    builder,
    collection,
    polygon,
    quadratic_disc,
    saved,
    square,
    together,
    variable,
)
from tests.fuzz.running import Case, Outcome

Dice = random.Random
Corner = tuple[int, int]
CONVERT = ("convert", "font.ttf", "--jobs", "1", "--effort", "draft", "--quiet", "--out", "set")
PAGES = (("print", "set", "--include-redesign", "--quiet"), ("fabric", "set", "--quiet"))
SECONDS = 20.0  # of a glyph that may be the hardest there is, and of the letter beside it


def case(dice: Dice) -> Case:
    """A font whose Q is odd, beside a sound I; or any font with bytes changed."""
    if dice.random() < 0.4:
        return _damaged(dice)
    kind = dice.choice(sorted(SHAPES))
    draw = SHAPES[kind](dice)
    glyphs = {"I": LETTERS["I"], "Q": draw}
    if kind == "components":
        glyphs["a"] = quadratic_disc
    data = saved(builder(glyphs, names={"licenseDescription": OFL}, sCapHeight=700))
    more = ("--block", dice.choice(("3x4in", "4x4in", "20x20mm", "1000x1000mm")))
    more += ("--fit", dice.choice(("each", "together")), "--width", dice.choice(("fixed", "proportional")))
    then = PAGES if dice.random() < 0.3 else ()
    asked = (*CONVERT, "--text", "IQ", *more)
    return Case(
        f"shape: {kind}",
        asked,
        {"font.ttf": data},
        codes=frozenset({0, 2}),
        seconds=SECONDS,
        then=then,
        also=_sound,
    )


def _sound(folder: Path, outcome: Outcome) -> list[str]:
    """What is wrong with the blocks that were made."""
    if outcome.code != 0:
        return []
    faults = []
    pattern = from_json((folder / "set/pattern.json").read_text(encoding="utf-8"))
    for glyph in pattern.glyphs:
        if glyph.pieces:
            try:
                verify_glyph(glyph, glyph.metrics.block_width or pattern.block.width, pattern.block.height)
            except NotSewableError as error:
                faults.append(f"{glyph.key} cannot be sewn: {error}")
        if {reason.id for reason in glyph.reasons} & {"unexpected-error", "not-sewable"}:
            faults.append(f"{glyph.key}: {glyph.reasons[0].message[:200]}")
    if (folder / "set/problems.log").exists():
        faults.append((folder / "set/problems.log").read_text(encoding="utf-8").splitlines()[-1])
    return faults


def _damaged(dice: Dice) -> Case:
    letters = {"I": LETTERS["I"], "Q": together(quadratic_disc, square(100, 100, 50))}
    made = {
        "ttf": lambda: saved(builder(letters, names={"licenseDescription": OFL})),
        "otf": lambda: saved(builder({"I": LETTERS["I"], "Q": square(0, 0, 500)}, kind="CFF")),
        "cff2": lambda: saved(builder({"I": LETTERS["I"], "Q": square(0, 0, 500)}, kind="CFF2")),
        "woff": lambda: saved(builder(letters), "woff"),
        "woff2": lambda: saved(builder(letters), "woff2"),
        "ttc": lambda: collection(builder(letters), builder(letters)),
        "variable": lambda: saved(variable(square(0, 0, 100), 100)),
        "real": lambda: dice.choice(TEXT_FONTS).read_bytes(),
    }
    kind = dice.choice(sorted(made))
    data = bytearray(made[kind]())
    for _ in range(dice.choice((1, 1, 2, 8, 40))):
        place = dice.randrange(len(data) if dice.random() < 0.5 else min(len(data), 1500))
        change = dice.randrange(8)
        if change == 0:
            del data[place : place + dice.choice((1, 4, 900))]
        elif change == 1:
            data[place:place] = bytes(dice.choice((1, 4, 900)))
        else:
            data[place] = dice.choice((0, 0x7F, 0x80, 0xFF, dice.randrange(256)))
        if len(data) < 2:
            break
    axes = ("--axis", f"wght={dice.choice((100, 500, 900, -5, 1e9))}") if kind == "variable" else ()
    asked = (*CONVERT, "--glyphs", "*", *axes) if kind != "real" else (*CONVERT, "--text", "IL")
    return Case(f"damaged: {kind}", asked, {"font.ttf": bytes(data)}, seconds=SECONDS, also=_sound)


def _corners(count: int, place: Callable[[int], tuple[float, float]]) -> tuple[Corner, ...]:
    return tuple((round(x), round(y)) for x, y in map(place, range(count)))


def _ring(x: float, y: float, radius: float, corners: int, turn: int = -1) -> Draw:
    def place(k: int) -> tuple[float, float]:
        angle = turn * 2 * math.pi * k / corners
        return x + radius * math.cos(angle), y + radius * math.sin(angle)

    return polygon(*_corners(corners, place))


def _touching(dice: Dice) -> Draw:
    """Circles in rows whose distance is their width, or a little more or less."""
    across, corners, radius = dice.randrange(1, 5), dice.choice((3, 4, 8, 16, 30)), dice.choice((40, 80, 110))
    pitch = 2 * radius + dice.choice((0, 0, 1, -1, 3, -3))
    return together(
        *(
            _ring(radius + pitch * x, radius + pitch * y, radius, corners)
            for x in range(across)
            for y in range(across)
        )
    )


def _crossing(dice: Dice) -> Draw:
    """Contours of random corners."""
    return together(
        *(
            polygon(
                *((dice.randrange(1000), dice.randrange(1000)) for _ in range(dice.choice((3, 5, 9, 12))))
            )
            for _ in range(dice.choice((1, 1, 2, 3)))
        )
    )


def _spiral(dice: Dice) -> Draw:
    turns, wide = dice.choice((20, 60, 150)), dice.choice((2, 12, 40))

    def place(k: int) -> tuple[float, float]:
        off, k = (0, k) if k < turns else (wide, 2 * turns - 1 - k)
        radius = 10 + 450 * k / turns - off
        return 500 + radius * math.cos(k / 6), 500 + radius * math.sin(k / 6)

    return polygon(*_corners(2 * turns, place))


def _comb(dice: Dice) -> Draw:
    teeth, step = dice.choice((3, 12, 60, 200)), dice.choice((3, 20, 70))
    corners: list[Corner] = [(0, 0), (0, 700)]
    for k in range(teeth):
        x = 2 * step * k
        corners += [(x, 700), (x + step, 700), (x + step, 100 + k % 3), (x + 2 * step, 100)]
    return polygon(*corners, (2 * step * teeth, 0))


def _grid(dice: Dice) -> Draw:
    across, side = dice.choice((2, 5, 12, 40)), dice.choice((2, 10, 15))
    pitch = side + dice.choice((0, 1, 10))
    return together(*(square(pitch * x, pitch * y, side) for x in range(across) for y in range(across)))


def _rings(dice: Dice) -> Draw:
    count, corners = dice.choice((2, 5, 20)), dice.choice((4, 9, 40))
    return together(*(_ring(400, 400, 390 - 380 * k / count, corners, (-1, 1)[k % 2]) for k in range(count)))


def _thin(dice: Dice) -> Draw:
    """Bars as thin as a unit, sloping a little."""
    return together(
        *(
            polygon((x, 0), (x + slope, 700), (x + slope + wide, 700), (x + wide, 0))
            for x, slope, wide in (
                (dice.randrange(600), dice.choice((0, 0, 1, 50)), dice.choice((1, 1, 2, 9))) for _ in range(4)
            )
        )
    )


def _enormous(dice: Dice) -> Draw:
    far = dice.choice((3_000, 16_000, 32_000))
    return together(square(-far, -far // 2, dice.choice((far, 2))), square(0, 0, dice.choice((1, 700))))


def _edge(dice: Dice) -> Draw:
    """The whole em but for notches, so that the figure ends at the block's edge."""
    notch = dice.choice((1, 5, 80))
    return polygon(
        (0, 0), (0, 700), (300, 700), (300 + notch, 700 - notch), (300 + 2 * notch, 700), (600, 700), (600, 0)
    )


def _star(dice: Dice) -> Draw:
    points, inner = dice.choice((3, 5, 12, 50)), dice.choice((5, 120, 330))

    def place(k: int) -> tuple[float, float]:
        radius, angle = (350, inner)[k % 2], math.pi * k / points
        return 350 + radius * math.sin(angle), 350 + radius * math.cos(angle)

    return polygon(*_corners(2 * points, place))


def _components(dice: Dice) -> Draw:
    """Another glyph, mirrored and scaled."""
    moves = [
        (*dice.choices((-1, -0.5, 0, 0.001, 0.5, 1, 1.9), k=4), dice.randrange(-500, 500), 0)
        for _ in range(dice.choice((1, 2, 5)))
    ]

    def draw(pen: object) -> None:
        for move in moves:
            pen.addComponent("a", move)  # type: ignore[attr-defined]

    return draw


def _nearly(dice: Dice) -> Draw:
    """Bars that touch, overlap or miss each other by a unit, some a little out of level."""
    draws, x = [], 0
    for _ in range(dice.randrange(2, 6)):
        wide, lean = dice.choice((60, 120)), dice.choice((0, 0, 1, -1))
        draws.append(polygon((x, 0), (x + lean, 700), (x + wide + lean, 700 + lean), (x + wide, 0)))
        x += wide + dice.choice((0, 1, -1, 40))
    return together(*draws, polygon((0, 350), (0, 420), (x, 421), (x, 350)))


SHAPES: dict[str, Callable[[Dice], Draw]] = {
    "touching": _touching,
    "self-crossing": _crossing,
    "spiral": _spiral,
    "comb": _comb,
    "grid": _grid,
    "rings": _rings,
    "hair-thin": _thin,
    "enormous": _enormous,
    "at the edge": _edge,
    "star": _star,
    "components": _components,
    "nearly touching": _nearly,
}
