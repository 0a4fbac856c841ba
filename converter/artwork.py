"""A designer's pictures (PNG, JPEG, SVG) made safe for pages: bounded, decoded and written anew, nothing else kept.

A PNG or JPEG becomes its pixels again, without what else the file may carry. An SVG becomes shapes and gradients only,
element by element and property by property from lists of what is allowed.
"""

import hashlib
import io
import math
import warnings
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

from PIL import Image, ImageOps

from converter.budgets import files as budgets
from converter.errors import InputError
from converter.files import read_file
from converter.model import Pattern
from converter.publication import FOLDER, Picture, Publication, publication_of
from converter.redesign.shapes import ShapeError, numbers, pixels
from converter.redesign.styles import Styles
from converter.redesign.xml import Node, parse_svg

LARGEST_SIDE = 2400  # pixels that are kept: 300 to the inch on a page's width
_ENDINGS = {"PNG": "png", "JPEG": "jpg"}

# SVG 1.1, chapters 5, 8, 9, 13, 14: what draws shapes, and nothing that runs, fetches or holds text or pictures.
_SHAPES = {
    "svg": {"viewBox", "preserveAspectRatio"},
    "g": set(),
    "defs": set(),
    "symbol": {"viewBox", "preserveAspectRatio"},
    "use": {"x", "y", "width", "height"},
    "path": {"d"},
    "rect": {"x", "y", "width", "height", "rx", "ry"},
    "circle": {"cx", "cy", "r"},
    "ellipse": {"cx", "cy", "rx", "ry"},
    "line": {"x1", "y1", "x2", "y2"},
    "polyline": {"points"},
    "polygon": {"points"},
    "linearGradient": {"x1", "y1", "x2", "y2", "gradientUnits", "gradientTransform", "spreadMethod"},
    "radialGradient": {"cx", "cy", "r", "fx", "fy", "gradientUnits", "gradientTransform", "spreadMethod"},
    "stop": {"offset"},
    "clipPath": {"clipPathUnits"},
}
_WITHOUT_MEANING = {
    "title",
    "desc",
    "metadata",
    "style",
    "a",
}  # left out without a word; of a link its shapes too
_PAINT = (
    "fill", "fill-opacity", "fill-rule", "stroke", "stroke-width", "stroke-opacity", "stroke-linecap",
    "stroke-linejoin", "stroke-miterlimit", "stroke-dasharray", "stroke-dashoffset", "opacity", "color",
    "stop-color", "stop-opacity", "clip-path", "clip-rule", "display", "visibility",
)  # fmt: skip
_ASKED = frozenset(_PAINT).union(*_SHAPES.values())
_SVG = "http://www.w3.org/2000/svg"


def read_pictures(paths: Mapping[str, str], beside: Path) -> tuple[dict[str, Picture], dict[str, bytes]]:
    """The pictures by ``cover`` and ``logo``, and their files by path in a converted folder.

    ``paths``: where they are, from the folder ``beside``. Raises :class:`InputError` for what is no picture, or far
    too large.
    """
    pictures, files = {}, {}
    for name, said in paths.items():
        path = beside / said
        picture, data = safe_picture(_read(path), name, path.name)
        pictures[name] = picture
        files[f"{FOLDER}/{picture.file}"] = data
    return pictures, files


def with_pictures(
    publication: Publication, paths: Mapping[str, str], settings_file: Path | None
) -> tuple[Publication, dict[str, bytes]]:
    """The publication with its pictures, which lie beside the file that names them; and their files."""
    if settings_file is None or not paths:
        return publication, {}
    pictures, files = read_pictures(paths, settings_file.parent)
    return replace(publication, cover=pictures.get("cover"), logo=pictures.get("logo")), files


def stored_pictures(folder: Path, pattern: Pattern) -> dict[str, bytes]:
    """The files of a set's cover and logo, by their names, from its converted folder.

    Raises :class:`InputError` where one is not what was put there.
    """
    said = publication_of(pattern)
    return {picture.file: _stored(folder, picture) for picture in (said.cover, said.logo) if picture}


def _stored(folder: Path, picture: Picture) -> bytes:
    path = folder / FOLDER / picture.file
    data = _read(path)
    if hashlib.sha256(data).hexdigest() != picture.sha256:
        raise InputError(
            f"{path}: is not the picture that was put there; run check or convert with --settings."
        )
    return data


def safe_picture(data: bytes, name: str, file: str) -> tuple[Picture, bytes]:
    """A picture and its clean file. ``name``: ``cover`` or ``logo``; ``file`` begins the messages."""
    start = data[:512].lstrip(b"\xef\xbb\xbf \t\r\n")
    if start.startswith(b"<"):
        clean, size, ending = *_clean_svg(data, file), "svg"
    else:
        clean, size, ending = _clean_pixels(data, file)
    digest = hashlib.sha256(clean).hexdigest()
    return Picture(f"{name}.{ending}", digest, *size), clean


