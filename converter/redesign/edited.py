"""A block's SVG, as any vector editor saved it, as seams and coloured shapes in mm on the block.

What is in the layer ``seams`` counts, seen or hidden; what is in ``pieces`` votes for fabrics by its colour; all
else is left alone. Scripts, pictures and references to other files are never looked at.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

import shapely
from fontTools.misc.transform import Identity, Transform

from converter.errors import InputError
from converter.measures import Units, place_text, size_text
from converter.model import Affine, Fabric, Finding, Point, Ring
from converter.redesign.colours import Colours
from converter.redesign.layers import DRAWN, find_layers
from converter.redesign.shapes import Run, ShapeError, numbers, pixels, runs_of, transform_of
from converter.redesign.styles import Rgb, Styles, colour_of
from converter.redesign.tolerances import Tolerances
from converter.redesign.xml import Node, parse_svg

MOST_SEAMS = 600
MOST_VISITS = 30_000  # elements drawn, with each use of one counted
EXACT, SAME_SHAPE = 2e-4, 0.01  # how far the proportions of a page or a drawing may be from the block's
SLACK = 0.02  # of a side, by which seams may overshoot
_LEFT_OUT = {"defs", "symbol", "clipPath", "mask", "pattern", "marker", "script", "style", "metadata"}


@dataclass(frozen=True, slots=True)
class Stroke:
    """One straight line of the layer ``seams``, in mm; ``id`` as in the file, or nothing."""

    start: Point
    end: Point
    id: str = ""


@dataclass(frozen=True, slots=True)
class Vote:
    """One coloured shape of the layer ``pieces``, in mm; the fabric is None where its colour tells none."""

    shape: shapely.Geometry
    fabric: str | None


@dataclass(frozen=True, slots=True)
class BlockDrawing:
    """What an edited block says. ``votes`` are in the order in which they are painted."""

    strokes: tuple[Stroke, ...]
    votes: tuple[Vote, ...]
    faults: tuple[Finding, ...]
    notes: tuple[str, ...]
    to_page: Affine  # from mm on the block to the drawing's own units
    fabrics: Mapping[str, Fabric] = field(default_factory=dict)  # those that the set did not have, by id


@dataclass(slots=True)
class _Drawn:
    node: Node
    layer: str
    runs: list[Run]  # in the drawing's own units
    fill: Rgb | None


def read_block(
    data: bytes,
    name: str,
    width: float,
    height: float,
    fabrics: Mapping[str, Fabric],
    tolerances: Tolerances,
    units: Units = "mm",
) -> BlockDrawing:
    """Reads an edited block of that size (mm).

    Raises :class:`InputError` for what is no harmless SVG, has no seams layer, or does not tell where the block is.
    """
    root = parse_svg(data, name)
    try:
        drawn, strays = _Walk(root).run()
        to_block = _to_block(root, drawn, width, height)
    except ShapeError as error:
        raise InputError(f"{name}: {error}.") from None
    if to_block is None:
        size = size_text(width, height, units)
        raise InputError(
            f"{name}: neither the page nor the coloured pieces match a block of {size}; "
            "set the page to that size, with the block on it."
        )
    strokes: list[Stroke] = []
    votes: list[Vote] = []
    colours = Colours(fabrics)
    faults: list[Finding] = []
    for item in drawn:
        for run in item.runs:
            points = [to_block.transformPoint(p) for p in run.points]
            if item.layer == "pieces":
                votes += _vote(points, item, colours)
                continue
            if run.bend is not None:
                faults.append(_bent(to_block.transformPoint(run.bend), item.node.get("id"), units))
            elif len(points) > 1:
                closing = [*points, points[0]] if run.closed else points
                strokes += [
                    Stroke(a, b, item.node.get("id"))
                    for a, b in pairwise(closing)
                    if math.dist(a, b) > tolerances.shortest
                ]
    if len(strokes) > MOST_SEAMS:
        raise InputError(
            f"{name}: {len(strokes)} seams are more than the {MOST_SEAMS} that can be worked out."
        )
    notes = (*(_stray(to_block.transformPoint(point), units) for point in strays), *colours.notes)
    to_page = tuple(to_block.inverse())
    return BlockDrawing(tuple(strokes), tuple(votes), tuple(faults), notes, to_page, colours.new)


def page_size(data: bytes, name: str) -> tuple[float, float]:
    """Width and height of the page in mm. Raises :class:`InputError` where the file does not say them."""
    root = parse_svg(data, name)
    try:
        width, height = (_page_side(root.get(side)) for side in ("width", "height"))
    except ShapeError as error:
        raise InputError(f"{name}: {error}.") from None
    if not width or not height:
        raise InputError(
            f"{name}: its page has no width and height; put it into a converted folder's blocks."
        )
    return round(width * 25.4 / 96, 4), round(height * 25.4 / 96, 4)


class _Walk:
    """Collects what the layers draw, with their transforms and colours handed down."""

    def __init__(self, root: Node) -> None:
        self._root = root
        self._layers = find_layers(root)
        self._styles = Styles(node.text for node in root.walk() if node.tag == "style")
        self._by_id = {node.get("id"): node for node in root.walk() if node.get("id")}
        self._visits = 0
        self._drawn: list[_Drawn] = []
        self._strays: list[Point] = []

    def run(self) -> tuple[list[_Drawn], list[Point]]:
        """What is drawn in the two layers that count, and where lines are drawn outside of all layers."""
        if "seams" not in self._layers.values() and any(n.tag in DRAWN for n in self._root.walk()):
            raise ShapeError("there is no layer 'seams'; give the layer with the seams this name and save again")
        self._visit(self._root, Identity, "", "", ())
        return self._drawn, self._strays

    def _visit(self, node: Node, map_: Transform, layer: str, fill: str, used: tuple[str, ...]) -> None:
        self._visits += 1
        if self._visits > MOST_VISITS:
            raise ShapeError("its nested copies draw too much")
        if node.tag in _LEFT_OUT:
            return
        layer = self._layers.get(id(node), layer)
        try:
            if node is not self._root:
                map_ = map_.transform(transform_of(node.get("transform")))
            fill = self._styles.value(node, "fill") or fill
            self._draw(node, map_, layer, fill)
            if node.tag == "use" and node.get("href").startswith("#") and node.get("href") not in used:
                target = self._by_id.get(node.get("href")[1:])
                if target is not None:
                    x, y = (pixels(node.get(k)) if node.get(k) else 0.0 for k in ("x", "y"))
                    self._visit(target, map_.translate(x, y), layer, fill, (*used, node.get("href")))
        except ShapeError as error:
            what = node.get("id") or f"a {node.tag}"
            raise ShapeError(f"{what}: {error}" if ": " not in str(error) else str(error)) from None
        for child in node.children:
            self._visit(child, map_, layer, fill, used)

    def _draw(self, node: Node, map_: Transform, layer: str, fill: str) -> None:
        if node.tag not in DRAWN or layer not in ("seams", "pieces", ""):
            return
        runs = runs_of(node)
        for run in runs:
            run.points = [map_.transformPoint(p) for p in run.points]
            run.bend = None if run.bend is None else map_.transformPoint(run.bend)
        if layer == "":
            is_line = [run for run in runs if len(run.points) == 2 and not run.closed]
            self._strays += [_middle(run.points) for run in is_line]
        elif runs:
            self._drawn.append(_Drawn(node, layer, runs, colour_of(fill or "black")))


def _to_block(root: Node, drawn: list[_Drawn], width: float, height: float) -> Transform | None:
    """From the drawing's own units to mm on the block; None where nothing tells."""
    page, pieces = _page(root), _bounds(drawn, "pieces")
    shape = width / height
    order = [(box, allowed) for allowed in (EXACT, SAME_SHAPE) for box in (pieces, page)]
    boxes = [box for box, allowed in order if box is not None and abs(box[2] / box[3] / shape - 1) < allowed]
    if not boxes:
        return None
    # The coloured pieces fill the block, and stay with it on another page. Where they alone were moved, the
    # seams tell that they are not where the block is.
    seams = _bounds(drawn, "seams")
    boxes.sort(key=lambda box: seams is not None and not _holds(box, seams))
    x, y, across, down = boxes[0]
    return Identity.scale(width / across, height / down).translate(-x, -y)


