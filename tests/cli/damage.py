"""Ways in which the files of a converted folder may be damaged, or made to do harm.

Each takes the file's data (text where it begins with ``raw``) and gives what is to stand there instead.
"""

import json
import random
from collections.abc import Callable
from typing import Any

Damage = Callable[[Any], Any]


def _set(*path: Any, to: Any) -> Damage:
    def change(data: Any) -> Any:
        place = data
        for step in path[:-1]:
            place = place[step]
        place[path[-1]] = to
        return data

    return change


def _drop(*path: Any) -> Damage:
    def change(data: Any) -> Any:
        place = data
        for step in path[:-1]:
            place = place[step]
        del place[path[-1]]
        return data

    return change


def _raw(text: str | bytes) -> Damage:
    return lambda data: text


def _replaced(old: str, new: str) -> Damage:
    return lambda data: json.dumps(data, ensure_ascii=False).replace(old, new)


def _tangle(corners: int) -> list[list[float]]:
    dice = random.Random(1)
    return [[dice.random() * 70, dice.random() * 90] for _ in range(corners)]


GLYPH = ("glyphs", 0)
PIECE = (*GLYPH, "pieces", 0)
FORMULA = '=HYPERLINK("http://example.com","seed")'
TYPST = '#panic("no") #read("/etc/passwd") $x^2$ @here <label> *bold* `code`'
MARKUP = '"><script>alert(1)</script><svg onload="alert(1)">&amp;<!--'
STEERING = "kelp\x1b]0;owned\x07\x1b[31m\u202eplek\r\nsecond line\x00"

