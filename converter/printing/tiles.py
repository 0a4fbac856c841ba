"""A line drawing larger than a page, cut into parts that overlap, with marks to lay them together again.

The drawing itself is cut, line by line, so that nothing hidden lies outside the page; it must be made of
lines and texts without transformed groups, as templates are. All lengths are mm in the drawing's own frame.
"""

import re
from collections.abc import Iterable
from copy import deepcopy
from dataclasses import dataclass
from math import ceil
from xml.etree import ElementTree

import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from converter.drawing.labels import extent
from converter.drawing.svg import INK, SOFT_INK, number
from converter.model import Point, Ring

OVERLAP = 12.0  # mm that neighbouring parts share
CROSS = 6.0  # mm, a registration mark's height and width
_PEN = 0.2
_SVG = "http://www.w3.org/2000/svg"
_HIDDEN = {"title", "desc", "defs"}


@dataclass(frozen=True, slots=True)
class Mark:
    """A registration mark: the same name stands at the same place on every part that shows it."""

    name: str
    at: Point


@dataclass(frozen=True, slots=True)
class Tile:
    """One part: its place in the template drawing, its drawing, the marks on it."""

    number: int
    row: int
    column: int
    left: float
    top: float
    width: float
    height: float
    svg: str
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Split:
    """A template in parts: a grid of which empty parts are left out."""

    rows: int
    columns: int
    tiles: tuple[Tile, ...]


def split(svg: str, size: tuple[float, float], outline: Ring, most: tuple[float, float]) -> Split:
    """The fewest equal parts of at most ``most`` mm that overlap by :data:`OVERLAP`.

    ``size``: of the drawing; parts that ``outline`` does not reach are left out.
    """
    columns, wide = _parts(size[0], most[0])
    rows, high = _parts(size[1], most[1])
    boxes = [
        (row, column, column * (wide - OVERLAP), row * (high - OVERLAP))
        for row in range(rows)
        for column in range(columns)
    ]
    shape = shapely.Polygon(outline)
    boxes = [b for b in boxes if shape.intersects(shapely.box(b[2], b[3], b[2] + wide, b[3] + high))]
    root = ElementTree.fromstring(svg)
    marks = _marks(root, columns, rows, wide, high)
    texts = _texts(root, [(x, y, x + wide, y + high) for _, _, x, y in boxes])
    tiles = []
    for index, (row, column, x, y) in enumerate(boxes):
        window = (x, y, x + wide, y + high)
        own = tuple(m for m in marks if _holds(window, m.at, CROSS / 2 + _PEN))
        svg = _cut(root, window, texts[index], own)
        tiles.append(Tile(index + 1, row, column, x, y, wide, high, svg, own))
    return Split(rows, columns, tuple(tiles))


def _parts(length: float, most: float) -> tuple[int, float]:
    count = max(1, ceil((length - OVERLAP) / (most - OVERLAP) - 1e-9))
    return count, (length + (count - 1) * OVERLAP) / count


def _marks(root: ElementTree.Element, columns: int, rows: int, wide: float, high: float) -> list[Mark]:
    """Two marks on each overlap of two neighbours, named in reading order."""
    places: list[Point] = []
    for row in range(rows):
        for column in range(columns):
            x, y = column * (wide - OVERLAP), row * (high - OVERLAP)
            if column + 1 < columns:
                places += [(x + wide - OVERLAP / 2, y + high * share) for share in (0.2, 0.8)]
            if row + 1 < rows:
                places += [(x + wide * share, y + high - OVERLAP / 2) for share in (0.2, 0.8)]
    places.sort(key=lambda p: (round(p[1], 3), round(p[0], 3)))
    return [Mark(_letters(n), place) for n, place in enumerate(places)]


def _letters(n: int) -> str:
    """a … z, aa, ab …"""
    name = ""
    n += 1
    while n:
        n, rest = divmod(n - 1, 26)
        name = chr(ord("a") + rest) + name
    return name


def _holds(window: tuple[float, float, float, float], at: Point, reach: float) -> bool:
    return window[0] + reach <= at[0] <= window[2] - reach and window[1] + reach <= at[1] <= window[3] - reach


def _texts(
    root: ElementTree.Element, windows: list[tuple[float, float, float, float]]
) -> list[set[ElementTree.Element]]:
    """For each window the texts that it shows: each text once, where it is whole and furthest from the rim.

    A long text that no window holds whole is left out: every part has its template's name beside it.
    """
    shown: list[set[ElementTree.Element]] = [set() for _ in windows]
    for element in root.iter(f"{{{_SVG}}}text"):
        box = _text_box(element)
        rims = [min(box[0] - w[0], box[1] - w[1], w[2] - box[2], w[3] - box[3]) for w in windows]
        best = max(range(len(windows)), key=lambda k: (round(rims[k], 3), -k))
        if rims[best] >= 0:
            shown[best].add(element)
    return shown


def _text_box(element: ElementTree.Element) -> tuple[float, float, float, float]:
    x, y, size = float(element.get("x", 0)), float(element.get("y", 0)), float(element.get("font-size", 3))
    width, height = extent("".join(element.itertext()), size)
    shape: BaseGeometry = shapely.box(x - width / 2, y - height, x + width / 2, y)
    turn = re.match(r"rotate\(([-\d.]+)[ ,]+([-\d.]+)[ ,]+([-\d.]+)\)", element.get("transform", ""))
    if turn:
        angle, cx, cy = map(float, turn.groups())
        shape = shapely.affinity.rotate(shape, angle, origin=(cx, cy))
    return shape.bounds