_Box = tuple[float, float, float, float]  # left, top, width, height


def _page(root: Node) -> _Box | None:
    box = numbers(root.get("viewBox"))
    if len(box) == 4 and min(box[2:]) > 0:
        return box[0], box[1], box[2], box[3]
    width, height = (_page_side(root.get(side)) for side in ("width", "height"))
    return (0.0, 0.0, width, height) if width and height else None


def _bounds(drawn: list[_Drawn], layer: str) -> _Box | None:
    points = [p for item in drawn if item.layer == layer for run in item.runs for p in run.points]
    if not points:
        return None
    left, top = min(x for x, _ in points), min(y for _, y in points)
    across, down = max(x for x, _ in points) - left, max(y for _, y in points) - top
    return (left, top, across, down) if across > 0 and down > 0 else None


def _holds(box: _Box, inner: _Box) -> bool:
    """Whether one box holds another, but for the overshoot of a hand."""
    return all(
        inner[k] >= box[k] - SLACK * box[k + 2]
        and inner[k] + inner[k + 2] <= box[k] + box[k + 2] + SLACK * box[k + 2]
        for k in (0, 1)
    )


def _page_side(text: str) -> float | None:
    if not text or text.strip().endswith("%") or text.strip() == "auto":
        return None
    side = pixels(text)
    return side if side > 0 else None


def _vote(points: Ring | list[Point], item: _Drawn, colours: Colours) -> list[Vote]:
    if len(points) < 3:
        return []
    shape = shapely.make_valid(shapely.Polygon(points))
    # The colour is what the designer sees.
    return [Vote(shape, colours.fabric(item.fill, item.node.get("data-fabric")))] if shape.area > 0 else []


def _middle(points: list[Point]) -> Point:
    return (points[0][0] + points[1][0]) / 2, (points[0][1] + points[1][1]) / 2


def _bent(place: Point, name: str, units: Units) -> Finding:
    return Finding(
        "seam-curved", "redesign",
        f"{name or 'A seam'} is a curve at {place_text(*place, units)}; seams are straight.",
        where=place, hint="Replace it with straight lines.",
    )  # fmt: skip


def _stray(place: Point, units: Units) -> str:
    return f"a line at {place_text(*place, units)} is in no layer; move it into 'seams' if it is a seam"
