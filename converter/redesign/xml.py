"""Reading XML that nobody vouches for: bounded in size, depth and growth; nothing is fetched, nothing is run.

Expat is used directly, because the bounds must hold while it reads. Entities with short plain texts are allowed,
since some editors declare their namespaces so; any other entity is refused.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from converter.errors import InputError
from converter.folder.reading import MOST_DRAWING_BYTES

MOST_ELEMENTS = 20_000
MOST_DEPTH = 100
MOST_ENTITIES, LONGEST_ENTITY = 50, 300
MOST_GROWTH = 4_000_000  # characters that all uses of entities may add

SVG = "http://www.w3.org/2000/svg"
_LABELS = ("http://www.inkscape.org/namespaces/inkscape label", "http://www.serif.com/ id")
_HREF = "http://www.w3.org/1999/xlink href"


@dataclass(slots=True)
class Node:
    """One SVG element: its name and attributes without namespaces. ``label`` is what an editor calls it."""

    tag: str
    attributes: dict[str, str]
    children: list["Node"] = field(default_factory=list)
    text: str = ""

    def get(self, name: str) -> str:
        """An attribute, or nothing."""
        return self.attributes.get(name, "")

    def walk(self) -> Iterator["Node"]:
        """This element and all below it, in order."""
        yield self
        for child in self.children:
            yield from child.walk()


def parse_svg(data: bytes, name: str) -> Node:
    """The root element. Elements of other namespases than SVG's are left out, with all that is in them.

    Raises :class:`InputError`, with ``name`` and the line, for anything that is no harmless SVG.
    """
    if len(data) > MOST_DRAWING_BYTES:
        raise InputError(f"{name}: {len(data) / 1e6:.0f} MB is too large for a block drawing.")
    if data[:2] == b"\x1f\x8b":
        raise InputError(f"{name}: is compressed (SVGZ); save it as plain SVG.")
    reader = _Reader(name, data)
    try:
        reader.parser.Parse(data, True)
    except expat.ExpatError as error:
        raise InputError(f"{name}: not readable as SVG ({error}); save it again as plain SVG.") from None
    except (LookupError, ValueError, UnicodeError) as error:
        raise InputError(f"{name}: its text cannot be decoded ({error}); save it as UTF-8.") from None
    if reader.root is None or reader.root.tag != "svg":
        raise InputError(f"{name}: not an SVG drawing.")
    return reader.root


class _Reader:
    def __init__(self, name: str, data: bytes) -> None:
        self.root: Node | None = None
        self._name, self._data = name, data
        self._open: list[Node | None] = []  # None stands for an element that is left out
        self._elements = 0
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
        if self._elements > MOST_ELEMENTS:
            raise self._refuse(f"more than {MOST_ELEMENTS} elements are no block's drawing.")
        if len(self._open) >= MOST_DEPTH:
            raise self._refuse(f"groups are nested more than {MOST_DEPTH} deep.")
        space, _, tag = name.rpartition(" ")
        left_out = space not in ("", SVG) or (bool(self._open) and self._open[-1] is None)
        if left_out:
            self._open.append(None)
            return
        node = Node(tag, dict(_plain_names(attributes)))
        if not self._open:
            self.root = node
        elif (parent := self._open[-1]) is not None:
            parent.children.append(node)
        self._open.append(node)

    def _end(self, name: str) -> None:
        del name
        self._open.pop()

    def _characters(self, text: str) -> None:
        node = self._open[-1] if self._open else None
        if node is not None and node.tag == "style":
            node.text += text

    def _entity(
        self, name: str, is_parameter: int, value: str | None, base: str | None, system: str | None,
        public: str | None, notation: str | None,
    ) -> None:  # fmt: skip
        del base, notation
        if is_parameter or system or public or value is None or "&" in value or len(value) > LONGEST_ENTITY:
            raise self._refuse(f"the entity {name!r} is not allowed; save it as plain SVG.")
        self._entities[name] = len(value)
        growth = self._data.count(b"&") * max(self._entities.values())
        if len(self._entities) > MOST_ENTITIES or growth > MOST_GROWTH:
            raise self._refuse("it has too many entities; save it as plain SVG.")


def _plain_names(attributes: dict[str, str]) -> Iterator[tuple[str, str]]:
    for key, value in attributes.items():
        if " " not in key:
            yield key, value
        elif key in _LABELS:
            yield "label", value
        elif key == _HREF:
            yield "href", value
