"""What an element is painted with: attributes, ``<style>`` sheets and ``style=""``, in CSS's order."""

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Set

import tinycss2
from tinycss2.color3 import RGBA, parse_color

from converter.budgets.drawings import BRACKETS, STYLES
from converter.redesign.shapes import ShapeError
from converter.redesign.xml import Node

Rgb = tuple[float, float, float]  # each from 0 to 1

PROPERTIES = frozenset(
    (
        "fill",
        "fill-opacity",
        "fill-rule",
        "stroke",
        "stroke-opacity",
        "opacity",
        "display",
        "visibility",
        "clip-path",
        "mask",
        "filter",
        "mix-blend-mode",
    )
)
_Rank = tuple[
    bool, int, int
]  # important; 2 for an id, 1 for a class, 0 for an element's name; which of equals
_Rule = Mapping[str, tuple[_Rank, str]]
_NOT_BRACKETS = re.compile(r"[^()\[\]{}]+")
_COLOURS_LENGTH = 60  # characters; no colour is written longer


class Styles:
    """The sheets of a drawing. Selectors of one id, one class or one name are understood, others passed over.

    ``properties``: those that are asked for.
    Raises :class:`ShapeError`, here or when an element is asked for, where the styles are beyond their budgets.
    """

    def __init__(self, sheets: Iterable[str], properties: Set[str] = PROPERTIES) -> None:
        self._properties = properties
        self._rules: dict[str, dict[str, tuple[_Rank, str]]] = {}
        self._own: dict[
            str, dict[str, tuple[bool, str]]
        ] = {}  # what a style="" says; most are there many times
        self._known: dict[int, dict[str, str]] = {}  # by the ``id()`` of an element; copies ask again
        self._length = self._count = 0
        for sheet in sheets:
            self._bound(sheet)
            for selector, values in _rules_of(sheet, properties):
                self._add(selector, values)

    def _bound(self, text: str) -> None:
        self._length += len(text)
        if self._length > STYLES.most:
            raise ShapeError(f"more than {STYLES} are too many")
        depth = 0
        for bracket in _NOT_BRACKETS.sub("", text):
            depth = max(depth + (1 if bracket in "([{" else -1), 0)
            if depth > BRACKETS.most:
                raise ShapeError(f"its style has more than {BRACKETS}")

    def _add(self, selector: str, values: Mapping[str, tuple[bool, str]]) -> None:
        weight = {"#": 2, ".": 1}.get(selector[0], 0)
        rule = self._rules.setdefault(selector, {})
        for name, (important, value) in values.items():
            self._count += 1
            rank = (important, weight, self._count)
            if name not in rule or rule[name][0] <= rank:
                rule[name] = rank, value

    def of(self, node: Node) -> dict[str, str]:
        """What is set on the element itself: those of the properties that are, each with its value."""
        if id(node) not in self._known:
            self._known[id(node)] = self._work_out(node)
        return self._known[id(node)]

    def _work_out(self, node: Node) -> dict[str, str]:
        ranked: dict[str, tuple[_Rank, str]] = {
            name: ((False, -1, 0), node.get(name)) for name in self._properties if node.get(name)
        }
        for rule in self._fitting(node):
            for name, said in rule.items():
                if name not in ranked or ranked[name][0] <= said[0]:
                    ranked[name] = said
        for name, (important, value) in self._own_of(node.get("style")).items():
            if name not in ranked or ranked[name][0] <= (important, 3, 0):
                ranked[name] = (important, 3, 0), value
        return {name: value.strip() for name, (_, value) in ranked.items()}

    def _fitting(self, node: Node) -> Iterator[_Rule]:
        if self._rules:
            for selector in (
                "*",
                node.tag,
                *(f".{c}" for c in node.get("class").split()),
                f"#{node.get('id')}",
            ):
                if selector in self._rules:
                    yield self._rules[selector]

    def _own_of(self, style: str) -> dict[str, tuple[bool, str]]:
        if style not in self._own:
            self._bound(style)
            self._own[style] = _declarations(style, self._properties)
        return self._own[style]


def _rules_of(sheet: str, properties: Set[str]) -> Iterator[tuple[str, dict[str, tuple[bool, str]]]]:
    """Each selector that is understood, with what it sets."""
    for part in tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True):
        if part.type != "qualified-rule":
            continue
        values = _declarations(part.content, properties)
        for selector in tinycss2.serialize(part.prelude).split(","):
            selector = selector.strip()
            name = selector[1:] if selector[:1] in ("#", ".") else selector
            if selector == "*" or name.replace("-", "").replace("_", "").isalnum():
                yield selector, values


def _declarations(content: object, properties: Set[str]) -> dict[str, tuple[bool, str]]:
    """Name, whether it is important, and value of what is set and matters here; the last of equals wins."""
    found: dict[str, tuple[bool, str]] = {}
    for part in tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True):
        if part.type == "declaration" and part.lower_name in properties:
            old = found.get(part.lower_name, (False, ""))
            if part.important >= old[0]:
                found[part.lower_name] = part.important, tinycss2.serialize(part.value).strip()
    return found


def colour_of(text: str) -> tuple[Rgb | None, float]:
    """The colour that a text stands for, and how opaque it is; no colour for gradients and what is none."""
    if text in ("none", "transparent"):
        return None, 0.0
    colour = parse_color(text) if text and len(text) <= _COLOURS_LENGTH else None
    if not isinstance(colour, RGBA):
        return None, 1.0
    return (colour.red, colour.green, colour.blue), colour.alpha


def opacity_of(text: str) -> float:
    """A number or a percentage, from 0 to 1; 1 for what is neither, as CSS passes it over."""
    try:
        value = float(text.removesuffix("%")) * (0.01 if text.endswith("%") else 1.0)
    except ValueError:
        return 1.0
    return 1.0 if math.isnan(value) else min(max(value, 0.0), 1.0)