def _cut(
    root: ElementTree.Element,
    window: tuple[float, float, float, float],
    texts: set[ElementTree.Element],
    marks: tuple[Mark, ...],
) -> str:
    left, top, right, bottom = window
    width, height = number(right - left), number(bottom - top)
    out = ElementTree.Element(
        f"{{{_SVG}}}svg",
        {"width": f"{width}mm", "height": f"{height}mm", "viewBox": f"0 0 {width} {height}"},
    )
    moved = ElementTree.SubElement(
        out, f"{{{_SVG}}}g", {"transform": f"translate({number(-left)} {number(-top)})"}
    )
    box = shapely.box(*window)
    _copy(root, moved, box, texts)
    for mark in marks:
        _draw_mark(moved, mark, root, window)
    return ElementTree.tostring(out, encoding="unicode")


def _copy(
    source: ElementTree.Element,
    target: ElementTree.Element,
    box: BaseGeometry,
    texts: set[ElementTree.Element],
) -> None:
    for element in source:
        name = element.tag.rpartition("}")[2]
        if name in _HIDDEN:
            continue
        if name == "g":
            _copy(element, ElementTree.SubElement(target, element.tag, dict(element.attrib)), box, texts)
        elif name == "text":
            if element in texts:
                target.append(deepcopy(element))
        elif name == "circle":
            if box.contains(shapely.Point(float(element.get("cx", 0)), float(element.get("cy", 0)))):
                target.append(deepcopy(element))
        else:
            _copy_lines(element, name, target, box)


def _copy_lines(
    element: ElementTree.Element, name: str, target: ElementTree.Element, box: BaseGeometry
) -> None:
    lines = [part for line in _lines(element, name) for part in _inside(line, box)]
    if not lines:
        return
    geometry = {"points", "d", "x1", "y1", "x2", "y2"}
    style = {k: v for k, v in element.attrib.items() if k not in geometry}
    path = "".join("M" + "L".join(f"{number(x)} {number(y)}" for x, y in line.coords) for line in lines)
    ElementTree.SubElement(target, f"{{{_SVG}}}path", {**style, "fill": "none", "d": path})


def _inside(line: LineString, box: BaseGeometry) -> Iterable[LineString]:
    parts = shapely.get_parts(shapely.line_merge(line.intersection(box)))
    return [p for p in parts if isinstance(p, LineString) and p.length > 1e-6]


def _lines(element: ElementTree.Element, name: str) -> list[LineString]:
    """The straight lines of a shape as the template's drawing has them: polygon, line, path of M and L."""
    numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", element.get("points", ""))]
    if name == "polygon":
        corners = list(zip(numbers[::2], numbers[1::2], strict=True))
        return [LineString([*corners, corners[0]])]
    if name == "line":
        x1, y1, x2, y2 = (float(element.get(k, 0)) for k in ("x1", "y1", "x2", "y2"))
        return [LineString([(x1, y1), (x2, y2)])]
    strokes = []
    for stroke in filter(None, element.get("d", "").split("M")):
        flat = [float(n) for n in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", stroke)]
        strokes.append(LineString(list(zip(flat[::2], flat[1::2], strict=True))))
    return strokes


def _draw_mark(
    target: ElementTree.Element,
    mark: Mark,
    root: ElementTree.Element,
    window: tuple[float, float, float, float],
) -> None:
    (x, y), arm = mark.at, CROSS / 2
    across = f"M{number(x - arm)} {number(y)}L{number(x + arm)} {number(y)}"
    down = f"M{number(x)} {number(y - arm)}L{number(x)} {number(y + arm)}"
    style = {"class": "lay-mark", "fill": "none", "stroke": INK, "stroke-width": str(_PEN)}
    ElementTree.SubElement(target, f"{{{_SVG}}}path", {**style, "d": across + down})
    size = 2.4
    at = _free_corner(mark, root, window, size)
    text = ElementTree.SubElement(
        target,
        f"{{{_SVG}}}text",
        {
            "class": "lay-mark-name",
            "x": str(number(at[0])),
            "y": str(number(at[1] + 0.365 * size)),
            "font-size": str(size),
            "text-anchor": "middle",
            "font-family": next((t.get("font-family", "") for t in root.iter(f"{{{_SVG}}}text")), ""),
            "fill": SOFT_INK,
        },
    )
    text.text = mark.name


def _free_corner(
    mark: Mark, root: ElementTree.Element, window: tuple[float, float, float, float], size: float
) -> Point:
    """Beside the cross, in the quarter where the name meets no line that is sewn or cut on."""
    lines = [
        line
        for element in root.iter()
        if element.get("class") in ("sew-line", "section-line", "cut-line", "block-edge", "match-mark")
        for line in _lines(element, element.tag.rpartition("}")[2])
    ]
    sewn = shapely.MultiLineString(lines)
    width, height = extent(mark.name, size)
    best: tuple[float, Point] | None = None
    for dx, dy in ((1, -1), (1, 1), (-1, -1), (-1, 1)):
        at = (mark.at[0] + dx * (width / 2 + 0.6), mark.at[1] + dy * (height / 2 + 0.6))
        box = shapely.box(at[0] - width / 2, at[1] - height / 2, at[0] + width / 2, at[1] + height / 2)
        clear = float(box.distance(sewn))
        if best is None or clear > best[0] + 1e-6:
            best = clear, at
    assert best is not None
    return best[1]
