"""The marked example of a template: which template shows most, and what is marked on it where."""

import re
from collections.abc import Iterable
from math import hypot
from typing import Any
from xml.etree import ElementTree

from converter.drawing.labels import extent
from converter.printing.sheets import Drawn


def template_callouts(drawn: Drawn) -> list[dict[str, Any]]:
    """What is marked on the example template.

    Each: words; the place in its drawing that they mean; ``clear``, how far a leader keeps off it. All mm.
    """
    root = ElementTree.fromstring(drawn.template.svg)
    found = [
        ("the cutting line: the seam allowance lies inside it", _on_cut(drawn)),
        ("the character and the section", _text_at(root, None)),
        ("a number: the order in which the pieces are sewn", _text_at(root, "piece-number")),
        ("hatched: a piece of the character's fabric", _path_at(root, "figure-shade")),
        ("a line that you sew on", _line_at(root, "sew-line")),
        ("a mark that must meet the same mark on the other section", _line_at(root, "match-mark")),
        ("double line: the block's own edge", _line_at(root, "block-edge")),
        ("the side that is joined to another section, and in which join", _text_at(root, "join-label")),
    ]
    return [
        {"text": words, "x": round(place[0], 4), "y": round(place[1], 4), "clear": round(place[2], 4)}
        for words, place in found
        if place is not None
    ]


def example(templates: Iterable[Drawn]) -> Drawn:
    """The template that shows most, in the largest pieces."""

    def rank(drawn: Drawn) -> tuple[float, ...]:
        width, height = drawn.template.width, drawn.template.height
        count = len(next(s for s in drawn.glyph.sections if s.id == drawn.template.section).pieces)
        return (-len(template_callouts(drawn)), count < 4, -round(min(width, height) / count, 3))

    return min(templates, key=rank)


_Place = tuple[float, float, float]  # x, y, how far to keep off


def _on_cut(drawn: Drawn) -> _Place:
    """A place on the longest side of the cutting line, near its lower end."""
    ring = drawn.template.cut_line
    edges = zip(ring, (*ring[1:], ring[0]), strict=True)
    (ax, ay), (bx, by) = max(edges, key=lambda e: round(hypot(e[1][0] - e[0][0], e[1][1] - e[0][1]), 3))
    share = 0.85 if ay < by else 0.15
    return ax + share * (bx - ax), ay + share * (by - ay), 0.0


def _text_at(root: ElementTree.Element, kind: str | None) -> _Place | None:
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        if text.get("class") == kind:
            size = float(text.get("font-size", 0))
            turned = "rotate" in text.get("transform", "")
            clear = size if turned else extent("".join(text.itertext()), size)[0] / 2
            return float(text.get("x", 0)), float(text.get("y", 0)) - 0.365 * size, clear
    return None


def _line_at(root: ElementTree.Element, kind: str) -> _Place | None:
    lines = [e for e in root.iter() if e.get("class") == kind]
    if not lines:
        return None
    ends = [[float(line.get(k, 0)) for k in ("x1", "y1", "x2", "y2")] for line in lines]
    x1, y1, x2, y2 = max(ends, key=lambda e: round(hypot(e[2] - e[0], e[3] - e[1]), 3))
    return x1 + 0.35 * (x2 - x1), y1 + 0.35 * (y2 - y1), 0.0


def _path_at(root: ElementTree.Element, kind: str) -> _Place | None:
    for element in root.iter():
        if element.get("class") == kind:
            n = [float(x) for x in re.findall(r"-?\d+\.?\d*", element.get("d", ""))]
            middle = len(n) // 8 * 4
            return (n[middle] + n[middle + 2]) / 2, (n[middle + 1] + n[middle + 3]) / 2, 0.0
    return None
