"""A block's SVG, as any vector editor saved it, as seams and coloured shapes in mm on the block.

What is in the layer ``seams`` counts; what is seen in ``pieces`` votes for fabrics by its colour; what is seen in
``shape`` is the figure; all else is left alone. Scripts, pictures and references to other files are never looked at.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

import shapely
from fontTools.misc.transform import Identity, Transform
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from converter.budgets.drawings import SEAMS, TANGLES
from converter.errors import InputError
from converter.fonts.errors import GlyphError
from converter.fonts.plain import plain_text
from converter.fonts.winding import nonzero_union
from converter.measures import Units, place_text, size_text
from converter.model import Affine, Fabric, Finding, Point
from converter.redesign.colours import Colours
from converter.redesign.figure.drawn import Outline, read_outlines
from converter.redesign.seen import Drawn, Walk, name_of_element
from converter.redesign.shapes import ShapeError, numbers, pixels
from converter.redesign.tolerances import Tolerances
from converter.redesign.xml import Node, parse_svg
from converter.settings.definitions import LARGEST_BLOCK, SMALLEST_BLOCK

EXACT, SAME_SHAPE = 2e-4, 0.01  # how far the proportions of a page or a drawing may be from the block's
SLACK = 0.02  # of a side, by which seams may overshoot
GRID = 2**-13  # mm, to which shapes that cross themselves are snapped
_STRAYS_TOLD = 3
_SPECK = 1e-3  # of a drawing's unit: no block is drawn as small


@dataclass(frozen=True, slots=True)
class Stroke:
    """One straight line of the layer ``seams``, in mm; ``id`` as in the file, or nothing."""

    start: Point
    end: Point
    id: str = ""


@dataclass(frozen=True, slots=True)
class Vote:
    """One coloured shape of the layer ``pieces``, in mm; the fabric is None where its colour tells none.

    ``odd``: how it is seen cannot be told, since something is done to it that is not read, such as a mask.
    """

    shape: BaseGeometry
    fabric: str | None
    odd: bool = False


@dataclass(frozen=True, slots=True)
class BlockDrawing:
    """What an edited block says. ``votes`` and ``outlines`` are in the order in which they are painted.

    ``faults`` are of the seams, ``shape_faults`` of the layer ``shape``.
    """

    strokes: tuple[Stroke, ...]
    votes: tuple[Vote, ...]
    faults: tuple[Finding, ...]
    notes: tuple[str, ...]
    to_page: Affine  # from mm on the block to the drawing's own units
    fabrics: Mapping[str, Fabric] = field(default_factory=dict)  # those that the set did not have, by id
    outlines: tuple[Outline, ...] = ()
    shape_faults: tuple[Finding, ...] = ()


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
        walk = Walk(root)
        walk.run()
        to_block = _to_block(root, walk.drawn, width, height)
        if to_block is None:
            size = size_text(width, height, units)
            raise InputError(
                f"{name}: neither the page nor the coloured pieces match a block of {size}; "
                "set the page to that size, with the block on it."
            )
        colours = Colours(fabrics)
        votes = tuple(_votes(walk.drawn, to_block, colours))
        outlines, shape_faults = read_outlines(walk.drawn, to_block, colours, units)
    except ShapeError as error:
        raise InputError(f"{name}: {error}.") from None
    strokes: list[Stroke] = []
    faults: list[Finding] = []
    for item in walk.drawn:
        for run in item.runs if item.layer == "seams" else ():
            points = [to_block.transformPoint(p) for p in run.points]
            if run.bend is not None:
                faults.append(_bent(to_block.transformPoint(run.bend), item.node.get("id"), units))
            elif len(points) > 1:
                closing = [*points, points[0]] if run.closed else points
                strokes += [
                    Stroke(a, b, plain_text(item.node.get("id"), 40))
                    for a, b in pairwise(closing)
                    if math.dist(a, b) > tolerances.shortest
                ]
    if len(strokes) > SEAMS.most:
        raise InputError(
            f"{name}: {len(strokes)} seams are more than the {SEAMS.most} that can be worked out."
        )
    notes = (
        *map(_hidden, sorted(walk.hidden)),
        *_strays([to_block.transformPoint(p) for p in walk.strays], units),
        *colours.notes,
    )
    to_page = tuple(to_block.inverse())
    return BlockDrawing(
        tuple(strokes), votes, tuple(faults), notes, to_page, colours.new, outlines, shape_faults
    )


def page_size(data: bytes, name: str) -> tuple[float, float]:
    """Width and height of the page in mm. Raises :class:`InputError` where they are not said or no block's."""
    root = parse_svg(data, name)
    try:
        width, height = (_page_side(root.get(side)) for side in ("width", "height"))
    except ShapeError as error:
        raise InputError(f"{name}: {error}.") from None
    if not width or not height:
        raise InputError(
            f"{name}: its page has no width and height; put it into a converted folder's blocks."
        )
    width, height = round(width * 25.4 / 96, 4), round(height * 25.4 / 96, 4)
    for side in (width, height):
        if not SMALLEST_BLOCK <= side <= LARGEST_BLOCK:
            raise InputError(
                f"{name}: a page {side:g} mm wide or high is no block; a side is {SMALLEST_BLOCK:g} to "
                f"{LARGEST_BLOCK:g} mm."
            )
    return width, height


