"""Reads drawings back with the standard library and shapely only, nothing of the drawing code."""

import re
from xml.etree import ElementTree

from shapely import LineString, Polygon
from shapely.affinity import rotate

SVG = "{http://www.w3.org/2000/svg}"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"


def parse(text: str) -> ElementTree.Element:
    return ElementTree.fromstring(text)


def group(root: ElementTree.Element, name: str) -> ElementTree.Element:
    return next(e for e in root.iter(f"{SVG}g") if e.get("id") == name)


def of_class(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [e for e in root.iter() if e.get("class") == name]


def polygon(element: ElementTree.Element) -> Polygon:
    return Polygon([tuple(map(float, p.split(","))) for p in element.get("points", "").split()])


def line(element: ElementTree.Element) -> LineString:
    x1, y1, x2, y2 = (float(element.get(k, "nan")) for k in ("x1", "y1", "x2", "y2"))
    return LineString([(x1, y1), (x2, y2)])


def strokes(element: ElementTree.Element) -> list[LineString]:
    found = re.findall(r"M(\S+) (\S+?)L(\S+) (\S+?)(?=M|$)", element.get("d", ""))
    return [LineString([(float(a), float(b)), (float(c), float(d))]) for a, b, c, d in found]


def size(root: ElementTree.Element) -> tuple[float, float]:
    """Width and height in mm; also checks that one user unit is one millimetre."""
    width, height = root.get("width", ""), root.get("height", "")
    assert width.endswith("mm")
    assert height.endswith("mm")
    assert root.get("viewBox") == f"0 0 {width[:-2]} {height[:-2]}"
    return float(width[:-2]), float(height[:-2])


def words(element: ElementTree.Element) -> str:
    return "".join(element.itertext())


def text_box(element: ElementTree.Element) -> Polygon:
    """The box of an upright text from its baseline's middle.

    A digit of DejaVu Sans is 0.636 em wide and 0.729 em high (read from the font's hmtx and glyf tables).
    """
    x, y, em = (float(element.get(k, "nan")) for k in ("x", "y", "font-size"))
    half = 0.636 * em * len(words(element)) / 2
    return Polygon([(x - half, y - 0.729 * em), (x + half, y - 0.729 * em), (x + half, y), (x - half, y)])


def turned_box(text: ElementTree.Element) -> Polygon:
    """As :func:`text_box`, turned as the text is."""
    turn = re.match(r"rotate\((\S+) (\S+) (\S+)\)", text.get("transform", "rotate(0 0 0)"))
    angle, x, y = map(float, turn.groups())
    return rotate(text_box(text), angle, origin=(x, y))
