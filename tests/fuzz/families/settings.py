"""``alphabet.toml`` and layout files: values of any kind under any key, tables in odd places, damaged text."""

import io
import json
import random
from typing import Any

from PIL import Image

from converter.settings.definitions import OWN as OF_GLYPHS
from converter.settings.definitions import RUN
from tests.cli.damage import FORMULA, MARKUP, STEERING, TYPST
from tests.cli.sea import sea_font
from tests.fuzz.running import Case
from tests.fuzz.sets import OWN, sound_set

Dice = random.Random
FONT = sea_font()
SOUND = {
    "block": "3x4in", "margin": "1/4in", "fit": "each", "width": "proportional", "units": "mm",
    "seam_allowance": "7mm", "piece_allowance": "6mm", "grid": "2mm", "min_piece_width": "4mm", "detail": "plain",
    "section_price": 2, "effort": "draft", "budget": 100, "figure_colour": "#102030", "alternative": 1,
    "accept": {"sharp-corner": "I like it"}, "limits": {"sections": 3},
}  # fmt: skip
PUBLICATION = (
    "title",
    "designer",
    "copyright",
    "contact",
    "version",
    "date",
    "language",
    "introduction",
    "terms",
)
WORDS = (
    "target_width", "target_height", "border", "spacing", "letters", "background", "by", "align", "copies", "frame",
    "finishing", "also", "mat", "units", "own_colour", "pieces", "letter_size", "name", "equal_widths", "paper",
)  # fmt: skip
VALUES: tuple[Any, ...] = (
    True, False, 0, -1, 1, 10**18, 1e300, 0.001, float("nan"), float("inf"), "", "0in", "1/0in", "9" * 50 + "in",
    "-1in", "1e999mm", "1in", "200mm", "12x12in", "0x0mm", "nan", "rust", "url(#x)", "#12345", "#9c3f1d", "T=rust",
    "../../x", "\u202e", [], [1], ["a", "b"], [["x"]], {}, {"x": {}}, FORMULA, TYPST, MARKUP, STEERING, "n" * 9000,
    "I", "eye+1/16in", "none", "word",
)  # fmt: skip


def case(dice: Dice) -> Case:
    """One file of settings for ``convert`` or ``check``, or one layout file for ``words``."""
    kind = dice.choice(("settings", "settings", "glyph", "pattern", "layout", "text"))
    if kind == "layout" or (kind == "text" and dice.random() < 0.3):
        return _layout(dice, kind)
    tables: dict[str, Any] = {"effort": "draft"}
    names = {"settings": tuple(RUN), "glyph": tuple(OF_GLYPHS), "pattern": PUBLICATION, "text": tuple(RUN)}[
        kind
    ]
    said = {dice.choice((*names, *names, "x")): _value(dice, names) for _ in range(dice.randrange(1, 4))}
    pictures = {}
    if kind == "pattern":
        picture = f"front.{dice.choice(('png', 'jpg', 'svg'))}"
        pictures = {picture: _picture(dice)}
        tables["pattern"] = said | {
            dice.choice(("cover", "logo")): dice.choice((picture, picture, "no.png", ".", ""))
        }
    elif kind == "glyph":
        tables["glyph"] = {dice.choice(("I", "Z", "", STEERING)): said}
    else:
        tables |= said
    data = _toml(tables).encode("utf-8", "surrogatepass")
    if kind == "text":
        data = _damaged(dice, data)
    files = {"sea.ttf": FONT, "alphabet.toml": data, **pictures}
    asked = (
        "convert",
        "sea.ttf",
        "--text",
        "I",
        "--quiet",
        "--jobs",
        "1",
        "--settings",
        "alphabet.toml",
        "--out",
        "new",
    )
    if dice.random() < 0.3:
        files |= sound_set()
        asked = ("check", "set", "--quiet", "--settings", "alphabet.toml")
        return Case(f"check: {kind}", asked, files, kept=(*OWN, *pictures), most_lines=4)
    then = (("print", "new", "--quiet", "--include-redesign"),) if kind == "pattern" else ()
    return Case(f"convert: {kind}", asked, files, most_lines=4, seconds=10.0, then=then)


def _layout(dice: Dice, kind: str) -> Case:
    items = [
        {
            "set": dice.choice(("set", "set", "set", "nowhere", "")),
            "text": dice.choice(("IT", "I\nT", "{plus}", "", 3, "Q")),
        }
        | {dice.choice(WORDS): dice.choice(VALUES) for _ in range(dice.randrange(3))}
        for _ in range(dice.choice((1, 1, 2)))
    ]
    common = {dice.choice(WORDS): dice.choice(VALUES) for _ in range(dice.choice((0, 0, 1)))}
    data = _toml(common | {"item": items}).encode("utf-8", "surrogatepass")
    if kind == "text":
        data = _damaged(dice, data)
    asked = ("words", "--layout", "labels.toml", "--no-print", "--quiet")
    return Case(
        "words: layout", asked, sound_set() | {"labels.toml": data}, kept=(*OWN, "labels.toml"), most_lines=8
    )


def _value(dice: Dice, names: tuple[str, ...]) -> Any:
    sound = [SOUND[name] for name in names if name in SOUND] or ["village"]
    return dice.choice((*VALUES, *sound))


def _toml(table: dict[str, Any], above: str = "") -> str:
    """The tables as text: numbers and words first, then what has a head of its own."""
    plain = {key: value for key, value in table.items() if not _is_table(value)}
    lines = [f"{json.dumps(key)} = {_inline(value)}" for key, value in plain.items()]
    for key, value in table.items():
        if _is_table(value):
            head = f"{above}.{json.dumps(key)}" if above else json.dumps(key)
            for one in value if isinstance(value, list) else [value]:
                lines += ["", f"[[{head}]]" if isinstance(value, list) else f"[{head}]", _toml(one, head)]
    return "\n".join(lines)


def _is_table(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and bool(value) and isinstance(value[0], dict))


def _inline(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_inline, value))}]"
    if isinstance(value, float):
        return repr(value)
    return json.dumps(value).replace("\x7f", "\\u007f")


def _damaged(dice: Dice, data: bytes) -> bytes:
    broken = bytearray(data)
    for _ in range(dice.choice((1, 3, 10))):
        place = dice.randrange(len(broken) + 1)
        broken[place:place] = dice.choice(
            (b'"', b"[", b"]", b"=", b"\xff", b"\0", b"\n", b"[[", b"'''", b"[" * 3000)
        )
    return bytes(broken)


def _picture(dice: Dice) -> bytes:
    kind = dice.choice(("PNG", "JPEG", "SVG"))
    if kind == "SVG":
        inside = dice.choice(
            (
                '<rect width="9" height="9"/>',
                "<text>x</text>",
                '<use href="#a"/><g id="a"/>',
                "<script/>",
                "<g" + ">",
            )
        )
        return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 20">{inside}</svg>'.encode()
    out = io.BytesIO()
    Image.new("RGB", (dice.choice((1, 30, 400)), dice.choice((1, 20, 300))), "#00ff00").save(out, kind)
    data = bytearray(out.getvalue())
    for _ in range(dice.choice((0, 1, 8))):
        data[dice.randrange(len(data))] = dice.randrange(256)
    return bytes(data[: dice.choice((len(data), len(data), len(data) // 2))])
