"""The marked example of a template: which template shows most, and what is marked on it where."""

import re
from collections.abc import Iterable, Sequence
from typing import Any
from xml.etree import ElementTree

from shapely import LineString, Polygon, box

from converter.drawing.labels import extent
from converter.printing.sheets import Drawn


def template_callouts(drawn: Drawn, pitch: float) -> list[dict[str, Any]]:
    """What is marked on the example template, each with a level leader to one side of it.

    Each: words; the place in its drawing that they mean; ``clear``, how far a leader keeps off it; the side.
    ``pitch``: how far apart leaders on one side should be. All mm in the drawing.
    """
    root = ElementTree.fromstring(drawn.template.svg)
    places = _places(drawn, root)
    texts = [_box(text) for text in root.iter(_TEXT)]
    width = drawn.template.width
    taken: dict[str, list[float]] = {"left": [], "right": []}
    found = {}
    for words in sorted((w for w in places if places[w]), key=lambda w: len(places[w])):
        ways = [(place, side) for place in places[words] for side in taken]

        def price(way: tuple[_Place, str]) -> tuple[float, ...]:
            (x, y, clear), side = way
            ends = (0.0, x - clear - 0.1) if side == "left" else (x + clear + 0.1, width)
            leader = LineString([(ends[0], y), (ends[1], y)]).buffer(0.8)
            met = sum(leader.intersects(text) for text in texts)
            crowded = max((pitch - abs(y - other) for other in taken[side]), default=0.0)
            return met, max(0.0, round(crowded, 3)), round(ends[1] - ends[0], 3)

        found[words] = place, side = min(ways, key=price)
        taken[side].append(place[1])
    return [
        {"text": words, "x": round(x, 4), "y": round(y, 4), "clear": round(clear, 4), "side": side}
        for words, ((x, y, clear), side) in found.items()
    ]


def example(templates: Iterable[Drawn]) -> Drawn:
    """The template that shows most, in the largest pieces."""

    def rank(drawn: Drawn) -> tuple[float, ...]:
        width, height = drawn.template.width, drawn.template.height
        count = len(next(s for s in drawn.glyph.sections if s.id == drawn.template.section).pieces)
        return (-sum(map(bool, _places(drawn).values())), count < 4, -round(min(width, height) / count, 3))

    return min(templates, key=rank)


_Place = tuple[float, float, float]  # x, y, how far to keep off
_TEXT = "{http://www.w3.org/2000/svg}text"
_SHARES = [k / 10 for k in range(1, 10)]  # of a line, where it may be pointed at


def _places(drawn: Drawn, root: ElementTree.Element | None = None) -> dict[str, list[_Place]]:
    """For all that can be marked, the places that may be pointed at; none where it is not on this template."""
    root = ElementTree.fromstring(drawn.template.svg) if root is None else root
    return {
        "the cutting line: the seam allowance lies inside it": _on_cut(drawn),
        "the character and the section": _texts(root, None),
        "a number: the order in which the pieces are sewn": _texts(root, "piece-number"),
        "hatched: a piece of the character's fabric": _strokes(root, "figure-shade"),
        "a line that you sew on": _lines(root, "sew-line"),
        "a mark that must meet the same mark on the other section": _lines(root, "match-mark"),
        "a ring: the end of a join; it must meet the ring on the other section": _dots(root, "seam-end-ring"),
        "an arrow: lay the middle of the patch here": _arrows(root),
        "double line: the block's own edge": _lines(root, "block-edge"),
        "the side that is joined to another section, and in which join": _texts(root, "join-label"),
        "a scale bar: hold a ruler to it": _bars(root),
    }


def _on_cut(drawn: Drawn) -> list[_Place]:
    ring = drawn.template.cut_line
    return _on([(*a, *b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)])


def _texts(root: ElementTree.Element, kind: str | None) -> list[_Place]:
    """The middles of texts; those without a class are the tag."""
    bars = {text for bar in _of_class(root, "scale-bar") for text in bar.iter(_TEXT)}
    found = [text for text in root.iter(_TEXT) if text.get("class") == kind and text not in bars]
    return [_middle(text) for text in found]


def _middle(text: ElementTree.Element) -> _Place:
    size = float(text.get("font-size", 0))
    turned = "rotate" in text.get("transform", "")
    clear = size if turned else extent("".join(text.itertext()), size)[0] / 2
    return float(text.get("x", 0)), float(text.get("y", 0)) - 0.365 * size, clear


def _box(text: ElementTree.Element) -> Polygon:
    """Roughly where a text stands: a square for one that is turned."""
    (x, y, clear), size = _middle(text), float(text.get("font-size", 0))
    high = (
        extent("".join(text.itertext()), size)[0] / 2 if "rotate" in text.get("transform", "") else size / 2
    )
    return box(x - clear, y - high, x + clear, y + high)


def _of_class(root: ElementTree.Element, kind: str) -> list[ElementTree.Element]:
    return [element for element in root.iter() if element.get("class") == kind]


def _lines(root: ElementTree.Element, kind: str) -> list[_Place]:
    return _on([tuple(float(e.get(k, 0)) for k in ("x1", "y1", "x2", "y2")) for e in _of_class(root, kind)])


def _dots(root: ElementTree.Element, kind: str) -> list[_Place]:
    return [tuple(float(e.get(k, 0)) for k in ("cx", "cy", "r")) for e in _of_class(root, kind)]  # type: ignore[misc]


def _arrows(root: ElementTree.Element) -> list[_Place]:
    """The middles of triangles."""
    found = []
    for element in _of_class(root, "patch-arrow"):
        n = [float(x) for x in re.findall(r"-?\d+\.?\d*", element.get("points", ""))]
        found.append((sum(n[::2]) / 3, sum(n[1::2]) / 3, 1.0))
    return found


def _on(lines: Sequence[tuple[float, ...]]) -> list[_Place]:
    """Places on lines; a level leader would be lost on a level one."""
    steep = [line for line in lines if abs(line[3] - line[1]) > 1] or lines
    return [(x1 + s * (x2 - x1), y1 + s * (y2 - y1), 0.0) for x1, y1, x2, y2 in steep for s in _SHARES]


def _strokes(root: ElementTree.Element, kind: str) -> list[_Place]:
    """The middles of the lines of a path."""
    found = []
    for element in _of_class(root, kind):
        n = [float(x) for x in re.findall(r"-?\d+\.?\d*", element.get("d", ""))]
        found += [((n[k] + n[k + 2]) / 2, (n[k + 1] + n[k + 3]) / 2, 0.0) for k in range(0, len(n), 4)]
    return found


def _bars(root: ElementTree.Element) -> list[_Place]:
    """The ends of scale bars."""
    found = []
    for bar in _of_class(root, "scale-bar"):
        for path in bar:
            n = [float(x) for x in re.findall(r"-?\d+\.?\d*", path.get("d", ""))]
            found += [((n[k] + n[k + 2]) / 2, (n[k + 1] + n[k + 3]) / 2, 0.0) for k in (0, 4) if n]
    return found
