"""Registration marks: crosses with a name, at the same place on every part that shows them. All mm."""

from dataclasses import dataclass
from xml.etree import ElementTree

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from converter.drawing.labels import extent
from converter.drawing.svg import INK, number
from converter.model import Point, section_name
from converter.printing.drawn import lines_of, text_box

CROSS = 6.0  # mm, a mark's height and width
PEN = 0.2
_NAME_EM = 3.0
_REACH = CROSS / 2 + _NAME_EM / 2  # of a mark and its name
_SVG = "{http://www.w3.org/2000/svg}"
_SEWN = ("sew-line", "section-line", "cut-line", "block-edge", "match-mark")


@dataclass(frozen=True, slots=True)
class Mark:
    """A registration mark: the same name stands at the same place on every part that shows it."""

    name: str
    at: Point


def find_marks(
    root: ElementTree.Element, columns: int, rows: int, part: tuple[float, float], overlap: float
) -> list[Mark]:
    """Two marks on each overlap of two neighbours, off the drawing's texts, named in reading order."""
    texts = shapely.union_all([text_box(text) for text in root.iter(f"{_SVG}text")])
    wide, high = part
    places: list[Point] = []
    for row in range(rows):
        for column in range(columns):
            x, y = column * (wide - overlap), row * (high - overlap)
            if column + 1 < columns:
                middle = x + wide - overlap / 2
                places += [_free([(middle, y + high * s) for s in shares], texts) for shares in _shares()]
            if row + 1 < rows:
                middle = y + high - overlap / 2
                places += [_free([(x + wide * s, middle) for s in shares], texts) for shares in _shares()]
    places.sort(key=lambda p: (round(p[1], 3), round(p[0], 3)))
    return [Mark(section_name(n).lower(), place) for n, place in enumerate(places)]


def _shares() -> list[list[float]]:
    """Near the one end of an overlap and near the other: the places to try, the best first."""
    near = [0.2, 0.17, 0.23, 0.14, 0.26, 0.11, 0.29, 0.32, 0.35]
    return [near, [1 - share for share in near]]


def _free(places: list[Point], texts: BaseGeometry) -> Point:
    def met(place: Point) -> bool:
        x, y = place
        return bool(texts.intersects(shapely.box(x - _REACH, y - _REACH, x + _REACH, y + _REACH)))

    return min(places, key=met)  # the first of those that meet none


def draw_mark(target: ElementTree.Element, mark: Mark, root: ElementTree.Element) -> None:
    """Adds a mark to a part; ``root``: the whole drawing, in the same mm."""
    (x, y), arm = mark.at, CROSS / 2
    across = f"M{number(x - arm)} {number(y)}L{number(x + arm)} {number(y)}"
    down = f"M{number(x)} {number(y - arm)}L{number(x)} {number(y + arm)}"
    style = {"class": "lay-mark", "fill": "none", "stroke": INK, "stroke-width": str(PEN)}
    ElementTree.SubElement(target, f"{_SVG}path", {**style, "d": across + down})
    at = name_box(mark, root).centroid
    text = ElementTree.SubElement(
        target,
        f"{_SVG}text",
        {
            "class": "lay-mark-name",
            "x": str(number(at.x)),
            "y": str(number(at.y + 0.365 * _NAME_EM)),
            "font-size": str(_NAME_EM),
            "text-anchor": "middle",
            "font-family": next((t.get("font-family", "") for t in root.iter(f"{_SVG}text")), ""),
            "font-weight": "bold",
            "fill": INK,
        },
    )
    text.text = mark.name


def name_box(mark: Mark, root: ElementTree.Element) -> Polygon:
    """Round a mark's name: in the quarter beside the cross where it is furthest from what is sewn or cut on."""
    sewn = shapely.MultiLineString([ln for e in root.iter() if e.get("class") in _SEWN for ln in lines_of(e)])
    width, height = extent(mark.name, _NAME_EM)
    boxes = []
    for dx, dy in ((1, -1), (1, 1), (-1, -1), (-1, 1)):
        x, y = mark.at[0] + dx * (width / 2 + 0.6), mark.at[1] + dy * (height / 2 + 0.6)
        boxes.append(shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2))
    return max(boxes, key=lambda box: round(float(box.distance(sewn)), 6))
