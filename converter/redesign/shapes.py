"""SVG's basic shapes, paths and transforms as plain points.

Paths and affine maps are fontTools' (a dependency already, and well kept); a whole SVG library would read files
on its own account and know none of the bounds that a drawing from outside needs.
"""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field

from fontTools.misc.transform import Identity, Transform
from fontTools.pens.basePen import BasePen
from fontTools.svgLib.path.parser import parse_path

from converter.budgets.drawings import LENGTH, POINTS
from converter.model import Point
from converter.redesign.xml import Node

FLAT_CURVE = 0.005  # of its chord: a curve whose handles stay this near to its chord is a straight line
FARTHEST = 1e6  # user units; nothing of a block is so far off
_STEPS = 8  # chords that stand for a curve, where a shape may have curves
FINE_STEPS = 32  # where it is straightened: none is then farther off than 0.001 of the curve's radius
_UNITS = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "mm": 96 / 25.4,
    "cm": 96 / 2.54,
    "pt": 96 / 72,
    "pc": 16.0,
    "q": 96 / 101.6,
}
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"\s*({_NUMBER})\s*([a-zA-Z]*)\s*")
_TRANSFORM = re.compile(r"[\s,]*+([a-zA-Z]++)\s*+\(([^()]*+)\)[\s,]*+")  # each character is looked at once
_PATH_NUMBER = re.compile(_NUMBER)
_PATH_COMMANDS = frozenset("MmZzLlHhVvCcSsQqTtAa, \t\r\n")


class ShapeError(Exception):
    """An element's numbers cannot be used; the message says which and why."""


@dataclass(slots=True)
class Run:
    """Points joined by straight lines. ``bend``: a place where the drawing has a curve instead, if it has one."""

    points: list[Point] = field(default_factory=list)
    closed: bool = False
    bend: Point | None = None
    curves: list[tuple[int, int]] = field(
        default_factory=list
    )  # from which point to which; the last may be the first


def pixels(text: str) -> float:
    """CSS pixels of a length with or without unit (CSS Values and Units, absolute lengths)."""
    match = _LENGTH.fullmatch(text) if len(text) <= LENGTH.most else None
    if match is None or match[2].lower() not in _UNITS:
        raise ShapeError(f"{text[:40]!r} is not a length")
    return finite(float(match[1]) * _UNITS[match[2].lower()])


def numbers(text: str) -> list[float]:
    """The numbers of a list with spaces or commas."""
    values = []
    for part in re.split(r"[\s,]+", text.strip()):
        if part:
            try:
                values.append(finite(float(part)))
            except ValueError:
                raise ShapeError(f"{part[:40]!r} is not a number") from None
    return values


def finite(value: float) -> float:
    """The value, if it can be a place on a block's drawing. Raises :class:`ShapeError` where it cannot."""
    if not abs(value) <= FARTHEST:
        raise ShapeError(f"{value:g} is not a place on a block")
    return value


def transform_of(text: str) -> Transform:
    """The map of a ``transform`` attribute."""
    result, place = Identity, 0
    text = "" if text.strip() == "none" else text
    while place < len(text):
        match = _TRANSFORM.match(text, place)
        step = _STEPS_OF_TRANSFORM.get(match[1]) if match else None
        if match is None or step is None:
            if not text[place:].strip():
                break
            raise ShapeError(f"the transform {text[place : place + 40]!r} is not understood")
        place = match.end()
        try:
            result = result.transform(step(*numbers(match[2])))
        except TypeError:
            raise ShapeError(f"the transform {match[1]} has too few or too many numbers") from None
    return result


def _rotate(angle: float, x: float = 0.0, y: float = 0.0) -> Transform:
    return Identity.translate(x, y).rotate(math.radians(angle)).translate(-x, -y)


_STEPS_OF_TRANSFORM: dict[str, Callable[..., Transform]] = {
    "matrix": lambda a, b, c, d, e, f: Transform(a, b, c, d, e, f),
    "translate": lambda x, y=0.0: Identity.translate(x, y),
    "scale": lambda x, y=None: Identity.scale(x, x if y is None else y),
    "rotate": _rotate,
    "skewX": lambda angle: Identity.skew(math.radians(angle), 0),
    "skewY": lambda angle: Identity.skew(0, math.radians(angle)),
}


def runs_of(node: Node, steps: int = _STEPS) -> list[Run]:
    """The points of a drawn element in its own coordinates; nothing for elements that draw none.

    ``steps``: how many chords stand for a curve.

    Raises :class:`ShapeError` for numbers that are none.
    """
    read = _SHAPES.get(node.tag)
    runs = [run for run in read(node, steps) if run.points] if read else []
    if sum(len(run.points) for run in runs) > POINTS.most:
        raise ShapeError(f"more than {POINTS}")
    for run in runs:
        for x, y in run.points:
            finite(x)
            finite(y)
    return runs


