"""What an element is painted with: attributes, ``<style>`` sheets and ``style=""``, in CSS's order."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import tinycss2
from tinycss2.color3 import RGBA, parse_color

from converter.redesign.xml import Node

Rgb = tuple[float, float, float]  # each from 0 to 1


@dataclass(frozen=True, slots=True)
class _Rule:
    """``kind`` is ``#``, ``.`` or nothing, for an id, a class or an element's name (``*`` for all)."""

    kind: str
    name: str
    values: Mapping[str, str]

    @property
    def weight(self) -> int:
        return {"#": 2, ".": 1, "": 0}[self.kind]

    def fits(self, node: Node) -> bool:
        if self.kind == "#":
            return node.get("id") == self.name
        if self.kind == ".":
            return self.name in node.get("class").split()
        return self.name in (node.tag, "*")


class Styles:
    """The sheets of a drawing. Selectors of one id, one class or one name are understood, others passed over."""

    def __init__(self, sheets: Iterable[str]) -> None:
        rules = [rule for sheet in sheets for rule in _rules(sheet)]
        self._rules = sorted(rules, key=lambda rule: rule.weight)  # stable: the later of two equals wins

    def value(self, node: Node, name: str) -> str:
        """The value of a property that is set on the element itself, or nothing."""
        value = node.get(name)
        for rule in self._rules:
            if name in rule.values and rule.fits(node):
                value = rule.values[name]
        own = _declarations(node.get("style"))
        return own.get(name, value).strip()


def _rules(sheet: str) -> list[_Rule]:
    found = []
    for part in tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True):
        if part.type != "qualified-rule":
            continue
        values = _declarations(part.content)
        for selector in tinycss2.serialize(part.prelude).split(","):
            selector = selector.strip()
            kind = selector[:1] if selector[:1] in "#." else ""
            name = selector[len(kind) :]
            if name == "*" or name.replace("-", "").replace("_", "").isalnum():
                found.append(_Rule(kind, name, values))
    return found


def _declarations(content: object) -> dict[str, str]:
    parts = tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True)
    return {p.lower_name: tinycss2.serialize(p.value).strip() for p in parts if p.type == "declaration"}


def colour_of(text: str) -> Rgb | None:
    """The colour that a text stands for; None for ``none``, patterns, and what is no colour."""
    colour = parse_color(text) if text else None
    if not isinstance(colour, RGBA) or colour.alpha == 0:
        return None
    return colour.red, colour.green, colour.blue
