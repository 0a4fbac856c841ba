"""Files of a converted set, damaged or made to do harm, under each command that reads a set."""

import json
import random
from typing import Any

from tests.cli.damage import FILES, FORMULA, MARKUP, STEERING, TYPST, damaged
from tests.fuzz.running import Case
from tests.fuzz.sets import OWN, sound_set

Dice = random.Random
READING = (
    ("check", "--quiet", "set"),
    ("print", "set", "--quiet", "--include-redesign", "--out", "new"),
    ("words", "set", "IT+", "--quiet", "--no-print", "--out", "new"),
    ("words", "set", "{plus} T", "--quiet", "--mat", "12x12in", "--out", "new"),
    ("fabric", "set", "--quiet", "--out", "new"),
    ("mats", "set", "--quiet", "--out", "new"),
    ("mats", "set", "--quiet", "--parts", "sections", "--out", "new"),
    ("blank", "eacute", "--into", "set"),
    ("print", "set", "--stale", "--quiet"),
)
VALUES: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 0.5, 1e-9, -1e300, 1e300, 10**14, "", "0", "\x00", "../../x", "/", "ready", "A1",
    [], {}, [[]], [None], {"": ""}, [0, 0], [[0, 0], [1, 1], [0, 1]], FORMULA, TYPST, MARKUP, STEERING, "n" * 300,
)  # fmt: skip


def case(dice: Dice) -> Case:
    """One set with one of its files, now and then two, not as it was written."""
    files = dict(sound_set())
    kinds = set()
    for _ in range(dice.choice((1, 1, 1, 2))):
        name = dice.choice(tuple(FILES))
        kind, files[f"set/{name}"] = _other(dice, name, files[f"set/{name}"])
        kinds.add(kind)
    arguments = dice.choice(READING)
    return Case(
        f"{arguments[0]}, {' and '.join(sorted(kinds))}", arguments, files, kept=OWN, most_lines=6,
        seconds=10.0 if "print" in arguments else 5.0,
    )  # fmt: skip


def _other(dice: Dice, name: str, data: bytes) -> tuple[str, bytes]:
    kind = dice.choice(("named", "values", "values", "structure", "bytes"))
    try:
        content = json.loads(data)
    except ValueError:  # of the second damage to one file
        kind = "bytes"
    if kind == "bytes":
        return kind, _bytes(dice, data)
    if kind == "named":
        try:
            return kind, damaged(data, FILES[name][dice.choice(tuple(FILES[name]))])
        except (KeyError, IndexError, TypeError):  # what it would damage is gone already
            return kind, data
    for _ in range(dice.choice((1, 1, 2, 5))):
        place, key = dice.choice(_places(content) or [([None], 0)])
        if kind == "values":
            place[key] = dice.choice(VALUES)
        else:
            _restructure(dice, place, key)
    return kind, json.dumps(content).encode("utf-8", "surrogatepass")


def _places(data: Any) -> list[tuple[Any, Any]]:
    """Each value in the data, as what holds it and where."""
    found: list[tuple[Any, Any]] = []
    held = [data]
    while held:
        one = held.pop()
        keys = list(one) if isinstance(one, dict) else range(len(one)) if isinstance(one, list) else ()
        found += [(one, key) for key in keys]
        held += [one[key] for key in keys]
    return found


def _restructure(dice: Dice, place: Any, key: Any) -> None:
    """Drops a value, puts it in twice, wraps it, or puts another of the same list in its place."""
    change = dice.randrange(4)
    if change == 0:
        del place[key]
    elif change == 1:
        place[key] = [place[key]] if dice.random() < 0.5 else {"x": place[key]}
    elif isinstance(place, list):
        other = place[dice.randrange(len(place))]
        if change == 2:
            place.insert(key, other)
        else:
            place[key] = other
    else:
        place[dice.choice(("x", "key", "../x", f"{key} "))] = place[key]


def _bytes(dice: Dice, data: bytes) -> bytes:
    broken = bytearray(data)
    for _ in range(dice.choice((1, 1, 4, 30))):
        if not broken:
            break
        place = dice.randrange(len(broken))
        if dice.random() < 0.6:
            broken[place] = dice.randrange(256)
        else:
            del broken[place : place + dice.choice((1, 5, 400))]
    return bytes(broken)
