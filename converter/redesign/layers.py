"""Which group is which layer, in a file that an editor may have renamed, reordered or flattened.

By id, then by label, then by what is in it.
"""

import re
from collections import Counter

from converter.drawing.block import SHAPE_ID
from converter.redesign.xml import Node

LAYERS = ("seams", "pieces", "shape", "guide", "labels", "grid", "faults")
# Read from the start, so that each character is looked at once.
_LAYER_ID = re.compile(rf"\s*+({'|'.join(LAYERS)})(?:[-_ ]?\d++_?|[ _-]copy)?\s*+", re.IGNORECASE)
_SEAM_ID = re.compile(r"(?:seam-[A-Z]++\d++|join-\d++)\b")
_PIECE_ID = re.compile(r"piece-[A-Z]++\d++\b")
_SHAPE_ID = re.compile(rf"{SHAPE_ID}\S")
DRAWN = {"line", "polyline", "polygon", "rect", "circle", "ellipse", "path"}


def find_layers(root: Node) -> dict[int, str]:
    """The layer's name by the ``id()`` of its element; elements stand for themselves where there is no group."""
    groups = [node for node in root.walk() if node.tag == "g"]
    found: dict[str, Node] = {}
    for name_of in (_by_id, _by_label):
        for group in groups:
            name = name_of(group)
            if name and name not in found and all(group is not other for other in found.values()):
                found[name] = group
    if "shape" in found and any(found["shape"] is inner for node in _others(found) for inner in node.walk()):
        del found["shape"]  # a group that an editor gave this name, of its own accord
    layers = {id(node): name for name, node in found.items()}
    for name, pattern in (("shape", _SHAPE_ID), ("pieces", _PIECE_ID), ("seams", _SEAM_ID)):
        if name not in found:
            layers |= _by_content(root, name, pattern, layers)
    if "seams" not in layers.values():
        strokes = next((g for g in groups if id(g) not in layers and _only_strokes(g)), None)
        if strokes is not None:
            layers[id(strokes)] = "seams"
    return layers


def _others(found: dict[str, Node]) -> list[Node]:
    return [node for name, node in found.items() if name != "shape"]


def _by_id(group: Node) -> str:
    name = _LAYER_ID.fullmatch(group.get("id"))
    return name[1].lower() if name else ""


def _by_label(group: Node) -> str:
    for key in ("label", "aria-label", "data-name", "serif:id"):
        word = re.match(r"\s*+([a-z]++)", group.get(key).lower())
        if word and word[1] in LAYERS:
            return word[1]
    return ""


def _by_content(root: Node, name: str, pattern: re.Pattern[str], taken: dict[int, str]) -> dict[int, str]:
    """The group that holds most of the elements with the ids of the layer; each of them alone where it is mixed."""
    holders: Counter[int] = Counter()
    nodes: dict[int, Node] = {}
    for parent in root.walk():
        for child in parent.children:
            if pattern.match(child.get("id")) or (name == "pieces" and child.get("data-fabric")):
                holders[id(parent)] += 1
                nodes[id(parent)] = parent
    if not holders:
        return {}
    key, count = holders.most_common(1)[0]
    holder = nodes[key]
    drawn = [child for child in holder.children if child.tag in DRAWN]
    if key not in taken and holder.tag == "g" and 2 * count > len(drawn):
        return {key: name}
    return {
        id(child): name
        for node in nodes.values()
        for child in node.children
        if pattern.match(child.get("id")) or (name == "pieces" and child.get("data-fabric"))
    }


def _only_strokes(group: Node) -> bool:
    drawn = [node for node in group.walk() if node.tag in DRAWN]
    return bool(drawn) and all(node.tag in ("line", "polyline", "path") for node in drawn)
