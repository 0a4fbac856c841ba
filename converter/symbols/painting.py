"""A drawing of one symbol as what is painted, in its order: the fills and strokes that are seen, and their colours.

Built on the reader of edited blocks, so that everything a file may ask for is bounded before the work is done. What
cannot be told from outlines alone (texts, pictures, masks, filters) is refused, with the reason.
"""

from dataclasses import dataclass, field, replace

from fontTools.misc.transform import Transform
from pathops import OpBuilder, Path, PathOp

from converter.redesign.seen import name_of_element
from converter.redesign.shapes import FARTHEST, ShapeError, numbers, pixels, transform_of
from converter.redesign.styles import PROPERTIES, Rgb, Styles, colour_of, opacity_of
from converter.redesign.xml import Node
from converter.symbols.elements import filled, moved, shape_of, stroked

SEEN = 0.5  # what is less opaque shows more of what is under it than of itself
EM = 1000.0  # units that a drawing's height is scaled to
MOST_VISITS = 5_000  # elements and copies; icons have a few dozen
MOST_POINTS = 8_000  # of all paths together; the most intricate icons have some 2,000
STROKE = ("stroke-width", "stroke-linecap", "stroke-linejoin", "stroke-miterlimit", "stroke-dasharray")
ATTRIBUTES = ("stroke", "stroke-opacity", "color", "clip-rule", *STROKE)
_PAINT = PROPERTIES | {*ATTRIBUTES}
_DRAWN = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
_PASSED_OVER = {
    "defs", "symbol", "clipPath", "mask", "pattern", "marker", "script", "style", "metadata", "title", "desc",
}  # fmt: skip
_REFUSED = {
    "text": "has text; turn it into outlines", "image": "has a picture; trace it",
    "foreignObject": "has something other than a drawing in it", "svg": "has a drawing within the drawing",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Paint:
    """One fill or stroke: the area, in units of :data:`EM`, y up; ``colour`` is None for a gradient."""

    colour: Rgb | None
    path: Path


@dataclass(frozen=True, slots=True)
class _State:
    """What an element takes over from those that it is in."""

    map: Transform
    style: dict[str, str] = field(default_factory=dict)  # what is inherited
    opacity: float = 1.0
    clip: Path | None = None


def painted(root: Node) -> list[Paint]:
    """What a drawing paints, the lowest first. Raises :class:`ShapeError` where that cannot be told."""
    return _Walk(root).run()


def em_map(root: Node) -> tuple[Transform, float]:
    """The map from a drawing's units to the em, and how wide the drawing is there.

    Raises :class:`ShapeError` where neither the viewBox nor width and height say how large the drawing is.
    """
    box = numbers(root.get("viewBox"))
    if len(box) != 4:
        box = [0.0, 0.0, *(pixels(root.get(side)) if root.get(side) else 0.0 for side in ("width", "height"))]
    x, y, width, height = box
    if not (0 < width <= FARTHEST and height > 1e-6 and width / height <= 100):
        raise ShapeError("nothing says how large it is; save it with a viewBox")
    scale = EM / height
    return Transform(scale, 0, 0, -scale, -x * scale, EM + y * scale), width * scale


class _Walk:
    def __init__(self, root: Node) -> None:
        self._root = root
        self._styles = Styles(("".join(n.texts) for n in root.walk() if n.tag == "style"), _PAINT)
        self._by_id = {node.get("id"): node for node in root.walk() if node.get("id")}
        self._visits = self._points = 0
        self._found: list[Paint] = []

    def run(self) -> list[Paint]:
        map_, _ = em_map(self._root)
        self._visit(self._root, _State(map_), ())
        return self._found

    def _visit(self, node: Node, above: _State, used: tuple[str, ...]) -> None:
        self._visits += 1
        if self._visits > MOST_VISITS or len(used) > 20:
            raise ShapeError("its copies of copies draw too much")
        if node.tag in _PASSED_OVER:
            return
        if node.tag in _REFUSED and node is not self._root:
            raise ShapeError(f"it {_REFUSED[node.tag]}")
        own = self._styles.of(node)
        if own.get("display") == "none":
            return
        state = self._state(node, above, own)
        if node.tag in _DRAWN:
            try:
                self._draw(node, state)
            except ShapeError as error:
                raise ShapeError(f"{name_of_element(node)}: {error}") from None
        if node.tag == "use":
            self._copy(node, state, used)
        for child in node.children:
            self._visit(child, state, used)

    def _copy(self, node: Node, state: _State, used: tuple[str, ...]) -> None:
        name = node.get("href")[1:]
        target = self._by_id.get(name)
        if target is None or name in used:
            return
        x, y = (pixels(node.get(k)) if node.get(k) else 0.0 for k in ("x", "y"))
        state = replace(state, map=state.map.translate(x, y))
        if target.tag != "symbol":
            self._visit(target, state, (*used, name))
            return
        if target.get("viewBox"):
            raise ShapeError("it copies a symbol with a viewBox of its own; save it without copies")
        for child in target.children:
            self._visit(child, state, (*used, name))

    def _state(self, node: Node, above: _State, own: dict[str, str]) -> _State:
        for name in ("mask", "filter"):
            if own.get(name, "none") != "none":
                raise ShapeError(f"{name_of_element(node)} has a {name}; save it as plain outlines")
        map_ = above.map if node is self._root else above.map.transform(transform_of(node.get("transform")))
        inherited = {k: v for k, v in own.items() if k not in ("opacity", "clip-path") and v != "inherit"}
        clip = above.clip
        if own.get("clip-path", "none") != "none":
            clip = self._clipped(own["clip-path"], map_, clip)
        return _State(map_, above.style | inherited, above.opacity * opacity_of(own.get("opacity", "")), clip)

    def _draw(self, node: Node, state: _State) -> None:
        style = state.style
        if style.get("visibility", "visible") != "visible":
            return
        shape = shape_of(node)
        self._count(shape)
        for kind, usual in (("fill", "black"), ("stroke", "none")):
            said = style.get(kind, usual)
            if said.lower() == "currentcolor":
                said = style.get("color", "black")
                said = "black" if said.lower() == "currentcolor" else said
            colour, alpha = colour_of(said)
            if alpha * state.opacity * opacity_of(style.get(f"{kind}-opacity", "")) < SEEN:
                continue
            path = (
                filled(shape, style.get("fill-rule") == "evenodd")
                if kind == "fill"
                else stroked(shape, style)
            )
            path = moved(path, tuple(state.map))
            if state.clip is not None:
                path = combined([(path, PathOp.UNION), (state.clip, PathOp.INTERSECTION)])
            if len(list(path.verbs)):
                self._found.append(Paint(colour, path))

    def _clipped(self, said: str, map_: Transform, above: Path | None) -> Path | None:
        name = said.removeprefix("url(").removesuffix(")").strip("\"' ").removeprefix("#")
        target = self._by_id.get(name)
        if said.startswith("url(") and target is None:
            return above  # what is not there clips nothing
        if target is None or target.tag != "clipPath" or target.get("clipPathUnits") == "objectBoundingBox":
            raise ShapeError("it has a clip that is not understood; save it as plain outlines")
        parts = []
        for child in target.children:
            if child.tag not in _DRAWN or self._styles.of(child).get("clip-path"):
                raise ShapeError("it has a clip that is not understood; save it as plain outlines")
            shape = shape_of(child)
            self._count(shape)
            own = map_.transform(transform_of(target.get("transform"))).transform(
                transform_of(child.get("transform"))
            )
            even_odd = self._styles.of(child).get("clip-rule") == "evenodd"
            parts.append((moved(filled(shape, even_odd), tuple(own)), PathOp.UNION))
        return combined([*parts, *([(above, PathOp.INTERSECTION)] if above is not None else [])])

    def _count(self, path: Path) -> None:
        self._points += len(list(path.points))
        if self._points > MOST_POINTS:
            raise ShapeError(f"more than {MOST_POINTS} points are no symbol's")


def combined(steps: list[tuple[Path, PathOp]]) -> Path:
    """The areas put together, one after the other."""
    builder = OpBuilder(fix_winding=True, keep_starting_points=False)
    for path, step in steps:
        builder.add(path, step)
    return builder.resolve()