def _read(path: Path) -> bytes:
    try:
        return read_file(path, budgets.PICTURE_BYTES.most)
    except FileNotFoundError:
        raise InputError(f"{path}: there is no such picture; check the path.") from None


def _clean_pixels(data: bytes, file: str) -> tuple[bytes, tuple[float, float], str]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            image: Image.Image = Image.open(io.BytesIO(data), formats=tuple(_ENDINGS))
        kind = image.format or ""
        if image.width * image.height > budgets.PIXELS.most:
            millions = image.width * image.height / 1e6
            raise InputError(f"{file}: {millions:.0f} million pixels are too many; make the picture smaller.")
        image = ImageOps.exif_transpose(image)
        has_holes = "A" in image.getbands() or "transparency" in image.info
        image = image.convert("RGBA" if has_holes else "RGB")
        image.thumbnail((LARGEST_SIDE, LARGEST_SIDE))
        clean = Image.new(image.mode, image.size)  # pixels alone: no profile, no place, no comment
        clean.paste(image)
        out = io.BytesIO()
        clean.save(out, kind, **({"quality": 90} if kind == "JPEG" else {"optimize": False}))
    except InputError:
        raise
    except Exception as error:  # a decoder meets damage in many ways
        del error
        raise InputError(f"{file}: is no PNG, JPEG or SVG picture that can be read.") from None
    return out.getvalue(), (float(clean.width), float(clean.height)), _ENDINGS[kind]


def _clean_svg(data: bytes, file: str) -> tuple[bytes, tuple[float, float]]:
    root = parse_svg(data, file, _ASKED)
    by_id = {node.get("id"): node for node in root.walk() if node.get("id")}
    copies = 0
    for node in root.walk():
        if node.tag == "use":
            target = by_id.get(node.get("href").removeprefix("#"))
            if target is None or any(inner.tag == "use" for inner in target.walk()):
                raise InputError(f"{file}: has copies of copies; save the picture as plain shapes.")
            copies += sum(1 for _ in target.walk())
    if copies > budgets.COPIES_IN_PICTURE.most:
        raise InputError(f"{file}: its copies draw too much; save the picture as plain shapes.")
    try:
        styles = Styles(
            ("".join(node.texts) for node in root.walk() if node.tag == "style"), frozenset(_PAINT)
        )
        clean = _clean_element(root, styles, by_id, file)
    except ShapeError as error:
        raise InputError(f"{file}: {error}.") from None
    width, height = _size(root, file)
    clean.set("width", f"{width:g}")
    clean.set("height", f"{height:g}")
    if not root.get("viewBox"):
        clean.set("viewBox", f"0 0 {width:g} {height:g}")
    ElementTree.register_namespace("", _SVG)
    return ElementTree.tostring(clean, encoding="utf-8"), (width, height)


def _clean_element(node: Node, styles: Styles, by_id: Mapping[str, Node], file: str) -> ElementTree.Element:
    tag = "g" if node.tag == "a" else node.tag
    clean = ElementTree.Element(f"{{{_SVG}}}{tag}")
    for name in sorted(_SHAPES[tag]):
        if value := node.get(name):
            clean.set(name, value)
    if node.get("id"):
        clean.set("id", node.get("id"))
    if tag not in ("svg", "stop") and node.get("transform"):
        clean.set("transform", node.get("transform"))
    said = styles.of(node)
    for name in _PAINT:
        if (paint := said.get(name)) and _is_harmless(paint, by_id):
            clean.set(name, paint)
    if tag in ("use", "linearGradient", "radialGradient") and node.get("href").startswith("#"):
        clean.set("href", node.get("href"))
    for child in node.children:
        if child.tag in _SHAPES or child.tag == "a":
            clean.append(_clean_element(child, styles, by_id, file))
        elif child.tag not in _WITHOUT_MEANING:
            hint = (
                "turn texts into paths"
                if child.tag in ("text", "tspan")
                else "save it as plain shapes, or as PNG"
            )
            raise InputError(f"{file}: an element {child.tag[:40]!r} is not taken in a picture; {hint}.")
    return clean


def _is_harmless(value: str, by_id: Mapping[str, Node]) -> bool:
    """Whether a property's value refers to nothing but an element of the same drawing."""
    if "url" not in value.lower():
        return "(" not in value or value.lower().startswith(("rgb(", "rgba(", "hsl(", "hsla("))
    inside = value.removeprefix("url(").partition(")")[0].strip("\"' ")
    return value.startswith("url(") and inside.startswith("#") and inside[1:] in by_id


def _size(root: Node, file: str) -> tuple[float, float]:
    """The drawing's proportions, from its view box or else its width and height."""
    try:
        box = numbers(root.get("viewBox"))
        sides = (box[2], box[3]) if len(box) == 4 else (pixels(root.get("width")), pixels(root.get("height")))
    except ShapeError:
        sides = (0.0, 0.0)
    if not all(math.isfinite(side) and 0 < side < 1e6 for side in sides):
        raise InputError(f"{file}: the picture has no size; give it a width and a height.")
    return sides[0], sides[1]