PATTERN: dict[str, Damage] = {
    "empty": _raw(""),
    "raw: a list": _raw("[]"),
    "raw: not UTF-8": _raw(b'{"format": "\xff\xfe"}'),
    "raw: cut off": lambda data: json.dumps(data)[:-200],
    "raw: nested deep": _raw("[" * 200_000),
    "raw: nested deep inside": _replaced('"settings": {', '"settings": {"x": ' + "[" * 5000 + "]" * 5000 + ", "),
    "raw: a number of 5,000 digits": _replaced('"version": 1', '"version": ' + "1" * 5000),
    "raw: a coordinate of 5,000 digits": _replaced('"polygon": [[', '"polygon": [[' + "1" * 5000 + ", 0], ["),
    "raw: NaN": _replaced('"seam_allowance": 6.35', '"seam_allowance": NaN'),
    "raw: Infinity": _replaced('"polygon": [[', '"polygon": [[Infinity, 0], ['),
    "raw: a number beyond all floats": _replaced('"polygon": [[', '"polygon": [[1e999, 0], ['),
    "raw: half a character": _replaced('"family": "', '"family": "\\ud800'),
    "another format": _set("format", to="else"),
    "another version": _set("version", to=2),
    "version as text": _set("version", to="1"),
    "no glyphs": _drop("glyphs"),
    "glyphs are a table": _set("glyphs", to={}),
    "no figure fabric": _drop("fabrics", "figure"),
    "a block of -5": _set("block", "width", to=-5),
    "a block of 0": _set("block", "height", to=0),
    "a block of 1e300": _set("block", "height", to=1e300),
    "a tiny block": _set("block", "height", to=1e-9),
    "a huge allowance": _set("block", "seam_allowance", to=1e6),
    "another block width": _set("block", "width", to=75.0),
    "another height": _set("block", "height", to=100.0),
    "a block width of its own": _set(*GLYPH, "metrics", "block_width", to=-1),
    "a block width that is not its pieces'": _set(*GLYPH, "metrics", "block_width", to=50.0),
    "settings are null": _set("settings", to=None),
    "settings are a list": _set("settings", to=[]),
    "limits are a list": _set("settings", "limits", to=[1]),
    "limits are texts": _set("settings", "limits", to={"sections": "many"}),
    "a limit that there is not": _set("settings", "limits", to={"beauty": 1}),
    "budget is text": _set("settings", "budget", to="much"),
    "budget is null": _set("settings", "budget", to=None),
    "budget is huge": _set("settings", "budget", to=10**14),
    "budget is a fraction": _set("settings", "budget", to=0.5),
    "price is a list": _set("settings", "section_price", to=[1]),
    "price is huge": _set("settings", "section_price", to=1e300),
    "width is -1": _set("settings", "min_piece_width", to=-1),
    "width is a table": _set("settings", "min_piece_width", to={}),
    "settings of glyphs are a list": _set("settings", "glyphs", to=[1, 2]),
    "settings of a glyph are text": _set("settings", "glyphs", to={"I": "fine"}),
    "accepted is a list": _set("settings", "glyphs", to={"I": {"accept": ["sharp-corner"]}}),
    "accepted for no reason": _set("settings", "glyphs", to={"I": {"accept": {"sharp-corner": None}}}),
    "detail is none": _set("settings", "detail", to="rough"),
    "block in settings is text": _set("settings", "block", to="3x4in"),
    "axes are texts": _set("settings", "axes", to="bold"),
    "a key that is a path": _set(*GLYPH, "key", to="../../x"),
    "a key of dots": _set(*GLYPH, "key", to=".."),
    "an empty key": _set(*GLYPH, "key", to=""),
    "a key of 5,000 characters": _set(*GLYPH, "key", to="x" * 5000),
    "a key with control characters": _set(*GLYPH, "key", to="I\x1b[31m"),
    "the same key twice": _set("glyphs", 1, "key", to="I_"),
    "a name of 100,000 characters": _set(*GLYPH, "name", to="n" * 100_000),
    "a text of 100,000 characters": _set(*GLYPH, "text", to="t" * 100_000),
    "a message of 100,000 characters": _set(
        *GLYPH, "reasons",
        to=[{"id": "x", "severity": "note", "message": "m" * 100_000, "measured": None, "limit": None,
             "where": None, "piece": None, "hint": ""}],
    ),
    "a fault at no place": _set(
        *GLYPH, "reasons",
        to=[{"id": "x", "severity": "review", "message": "m", "measured": 1e300, "limit": -1e300,
             "where": [99_999, -99_999], "piece": "ZZ99", "hint": ""}],
    ),
    "code points that are no characters": _set(*GLYPH, "codepoints", to=[0xD800, 0xFFFF, 0, 1]),
    "a section names a piece that is not there": _set(*GLYPH, "sections", 0, "pieces", 0, to="Z9"),
    "a section names a piece twice": lambda data: _set(
        *GLYPH, "sections", 0, "pieces", to=data["glyphs"][0]["sections"][0]["pieces"] * 2
    )(data),
    "no sections": _set(*GLYPH, "sections", to=[]),
    "no pieces": _set(*GLYPH, "pieces", to=[]),
    "no metrics": _drop(*GLYPH, "metrics"),
    "a join of what is not there": _set(*GLYPH, "joins", to=[{"step": 1, "parts": ["A", "B"], "makes": "A+B"}]),
    "a join with itself": _set(*GLYPH, "joins", to=[{"step": 1, "parts": ["A", "A"], "makes": "A"}]),
    "two pieces of one name": lambda data: _set(*GLYPH, "pieces", 1, "id", to=data["glyphs"][0]["pieces"][0]["id"])(
        data
    ),
    "a fabric that is not listed": _set(*PIECE, "fabric", to="velvet"),
    "an empty polygon": _set(*PIECE, "polygon", to=[]),
    "a polygon of two corners": _set(*PIECE, "polygon", to=[[0, 0], [1, 1]]),
    "a polygon of one place": _set(*PIECE, "polygon", to=[[1, 1], [1, 1], [1, 1]]),
    "a polygon on a line": _set(*PIECE, "polygon", to=[[0, 0], [10, 0], [20, 0]]),
    "a polygon that crosses itself": _set(*PIECE, "polygon", to=[[0, 0], [10, 10], [10, 0], [0, 10]]),
    "a polygon of 9,000 corners": _set(*PIECE, "polygon", to=[[i % 100, i // 100] for i in range(9000)]),
    "a polygon with texts": _set(*PIECE, "polygon", to=[["a", "b"]] * 3),
    "a corner out of the block": _set(*PIECE, "polygon", 0, to=[-500.0, -500.0]),
    "a corner moved by a hair's breadth": lambda data: _set(
        *PIECE, "polygon", 0, 0, to=data["glyphs"][0]["pieces"][0]["polygon"][0][0] + 0.5
    )(data),
    "an empty figure": _set(*GLYPH, "figure", to=[]),
    "a figure of an empty polygon": _set(*GLYPH, "figure", to=[[]]),
    "a figure that crosses itself": _set(*GLYPH, "figure", to=[[[[0, 0], [50, 50], [50, 0], [0, 50]]]]),
    "a figure of one place": _set(*GLYPH, "figure", to=[[[[5, 5], [5, 5], [5, 5]]]]),
    "a figure of 9,000 corners": _set(
        *GLYPH, "figure", to=[[_tangle(9000)]]
    ),
    "a placement of nothing": _set(*GLYPH, "placement", to=[0, 0, 0, 0, 0, 0]),
    "a placement of five": _set(*GLYPH, "placement", to=[1, 0, 0, 1, 0]),
    "a huge placement": _set(*GLYPH, "placement", to=[1e300] * 6),
    "metrics out of range": _set(*GLYPH, "metrics", "pieces", to=-1),
    "a ready block without pieces": lambda data: _set(*GLYPH, "status", to="ready")(
        _set(*GLYPH, "pieces", to=[])(_set(*GLYPH, "sections", to=[])(data))
    ),
    "a fabric that is a path": _set("fabrics", "../../../x", to={"label": "x", "colour": "#000000"}),
    "no colour": _set("fabrics", "figure", "colour", to="url(#x)"),
    "a file name that is a path": _set("source", "file", to="../../etc/passwd"),
    "no licence": _drop("source", "licence"),
}  # fmt: skip
for _name, _text in {"formula": FORMULA, "Typst": TYPST, "markup": MARKUP, "steering": STEERING}.items():
    PATTERN |= {
        f"{_name} as a text": _set(*GLYPH, "text", to=_text),
        f"{_name} as a name": _set(*GLYPH, "name", to=_text),
        f"{_name} as a family": _set("source", "family", to=_text),
        f"{_name} as a fabric's label": _set("fabrics", "figure", "label", to=_text),
        f"{_name} as a licence": _set("source", "licence", "text", to=_text),
    }

RECORD: dict[str, Damage] = {
    "empty": _raw(""),
    "raw: a list": _raw("[]"),
    "raw: not UTF-8": _raw(b"\xff"),
    "raw: a size of 5,000 digits": _replaced('"size": ', '"size": ' + "1" * 5000),
    "raw: NaN": _replaced('"size": ', '"size": NaN, "was": '),
    "raw: nested deep": _raw("[" * 200_000),
    "another version": _set("version", to=7),
    "blocks are a list": _set("blocks", to=[]),
    "a block is a list": _set("blocks", "I_", to=[]),
    "a block is null": _set("blocks", "I_", to=None),
    "a key that is a path": _set("blocks", "../../x", to={"written": "", "size": 1, "outline": []}),
    "written is a number": _set("blocks", "I_", "written", to=5),
    "size is text": _set("blocks", "I_", "size", to="large"),
    "size is -1": _set("blocks", "I_", "size", to=-1),
    "size is 1e300": _set("blocks", "I_", "size", to=1e300),
    "size is 0": _set("blocks", "I_", "size", to=0),
    "an outline of nothing": _set("blocks", "I_", "outline", to=[[]]),
    "a ring of nothing": _set("blocks", "I_", "outline", to=[[[]]]),
    "a ring of two corners": _set("blocks", "I_", "outline", to=[[[[0, 0], [1, 1]]]]),
    "a ring of one place": _set("blocks", "I_", "outline", to=[[[[1, 1], [1, 1], [1, 1]]]]),
    "a ring that crosses itself": _set("blocks", "I_", "outline", to=[[[[0, 0], [50, 50], [50, 0], [0, 50]]]]),
    "a ring of 100,000 corners": _set(
        "blocks", "I_", "outline", to=[[[[i % 70, (i * 7) % 90] for i in range(100_000)]]]
    ),
    "a ring of 20,000 random corners": _set(
        "blocks", "I_", "outline",
        to=[[_tangle(20_000)]],
    ),
    "a corner of three numbers": _set("blocks", "I_", "outline", to=[[[[0, 0, 0], [1, 1, 1], [1, 0, 1]]]]),
    "corners of texts": _set("blocks", "I_", "outline", to=[[["ab", "cd", "ef"]]]),
    "an outline far away": _set("blocks", "I_", "outline", to=[[[[1e300, 0], [0, 1e300], [1, 1]]]]),
    "an outline elsewhere": _set("blocks", "I_", "outline", to=[[[[5000, 0], [5001, 0], [5001, 1]]]]),
    "a hole outside": _set(
        "blocks", "I_", "outline", to=[[[[0, 0], [9, 0], [9, 9]], [[50, 50], [60, 50], [60, 60]]]]
    ),
}  # fmt: skip

WRITTEN: dict[str, Damage] = {
    "empty": _raw(""),
    "raw: a list": _raw("[]"),
    "files are a list": _set("files", to=[]),
    "a path out of the folder": _set("files", "../../x", to="0" * 64),
    "a hash is a number": _set("files", "pattern.json", to=5),
    "another version": _set("version", to=7),
}

ALTERNATIVES: dict[str, Damage] = {
    "empty": _raw(""),
    "raw: a list": _raw("[]"),
    "raw: nested deep": _raw("[" * 200_000),
    "raw: NaN": _raw('{"format": "font2foundation-alternatives", "version": 1, "glyphs": {"I_": NaN}}'),
    "glyphs are a list": _set("glyphs", to=[]),
    "a glyph is null": _set("glyphs", "I_", to=None),
    "no figures": _set("glyphs", "I_", to={"chosen": 1, "figures": []}),
    "a figure is text": _set("glyphs", "I_", to={"chosen": 1, "figures": ["x"]}),
    "chosen is text": _set("glyphs", "I_", to={"chosen": "1", "figures": [{}]}),
}

FILES = {
    "pattern.json": PATTERN, "record.json": RECORD, "written.json": WRITTEN, "alternatives.json": ALTERNATIVES,
}  # fmt: skip


def damaged(content: bytes, damage: Damage) -> bytes:
    """What stands in the file afterwards."""
    made = damage(json.loads(content))
    if isinstance(made, bytes):
        return made
    return (made if isinstance(made, str) else json.dumps(made)).encode("utf-8", "surrogatepass")
