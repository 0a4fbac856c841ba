"""Reads printed pages back with pdfplumber (lengths and texts) and pypdfium2 (pictures); all lengths in mm."""

from collections.abc import Iterable, Iterator
from ctypes import byref
from dataclasses import dataclass
from functools import cached_property
from io import BytesIO
from itertools import pairwise
from math import atan2, degrees, hypot

import numpy as np
import pdfplumber
import pypdfium2
import pypdfium2.raw as raw
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

MM = 25.4 / 72  # ISO 32000-1, 8.3.2.3: a unit of user space is 1/72 in
Point = tuple[float, float]


@dataclass(frozen=True)
class Run:
    """Characters written one after the other in one direction."""

    text: str
    middle: Point
    size: float


class Page:
    """One page: polygons, straight segments and runs of text, y down from the top of the page."""

    def __init__(self, page: pdfplumber.page.Page) -> None:
        self._page = page
        self.width, self.height = page.width * MM, page.height * MM

    @cached_property
    def paths(self) -> list[tuple[Point, ...]]:
        found = []
        for shape in (*self._page.curves, *self._page.rects, *self._page.lines):
            points = [(x * MM, y * MM) for x, y in shape["pts"]]
            if "rect" in shape["object_type"] or (
                len(points) > 2 and any(command[0] == "h" for command in shape.get("path") or ())
            ):
                points.append(points[0])
            found.append(tuple(points))
        return found

    @cached_property
    def polygons(self) -> list[Polygon]:
        closed = [
            p for p in self.paths if len(p) > 3 and hypot(p[0][0] - p[-1][0], p[0][1] - p[-1][1]) < 1e-3
        ]
        return [Polygon(p) for p in closed if Polygon(p).area > 1]

    @cached_property
    def segments(self) -> list[LineString]:
        return [
            LineString((a, b))
            for path in self.paths
            for a, b in pairwise(path)
            if hypot(a[0] - b[0], a[1] - b[1]) > 1e-3
        ]

    @cached_property
    def drawn(self) -> BaseGeometry:
        """All long lines, 0.05 mm wider to each side than a line without width."""
        return shapely.union_all([s.buffer(0.05) for s in self.segments if s.length > 1.5])

    @cached_property
    def runs(self) -> list[Run]:
        return list(_runs(self._page.chars, self._page.height))

    def squares(self, side: float) -> list[Polygon]:
        """Upright squares with sides of that length, within 0.05 mm."""
        found = []
        for polygon in self.polygons:
            left, top, right, bottom = polygon.bounds
            if abs(right - left - side) <= 0.05 and abs(bottom - top - side) <= 0.05:
                found.append(polygon)
        return found


def read(pdf: bytes) -> list[Page]:
    return [Page(page) for page in pdfplumber.open(BytesIO(pdf)).pages]


def render(pdf: bytes, dpi: int) -> Iterator[np.ndarray]:
    """Each page as grey values, 255 is white."""
    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            yield np.squeeze(page.render(scale=dpi / 72, grayscale=True).to_numpy())


def letter_sizes(pdf: bytes) -> Iterator[tuple[int, str, float]]:
    """Page from 1, character and em in pt as printed (ISO 32000-1, 9.4.4), of all that is no space."""
    with pypdfium2.PdfDocument(pdf) as document:
        for number, page in enumerate(document, 1):
            text, matrix = page.get_textpage(), raw.FS_MATRIX()
            for n in range(text.count_chars()):
                raw.FPDFText_GetMatrix(text.raw, n, byref(matrix))
                character = text.get_text_range(n, 1)
                if character.strip():
                    yield number, character, raw.FPDFText_GetFontSize(text.raw, n) * hypot(matrix.c, matrix.d)


def _runs(chars: list[dict], height: float) -> Iterator[Run]:
    current: list[dict] = []
    for char in chars:
        if current and not _continues(current[-1], char):
            yield _run(current, height)
            current = []
        current.append(char)
    if current:
        yield _run(current, height)


def _continues(before: dict, after: dict) -> bool:
    a, b = before["matrix"], after["matrix"]
    turned = any(abs(x - y) > 1e-3 for x, y in zip(a[:4], b[:4], strict=True))
    scale, angle = hypot(a[0], a[1]), atan2(a[1], a[0])
    dx, dy = b[4] - a[4], b[5] - a[5]
    ahead, aside = dx * np.cos(angle) + dy * np.sin(angle), dy * np.cos(angle) - dx * np.sin(angle)
    return (
        not turned
        and abs(ahead - before["adv"] * scale) < 0.2 * after["size"]
        and abs(aside) < 0.1 * after["size"]
    )


def _run(chars: list[dict], height: float) -> Run:
    box = (
        min(c["x0"] for c in chars),
        min(c["top"] for c in chars),
        max(c["x1"] for c in chars),
        max(c["bottom"] for c in chars),
    )
    return Run(
        "".join(c["text"] for c in chars).strip(),
        ((box[0] + box[2]) / 2 * MM, (box[1] + box[3]) / 2 * MM),
        chars[0]["size"] * MM,
    )


def place(
    shape: Polygon, among: Iterable[Polygon], tolerance: float = 0.05
) -> Iterator[tuple[int, np.ndarray]]:
    """Where a polygon lies among others: index and map [a, b, c, d, e, f], turned by quarters, never mirrored."""
    for index, other in enumerate(among):
        if abs(other.area - shape.area) > max(1.0, 0.01 * shape.area):
            continue
        for quarter in range(4):
            turned = shapely.affinity.rotate(shape, 90 * quarter, origin=(0, 0))
            dx, dy = other.bounds[0] - turned.bounds[0], other.bounds[1] - turned.bounds[1]
            moved = shapely.affinity.translate(turned, dx, dy)
            if moved.exterior.hausdorff_distance(other.exterior) <= tolerance:
                c, s = [(1, 0), (0, 1), (-1, 0), (0, -1)][quarter]
                yield index, np.array([c, -s, s, c, dx, dy], dtype=float)


def direction(line: LineString) -> float:
    """Of a segment, degrees from 0 to below 180."""
    (ax, ay), (bx, by) = line.coords
    return degrees(atan2(by - ay, bx - ax)) % 180
