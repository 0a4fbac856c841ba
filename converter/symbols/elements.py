"""What one element of a drawing fills: its shape or its stroke as a closed path, curves kept as curves."""

from collections.abc import Mapping
from xml.etree.ElementTree import Element

from fontTools.svgLib.path.shapes import PathBuilder
from pathops import FillType, LineCap, LineJoin, Path

from converter.model import Affine
from converter.redesign.shapes import ShapeError, draw_path, pixels
from converter.redesign.xml import Node

_LENGTHS = ("x", "y", "width", "height", "rx", "ry", "r", "cx", "cy", "x1", "y1", "x2", "y2")
_CAPS = {"butt": LineCap.BUTT_CAP, "round": LineCap.ROUND_CAP, "square": LineCap.SQUARE_CAP}
_JOINS = {
    "miter": LineJoin.MITER_JOIN, "round": LineJoin.ROUND_JOIN, "bevel": LineJoin.BEVEL_JOIN,
    "arcs": LineJoin.MITER_JOIN, "miter-clip": LineJoin.MITER_JOIN,
}  # fmt: skip
_FINE = 64.0  # how much larger a shape is stroked than it is drawn, since Skia's tolerances are a screen's


def shape_of(node: Node) -> Path:
    """The path of a basic shape or a path, in its own units. Raises :class:`ShapeError` where it cannot be read."""
    lengths = {name: pixels(node.get(name)) for name in _LENGTHS if node.get(name)}
    if node.tag == "rect" and min(lengths.get("width", 0.0), lengths.get("height", 0.0)) <= 0:
        return Path()
    if node.tag in ("circle", "ellipse"):
        rx = lengths.get("rx", lengths.get("r", 0.0))
        lengths |= {"rx": rx, "ry": lengths.get("ry", rx), "r": rx}
        if min(lengths["rx"], lengths["ry"]) <= 0:
            return Path()
    if node.tag == "rect":
        rx, ry = lengths.get("rx", lengths.get("ry", 0.0)), lengths.get("ry", lengths.get("rx", 0.0))
        lengths |= {
            "rx": min(max(rx, 0.0), lengths["width"] / 2),
            "ry": min(max(ry, 0.0), lengths["height"] / 2),
        }
    said = {name: f"{value!r}" for name, value in lengths.items()}
    said |= {name: node.get(name) for name in ("d", "points") if node.get(name)}
    builder = PathBuilder()
    builder.add_path_from_element(Element(node.tag, said))
    path = Path()
    for d in builder.paths:
        draw_path(d, path.getPen())
    return path


def filled(path: Path, even_odd: bool) -> Path:
    """The path such that winding numbers other than 0 fill it."""
    path = Path(path)
    if even_odd:
        path.fillType = FillType.EVEN_ODD
        path.simplify(fix_winding=True, keep_starting_points=False)
    return path


def stroked(path: Path, style: Mapping[str, str]) -> Path:
    """What a stroke of this style covers, in the path's own units. Raises :class:`ShapeError`."""
    if style.get("stroke-dasharray", "none") not in ("none", "", "0"):
        raise ShapeError("its stroke is dashed; turn it into outlines")
    width = pixels(style.get("stroke-width", "1"))
    try:
        miter = float(style.get("stroke-miterlimit", "4"))
    except ValueError:
        raise ShapeError("its miter limit is no number") from None
    cap, join = style.get("stroke-linecap", "butt"), style.get("stroke-linejoin", "miter")
    if width <= 0:
        return Path()
    large = path.transform(_FINE, 0, 0, _FINE, 0, 0)
    ends, corners = _CAPS.get(cap, LineCap.BUTT_CAP), _JOINS.get(join, LineJoin.MITER_JOIN)
    large.stroke(width * _FINE, ends, corners, max(miter, 1.0))
    large.convertConicsToQuads(0.25)
    large.simplify(fix_winding=True, keep_starting_points=False)
    return large.transform(1 / _FINE, 0, 0, 1 / _FINE, 0, 0)


def moved(path: Path, map_: Affine) -> Path:
    """The path mapped, conics as quadratic curves."""
    path = Path(path)
    path.convertConicsToQuads(0.01)
    return path.transform(*map_)
