"""What a drawing's layers draw, as it is seen: copies followed, transforms and styles handed down.

In the layer ``seams`` everything counts, seen or hidden. In ``pieces`` and ``shape`` only what is seen does, for by
that a designer judges it; but a layer that is hidden as a whole is hidden to see another, and counts as if it
were shown.
"""

from dataclasses import dataclass, replace

import shapely
from fontTools.misc.transform import Identity, Transform
from shapely.geometry.base import BaseGeometry

from converter.budgets.drawings import CORNERS, NESTING, PATHS, SHAPES, VISITS
from converter.fonts.plain import plain_text
from converter.model import Point
from converter.redesign.layers import DRAWN, find_layers
from converter.redesign.shapes import FINE_STEPS, Run, ShapeError, finite, pixels, runs_of, transform_of
from converter.redesign.styles import Rgb, Styles, colour_of, opacity_of
from converter.redesign.xml import Node

SEEN = 0.5  # what is less opaque shows more of what is under it than of itself
_SEEN_LAYERS = ("pieces", "shape")
_LEFT_OUT = {"defs", "symbol", "clipPath", "mask", "pattern", "marker", "script", "style", "metadata"}
_STRAY = {"line", "polyline", "path"}
_LONGEST_STRAY = 200  # characters of a path that may be a single line


@dataclass(slots=True)
class Drawn:
    """One element of a layer that counts. ``odd``: something is done to it that is not read, such as a mask.

    ``clip``: what of it is seen at most, in the drawing's own units; all of it where that is None.
    """

    node: Node
    layer: str
    runs: list[Run]  # in the drawing's own units
    fill: Rgb | None = None
    clip: BaseGeometry | None = None
    odd: bool = False
    even_odd: bool = False  # what the element's rings wind round twice is not filled
    stroke: Rgb | None = None  # of the layer ``shape``, where it has no fill that is seen


@dataclass(frozen=True, slots=True)
class _State:
    """What an element takes over from those that it is in."""

    map: Transform = Identity
    layer: str = ""
    fill: str = "black"
    stroke: str = "none"
    shown: bool = True
    visible: bool = True
    opacity: float = 1.0
    fill_opacity: float = 1.0
    stroke_opacity: float = 1.0
    clip: BaseGeometry | None = None
    odd: bool = False
    even_odd: bool = False