def _length(node: Node, name: str) -> float:
    text = node.get(name)
    return pixels(text) if text else 0.0


def _line(node: Node, _: int) -> list[Run]:
    x1, y1, x2, y2 = (_length(node, name) for name in ("x1", "y1", "x2", "y2"))
    return [Run([(x1, y1), (x2, y2)])]


def _polyline(node: Node, _: int) -> list[Run]:
    values = numbers(node.get("points"))
    return [Run(list(zip(values[::2], values[1::2], strict=False)), node.tag == "polygon")]


def _rectangle(node: Node, _: int) -> list[Run]:
    x, y, width, height = (_length(node, name) for name in ("x", "y", "width", "height"))
    if width <= 0 or height <= 0:
        return []
    return [Run([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], True)]


def _ellipse(node: Node, steps: int) -> list[Run]:
    x, y, r = (_length(node, name) for name in ("cx", "cy", "r"))
    rx, ry = (r, r) if node.tag == "circle" else (_length(node, "rx"), _length(node, "ry"))
    count = 4 * steps
    turns = [2 * math.pi * k / count for k in range(count)]
    points = [(x + rx * math.cos(t), y + ry * math.sin(t)) for t in turns]
    return [Run(points, True, (x + rx, y), [(0, count)])]


def _path(node: Node, steps: int) -> list[Run]:
    pen = _Points(steps)
    draw_path(node.get("d"), pen)
    return pen.runs


def draw_path(d: str, pen: BasePen) -> None:
    """Draws a path's data with a pen. Raises :class:`ShapeError` where it cannot be read."""
    if not _PATH_COMMANDS.issuperset(_PATH_NUMBER.sub("", d)):
        raise ShapeError("its path contains something that is neither a command nor a number")
    if not {"a", "A"} & set(d):
        # The parser wants a digit on both sides of the point. Arcs are left alone: their flags may stand packed.
        d = _PATH_NUMBER.sub(lambda number: f" {float(number[0])!r} ", d)
    try:
        parse_path(d, pen)
    except (ValueError, IndexError, TypeError, AssertionError, ZeroDivisionError, OverflowError):
        raise ShapeError("its path cannot be read") from None


class _Points(BasePen):  # type: ignore[misc]
    def __init__(self, steps: int) -> None:
        super().__init__()
        self.runs: list[Run] = []
        self._steps = steps
        self._left = POINTS.most

    def _count(self, points: int) -> None:
        self._left -= points
        if self._left < 0:
            raise ShapeError(f"more than {POINTS}")

    def _moveTo(self, pt: Point) -> None:  # noqa: N802 - the pen's own names
        self._count(1)
        self.runs.append(Run([pt]))

    def _lineTo(self, pt: Point) -> None:  # noqa: N802
        self._count(1)
        self.runs[-1].points.append(pt)

    def _curveToOne(self, pt1: Point, pt2: Point, pt3: Point) -> None:  # noqa: N802
        run = self.runs[-1]
        start = run.points[-1]
        chord = math.dist(start, pt3)
        off = max(_off_chord(start, pt3, handle) for handle in (pt1, pt2))
        if off <= FLAT_CURVE * chord:
            self._count(1)
            run.points.append(pt3)
            return
        steps = self._steps
        self._count(steps)
        points = [_cubic(start, pt1, pt2, pt3, k / steps) for k in range(1, steps + 1)]
        run.bend = run.bend or points[steps // 2 - 1]
        run.curves.append((len(run.points) - 1, len(run.points) - 1 + steps))
        run.points += points

    def _closePath(self) -> None:  # noqa: N802
        self.runs[-1].closed = True


def _off_chord(a: Point, b: Point, p: Point) -> float:
    length = math.dist(a, b)
    if length == 0:
        return math.dist(a, p)
    return abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / length


def _cubic(a: Point, b: Point, c: Point, d: Point, t: float) -> Point:
    s = 1 - t
    weights = (s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t)
    return (
        sum(w * p[0] for w, p in zip(weights, (a, b, c, d), strict=True)),
        sum(w * p[1] for w, p in zip(weights, (a, b, c, d), strict=True)),
    )


_SHAPES: dict[str, Callable[[Node, int], list[Run]]] = {
    "line": _line,
    "polyline": _polyline,
    "polygon": _polyline,
    "rect": _rectangle,
    "circle": _ellipse,
    "ellipse": _ellipse,
    "path": _path,
}
