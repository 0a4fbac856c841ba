"""What a template's drawing shows, read from its SVG: straight lines, and boxes round texts. All mm."""

import re
from xml.etree import ElementTree

import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from converter.drawing.labels import extent

_NUMBER = r"-?\d+\.?\d*(?:e-?\d+)?"


def lines_of(element: ElementTree.Element) -> list[LineString]:
    """The straight lines of a shape as the template's drawing has them: polygon, line, path of M and L."""
    name = element.tag.rpartition("}")[2]
    if name == "polygon":
        numbers = [float(n) for n in re.findall(_NUMBER, element.get("points", ""))]
        corners = list(zip(numbers[::2], numbers[1::2], strict=True))
        return [LineString([*corners, corners[0]])]
    if name == "line":
        x1, y1, x2, y2 = (float(element.get(k, 0)) for k in ("x1", "y1", "x2", "y2"))
        return [LineString([(x1, y1), (x2, y2)])]
    strokes = []
    for stroke in filter(None, element.get("d", "").split("M")):
        flat = [float(n) for n in re.findall(_NUMBER, stroke)]
        strokes.append(LineString(list(zip(flat[::2], flat[1::2], strict=True))))
    return strokes


def text_box(element: ElementTree.Element) -> BaseGeometry:
    """The box round a text, turned as the text is."""
    x, y, size = float(element.get("x", 0)), float(element.get("y", 0)), float(element.get("font-size", 3))
    width, height = extent("".join(element.itertext()), size)
    shape: BaseGeometry = shapely.box(x - width / 2, y - height, x + width / 2, y)
    turn = re.match(r"rotate\(([-\d.]+)[ ,]+([-\d.]+)[ ,]+([-\d.]+)\)", element.get("transform", ""))
    if turn:
        angle, cx, cy = map(float, turn.groups())
        shape = shapely.affinity.rotate(shape, angle, origin=(cx, cy))
    return shape
