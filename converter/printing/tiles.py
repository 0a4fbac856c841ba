"""A line drawing larger than a page, cut into parts that overlap, with marks to lay them together again.

The drawing itself is cut, line by line, so that nothing hidden lies outside the page; it must be made of
lines and texts without transformed groups, as templates are. All lengths are mm in the drawing's own frame.
"""

from collections.abc import Iterable
from copy import deepcopy
from dataclasses import dataclass
from math import ceil
from xml.etree import ElementTree

import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from converter.drawing.svg import number
from converter.model import Point, Ring
from converter.printing.drawn import lines_of, text_box
from converter.printing.registration import CROSS, PEN, Mark, draw_mark, find_marks, name_box

OVERLAP = 12.0  # mm that neighbouring parts share
_SVG = "http://www.w3.org/2000/svg"
_HIDDEN = {"title", "desc", "defs"}


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
    marks = find_marks(root, columns, rows, (wide, high), OVERLAP)
    texts = _texts(root, [(x, y, x + wide, y + high) for _, _, x, y in boxes])
    tiles = []
    for index, (row, column, x, y) in enumerate(boxes):
        window = (x, y, x + wide, y + high)
        own = tuple(m for m in marks if _holds(window, m.at, CROSS / 2 + PEN))
        svg = _cut(root, window, texts[index], own)
        tiles.append(Tile(index + 1, row, column, x, y, wide, high, svg, own))
    return Split(rows, columns, tuple(tiles))


def _parts(length: float, most: float) -> tuple[int, float]:
    count = max(1, ceil((length - OVERLAP) / (most - OVERLAP) - 1e-9))
    return count, (length + (count - 1) * OVERLAP) / count


def _holds(window: tuple[float, float, float, float], at: Point, reach: float) -> bool:
    return window[0] + reach <= at[0] <= window[2] - reach and window[1] + reach <= at[1] <= window[3] - reach


def _texts(
    root: ElementTree.Element, windows: list[tuple[float, float, float, float]]
) -> list[set[ElementTree.Element]]:
    """For each window the texts that it shows: each text once, where it is whole and furthest from the rim.

    A long text that no window holds whole is left out: every part has its template's name beside it.
    """
    shown: list[set[ElementTree.Element]] = [set() for _ in windows]
    # A scale bar is shown as its name is: where the whole of it is.
    groups = [g for g in root.iter(f"{{{_SVG}}}g") if g.get("class") == "scale-bar"]
    bars = {g[-1]: shapely.union_all([line for part in g for line in lines_of(part)]) for g in groups}
    for element in root.iter(f"{{{_SVG}}}text"):
        box = (bars.get(element) or text_box(element)).bounds
        rims = [min(box[0] - w[0], box[1] - w[1], w[2] - box[2], w[3] - box[3]) for w in windows]
        best = max(range(len(windows)), key=lambda k: (round(rims[k], 3), -k))
        if rims[best] >= 0:
            shown[best].add(element)
    return shown


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
    names = shapely.union_all([name_box(mark, root).buffer(0.3) for mark in marks])
    _copy(root, moved, box, texts, names)
    for mark in marks:
        draw_mark(moved, mark, root)
    return ElementTree.tostring(out, encoding="unicode")


def _copy(
    source: ElementTree.Element,
    target: ElementTree.Element,
    box: BaseGeometry,
    texts: set[ElementTree.Element],
    names: BaseGeometry,
) -> None:
    for element in source:
        name = element.tag.rpartition("}")[2]
        if name in _HIDDEN:
            continue
        if element.get("class") == "scale-bar" and not any(text in texts for text in element):
            continue  # a part of a bar would be measured in vain
        if name == "g":
            _copy(
                element, ElementTree.SubElement(target, element.tag, dict(element.attrib)), box, texts, names
            )
        elif name == "text":
            if element in texts:
                target.append(deepcopy(element))
        elif name == "circle":
            if box.contains(shapely.Point(float(element.get("cx", 0)), float(element.get("cy", 0)))):
                target.append(deepcopy(element))
        else:
            hatched = element.get("class") == "figure-shade"
            _copy_lines(element, target, box.difference(names) if hatched else box)


def _copy_lines(element: ElementTree.Element, target: ElementTree.Element, box: BaseGeometry) -> None:
    lines = [part for line in lines_of(element) for part in _inside(line, box)]
    if not lines:
        return
    geometry = {"points", "d", "x1", "y1", "x2", "y2"}
    style = {k: v for k, v in element.attrib.items() if k not in geometry}
    path = "".join("M" + "L".join(f"{number(x)} {number(y)}" for x, y in line.coords) for line in lines)
    ElementTree.SubElement(target, f"{{{_SVG}}}path", {**style, "fill": "none", "d": path})


def _inside(line: LineString, box: BaseGeometry) -> Iterable[LineString]:
    parts = shapely.get_parts(shapely.line_merge(line.intersection(box)))
    return [p for p in parts if isinstance(p, LineString) and p.length > 1e-6]