def _to_block(root: Node, drawn: list[Drawn], width: float, height: float) -> Transform | None:
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
    if len(box) == 4 and min(box[2:]) > _SPECK:
        return box[0], box[1], box[2], box[3]
    width, height = (_page_side(root.get(side)) for side in ("width", "height"))
    return (0.0, 0.0, width, height) if width and height else None


def _bounds(drawn: list[Drawn], layer: str) -> _Box | None:
    points = [p for item in drawn if item.layer == layer for run in item.runs for p in run.points]
    if not points:
        return None
    left, top = min(x for x, _ in points), min(y for _, y in points)
    across, down = max(x for x, _ in points) - left, max(y for _, y in points) - top
    return (left, top, across, down) if min(across, down) > _SPECK else None


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
    return side if side > _SPECK else None


def _votes(drawn: list[Drawn], to_block: Transform, colours: Colours) -> Iterator[Vote]:
    more = 0
    for item in drawn:
        rings = [[to_block.transformPoint(p) for p in run.points] for run in item.runs if len(run.points) > 2]
        if item.layer != "pieces" or not rings:
            continue
        shape = _filled(rings, item)
        more += max(int(shapely.get_num_coordinates(shape)) - 2 * sum(map(len, rings)), 0)
        if more > TANGLES.most:
            raise ShapeError(f"{name_of_element(item.node)}: more than {TANGLES}")
        if item.clip is not None:
            a, b, c, d, e, f = to_block
            shape = shape.intersection(
                shapely.transform(item.clip, lambda p: p @ [[a, b], [c, d]] + [e, f])  # noqa: B023 - called at once
            )
        if shape.area > 0:
            said = item.node.get("data-fabric")
            yield Vote(shape, None if item.odd else colours.fabric(item.fill, said), item.odd)


def _filled(rings: list[list[Point]], item: Drawn) -> BaseGeometry:
    """What an element's rings fill together, also where they cross or lie in each other."""
    shape = shapely.Polygon(rings[0])
    if len(rings) == 1 and shape.is_valid:
        return shape
    try:
        polygons = nonzero_union(rings, GRID, item.even_odd)
    except GlyphError:
        raise ShapeError(f"{name_of_element(item.node)}: its edges cross each other too often") from None
    return MultiPolygon([(outer, holes) for outer, *holes in polygons])


def _bent(place: Point, name: str, units: Units) -> Finding:
    return Finding(
        "seam-curved", "redesign",
        f"{plain_text(name, 40) or 'A seam'} is a curve at {place_text(*place, units)}; seams are straight.",
        where=place, hint="Replace it with straight lines.",
    )  # fmt: skip


def _strays(places: list[Point], units: Units) -> Iterator[str]:
    for place in places[:_STRAYS_TOLD]:
        yield f"a line at {place_text(*place, units)} is in no layer; move it into 'seams' if it is a seam"
    if len(places) > _STRAYS_TOLD:
        yield f"{len(places) - _STRAYS_TOLD} more lines are in no layer"


def _hidden(layer: str) -> str:
    return f"the layer '{layer}' is hidden; what is in it counts all the same"