class Walk:
    """Collects what the layers draw. Raises :class:`ShapeError` for numbers that are none, and beyond a budget."""

    def __init__(self, root: Node) -> None:
        self._root = root
        self._layers = find_layers(root)
        self._styles = Styles("".join(node.texts) for node in root.walk() if node.tag == "style")
        self._by_id = {node.get("id"): node for node in root.walk() if node.get("id")}
        self._clips: dict[str, BaseGeometry | None] = {}
        self._visits = self._characters = self._corners = self._shapes = 0
        self.drawn: list[Drawn] = []
        self.strays: list[Point] = []  # where lines are drawn outside of all layers
        self.hidden: set[str] = set()  # layers that are hidden as a whole

    def run(self) -> None:
        """Walks through the drawing."""
        if "seams" not in self._layers.values() and any(n.tag in DRAWN for n in self._root.walk()):
            raise ShapeError("there is no layer 'seams'; name the layer with the seams so, and save again")
        self._visit(self._root, _State(), 0, ())

    def _visit(self, node: Node, above: _State, depth: int, used: tuple[str, ...]) -> None:
        self._visits += 1
        if self._visits > VISITS.most:
            raise ShapeError("its copies of copies draw too much")
        if depth > NESTING.most:
            raise ShapeError(f"more than {NESTING}")
        if node.tag in _LEFT_OUT:
            return
        try:
            state = self._state(node, above)
            self._draw(node, state)
            target = self._by_id.get(node.get("href")[1:]) if node.tag == "use" else None
            if target is not None and node.get("href") not in used:
                x, y = (pixels(node.get(k)) if node.get(k) else 0.0 for k in ("x", "y"))
                moved = replace(state, map=state.map.translate(x, y)) if x or y else state
                self._visit(target, moved, depth + 1, (*used, node.get("href")))
        except ShapeError as error:
            what = name_of_element(node)
            raise ShapeError(f"{what}: {error}" if ": " not in str(error) else str(error)) from None
        for child in node.children:
            self._visit(child, state, depth + 1, used)

    def _state(self, node: Node, above: _State) -> _State:
        said = self._styles.of(node)
        if not said and not node.get("transform") and id(node) not in self._layers:
            return above
        map_ = above.map if node is self._root else above.map.transform(transform_of(node.get("transform")))
        clip, odd = above.clip, above.odd
        if self._layers.get(id(node), above.layer) in _SEEN_LAYERS:
            clip, odd = self._clipped(said.get("clip-path", ""), map_, clip)
            odd |= above.odd or any(said.get(name, "none") != "none" for name in ("mask", "filter"))
            odd |= said.get("mix-blend-mode", "normal") != "normal"
        visible = said.get("visibility", "")
        state = _State(
            map_, above.layer, said.get("fill") or above.fill, said.get("stroke") or above.stroke,
            above.shown and said.get("display") != "none",
            above.visible if visible not in ("visible", "hidden", "collapse") else visible == "visible",
            above.opacity * opacity_of(said.get("opacity", "")),
            above.fill_opacity if "fill-opacity" not in said else opacity_of(said["fill-opacity"]),
            above.stroke_opacity if "stroke-opacity" not in said else opacity_of(said["stroke-opacity"]),
            clip, odd, said.get("fill-rule", "evenodd" if above.even_odd else "") == "evenodd",
        )  # fmt: skip
        layer = self._layers.get(id(node))
        if layer is None:
            return state
        if node.tag == "g" and not (state.shown and state.visible and state.opacity >= SEEN):
            self.hidden.add(layer)
            state = replace(state, shown=True, visible=True, opacity=1.0)
        return replace(state, layer=layer)

    def _draw(self, node: Node, state: _State) -> None:
        if node.tag not in DRAWN or state.layer not in ("seams", *_SEEN_LAYERS, ""):
            return
        length = len(node.get("d")) + len(node.get("points"))
        if state.layer == "" and (node.tag not in _STRAY or length > _LONGEST_STRAY):
            return
        fill, alpha = colour_of(state.fill)
        opacity = alpha * state.opacity * state.fill_opacity
        is_shown, stroke = state.shown and state.visible, None
        if state.layer == "shape" and opacity < SEEN:
            stroke, alpha = colour_of(state.stroke)
            fill, opacity = None, alpha * state.opacity * state.stroke_opacity if stroke else 0.0
        if state.layer in _SEEN_LAYERS and not (is_shown and opacity >= SEEN):
            return
        self._characters += length
        if self._characters > PATHS.most:
            raise ShapeError(f"more than {PATHS}")
        runs = runs_of(node, FINE_STEPS) if state.layer == "shape" else runs_of(node)
        for run in runs:
            run.points = [_placed(state.map, p) for p in run.points]
            run.bend = None if run.bend is None else state.map.transformPoint(run.bend)
        if state.layer == "":
            self.strays += [_middle(r.points) for r in runs if len(r.points) == 2 and not r.closed]
        elif runs:
            if state.layer in _SEEN_LAYERS:
                self._count(runs)
            drawn = Drawn(node, state.layer, runs, fill, state.clip, state.odd, state.even_odd, stroke)
            self.drawn.append(drawn)

    def _count(self, runs: list[Run]) -> None:
        self._shapes += len(runs)
        self._corners += sum(len(run.points) for run in runs)
        for count, budget in ((self._shapes, SHAPES), (self._corners, CORNERS)):
            if count > budget.most:
                raise ShapeError(f"more than {budget}")

    def _clipped(
        self, said: str, map_: Transform, above: BaseGeometry | None
    ) -> tuple[BaseGeometry | None, bool]:
        """What is seen at most within this clip and the one above; and whether the clip is not understood."""
        name = said.removeprefix("url(").removesuffix(")").strip("\"' ").removeprefix("#")
        if not said or said == "none" or (said.startswith("url(") and name not in self._by_id):
            return above, False  # what is not there clips nothing
        if not said.startswith("url("):
            return above, True
        if name not in self._clips:
            self._clips[name] = self._clip_of(self._by_id[name])
        clip = self._clips[name]
        if clip is None:
            return above, True
        self._corners += int(shapely.get_num_coordinates(clip))  # it is worked out anew for each use
        self._count([])
        a, b, c, d, e, f = map_
        clip = shapely.transform(clip, lambda p: p @ [[a, b], [c, d]] + [e, f])
        if not clip.is_valid:  # pressed flat
            return above, True
        return (clip if above is None else above.intersection(clip)), False

    def _clip_of(self, node: Node) -> BaseGeometry | None:
        """The shapes of a clip together, in the units of what it clips; None where it is not understood."""
        if (
            node.tag != "clipPath"
            or node.get("clipPathUnits") == "objectBoundingBox"
            or node.get("clip-path")
        ):
            return None
        shapes = []
        for child in node.children:
            if child.tag not in DRAWN or child.get("clip-path"):
                return None
            map_ = transform_of(node.get("transform")).transform(transform_of(child.get("transform")))
            if self._styles.of(child).get("display") == "none":
                continue
            for run in runs_of(child):
                if len(run.points) > 2:
                    self._count([run])
                    shapes.append(shapely.Polygon([map_.transformPoint(p) for p in run.points]))
        return shapely.union_all(shapes) if all(shape.is_valid for shape in shapes) else None


def name_of_element(node: Node) -> str:
    """What a message calls an element."""
    return plain_text(node.get("id"), 40) or f"a {node.tag[:40]}"


def _placed(map_: Transform, point: Point) -> Point:
    x, y = map_.transformPoint(point)
    return finite(x), finite(y)


def _middle(points: list[Point]) -> Point:
    return (points[0][0] + points[1][0]) / 2, (points[0][1] + points[1][1]) / 2
