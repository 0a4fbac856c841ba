"""Reading XML that nobody vouches for: bounded in size, depth and growth; nothing is fetched, nothing is run.

Expat is used directly, because the bounds must hold while it reads. Entities with short plain texts are allowed,
since some editors declare their namespaces so; any other entity is refused.
"""

from collections.abc import Iterable, Iterator, Set
from dataclasses import dataclass, field
from xml.parsers import expat

from converter.budgets.drawings import (
    ATTRIBUTE,
    BYTES,
    DEPTH,
    ELEMENTS,
    ENTITIES,
    ENTITY,
    GROWTH,
    PATH,
    STYLES,
)
from converter.errors import InputError

SVG = "http://www.w3.org/2000/svg"
_LABELS = ("http://www.inkscape.org/namespaces/inkscape label", "http://www.serif.com/ id")
_HREF = "http://www.w3.org/1999/xlink href"
# All that a block's drawing is ever asked for; what else an element has, such as the bytes of a picture, is not kept.
_READ = frozenset(
    (
        "id", "class", "style", "transform", "href", "x", "y", "width", "height", "viewBox", "x1", "y1", "x2", "y2",
        "cx", "cy", "r", "rx", "ry", "d", "points", "label", "aria-label", "data-name", "data-fabric", "fill",
        "fill-opacity", "fill-rule", "stroke", "stroke-opacity", "opacity", "display", "visibility", "clip-path",
        "clipPathUnits", "mask", "filter",
    )
)  # fmt: skip
_LONG = frozenset({"d", "points"})


@dataclass(slots=True)
class Node:
    """One SVG element: its name and attributes without namespaces. ``label`` is what an editor calls it."""

    tag: str
    attributes: dict[str, str]
    children: list["Node"] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)  # of a style sheet, in parts

    def get(self, name: str) -> str:
        """An attribute, or nothing."""
        return self.attributes.get(name, "")

    def walk(self) -> Iterator["Node"]:
        """This element and all below it, in order."""
        yield self
        for child in self.children:
            yield from child.walk()


def parse_svg(data: bytes, name: str, more: Iterable[str] = ()) -> Node:
    """The root element. Elements of other namespases than SVG's are left out, with all that is in them.

    ``more``: attributes to keep besides those that a block's drawing is asked for. Raises :class:`InputError`, with
    ``name`` and the line, for anything that is no harmless SVG.
    """
    if len(data) > BYTES.most:
        raise InputError(f"{name}: {len(data) / 1e6:.0f} MB is too large for a block drawing.")
    if data[:2] == b"\x1f\x8b":
        raise InputError(f"{name}: is compressed (SVGZ); save it as plain SVG.")
    reader = _Reader(name, data, _READ.union(more))
    try:
        reader.parser.Parse(data, True)
    except expat.ExpatError as error:
        raise InputError(f"{name}: not readable as SVG ({error}); save it again as plain SVG.") from None
    except (LookupError, ValueError, UnicodeError) as error:
        raise InputError(f"{name}: its text cannot be decoded ({error}); save it as UTF-8.") from None
    if reader.root is None or reader.root.tag != "svg":
        raise InputError(f"{name}: not an SVG drawing.")
    return reader.root


def end_of_root(data: bytes) -> int | None:
    """Where the root element's closing tag begins in a drawing that :func:`parse_svg` reads.

    None where it has none, or where a byte is no character, as in UTF-16.
    """
    parser = expat.ParserCreate()
    depth, end = 0, -1

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal depth
        depth += 1

    def close(name: str) -> None:
        nonlocal depth, end
        depth -= 1
        if depth == 0:
            end = parser.CurrentByteIndex

    parser.StartElementHandler, parser.EndElementHandler = start, close
    parser.Parse(data, True)
    return end if end >= 0 and data[end : end + 2] == b"</" else None


class _Reader:
    def __init__(self, name: str, data: bytes, read: Set[str]) -> None:
        self.root: Node | None = None
        self._name, self._data, self._read = name, data, read
        self._open: list[Node | None] = []  # None stands for an element that is left out
        self._elements = self._style_length = 0
        self._entities: dict[str, int] = {}
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._characters
        self.parser.EntityDeclHandler = self._entity
        self.parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)

    def _refuse(self, what: str) -> InputError:
        return InputError(f"{self._name}, line {self.parser.CurrentLineNumber}: {what}")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._elements += 1
        if self._elements > ELEMENTS.most:
            raise self._refuse(f"more than {ELEMENTS} are no block's drawing.")
        if len(self._open) >= DEPTH.most:
            raise self._refuse(f"groups are nested more than {DEPTH.most} deep.")
        space, _, tag = name.rpartition(" ")
        left_out = space not in ("", SVG) or (bool(self._open) and self._open[-1] is None)
        if left_out:
            self._open.append(None)
            return
        node = Node(tag, dict(self._kept(attributes)))
        if not self._open:
            self.root = node
        elif (parent := self._open[-1]) is not None:
            parent.children.append(node)
        self._open.append(node)

    def _kept(self, attributes: dict[str, str]) -> Iterator[tuple[str, str]]:
        for key, value in _plain_names(attributes, self._read):
            if key == "href" and value[:1] != "#":  # points elsewhere, or is a picture
                continue
            budget = PATH if key in _LONG else ATTRIBUTE
            if len(value) > budget.most:
                raise self._refuse(f"{key!r} of {len(value)} characters is too long for a block's drawing.")
            yield key, value

    def _end(self, name: str) -> None:
        del name
        self._open.pop()

    def _characters(self, text: str) -> None:
        node = self._open[-1] if self._open else None
        if node is not None and node.tag == "style":
            self._style_length += len(text)
            if self._style_length > STYLES.most:
                raise self._refuse(f"more than {STYLES} are too many.")
            node.texts.append(text)

    def _entity(
        self, name: str, is_parameter: int, value: str | None, base: str | None, system: str | None,
        public: str | None, notation: str | None,
    ) -> None:  # fmt: skip
        del base, notation
        if is_parameter or system or public or value is None or "&" in value or len(value) > ENTITY.most:
            raise self._refuse(f"the entity {name[:40]!r} is not allowed; save it as plain SVG.")
        self._entities[name] = len(value)
        growth = self._data.count(b"&") * max(self._entities.values())
        if len(self._entities) > ENTITIES.most or growth > GROWTH.most:
            raise self._refuse("it has too many entities; save it as plain SVG.")


def _plain_names(attributes: dict[str, str], read: Set[str]) -> Iterator[tuple[str, str]]:
    for key, value in attributes.items():
        if key in read:
            yield key, value
        elif key in _LABELS:
            yield "label", value
        elif key == _HREF:
            yield "href", value
