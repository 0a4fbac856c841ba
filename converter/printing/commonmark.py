"""A designer's own paragraphs, in CommonMark, as plain data that a page template sets.

The template gets texts as strings and never as code, so nothing in them can run: HTML, Typst's own signs and
addresses are words like any other. Source of the syntax: CommonMark 0.31.
"""

from collections.abc import Sequence
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.tree import SyntaxTreeNode

Told = list[dict[str, Any]]  # nodes: a kind, and a text or children

_INLINE = {"em": "emph", "strong": "strong"}
_BLOCKS = {"paragraph": "paragraph", "bullet_list": "list", "ordered_list": "enum", "blockquote": "quote"}


def told(text: str) -> Told:
    """The paragraphs, headings, lists and quotations of a text. Pictures are told by their words, links with their
    address.

    >>> told("Sow *early*.")[0]["children"][1]
    {'kind': 'emph', 'children': [{'kind': 'text', 'text': 'early'}]}
    """
    reader = MarkdownIt("commonmark", {"html": False})
    return _nodes(SyntaxTreeNode(reader.parse(text)).children)


def _nodes(nodes: Sequence[SyntaxTreeNode]) -> Told:
    return [made for node in nodes for made in _node(node)]


def _node(node: SyntaxTreeNode) -> Told:
    kind = node.type
    if kind in _INLINE:
        return [{"kind": _INLINE[kind], "children": _nodes(node.children)}]
    if kind in _BLOCKS:
        found: dict[str, Any] = {"kind": _BLOCKS[kind], "children": _nodes(node.children)}
        if kind == "ordered_list":
            found["start"] = int(node.attrs.get("start", 1))
        return [found]
    if kind == "list_item":
        return [{"kind": "item", "children": _nodes(node.children)}]
    if kind == "heading":
        return [{"kind": "heading", "children": _nodes(node.children)}]
    if kind == "link":
        address = str(node.attrs.get("href", ""))
        inner = _nodes(node.children)
        said = "".join(str(one.get("text", "")) for one in inner)
        return inner if address in (said, f"mailto:{said}") else [*inner, _text(f" ({address})")]
    if kind in ("softbreak", "hardbreak"):
        return [_text(" ")] if kind == "softbreak" else [{"kind": "break"}]
    if kind in ("fence", "code_block"):
        return [{"kind": "paragraph", "children": [_text(node.content)]}]
    if kind in ("text", "code_inline", "image"):
        return [_text(node.content)]
    return _nodes(node.children)  # a wrapper, such as inline


def _text(words: str) -> dict[str, Any]:
    return {"kind": "text", "text": words}
