"""Where a text can stand: inside its piece, or beside it with a leader; never on a line that is sewn."""

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot

import shapely
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from converter.drawing.shapes import barred_for_box, box, hull, room_for_box, turned
from converter.model import Glyph, Point, Ring

CAP_HEIGHT = 0.73  # em; the height of H in DejaVu Sans (1493 of 2048)
# em a character: as in DejaVu Sans for numbers, in DejaVu Sans Bold for all else; no label font is wider.
DIGIT, SMALL, CAPITAL, WIDE = 0.64, 0.72, 0.86, 1.11
CLEAR = 0.45  # mm between a text and any line: a pen width and a little air


@dataclass(frozen=True, slots=True)
class Sizes:
    """The largest and the smallest em, in mm, that a text may be set in."""

    most: float
    least: float

    def ladder(self) -> list[float]:
        """From the largest to the smallest in even steps."""
        if self.most <= self.least:
            return [self.least]
        steps = 6
        return [self.most * (self.least / self.most) ** (k / steps) for k in range(steps + 1)]


@dataclass(frozen=True, slots=True)
class Label:
    """A text and where its middle stands; ``leader`` runs from the text to the dot in the piece."""

    text: str
    middle: Point
    size: float
    angle: float = 0.0
    leader: tuple[Point, Point] | None = None

    def box(self, height: float = 0.0) -> Ring:
        """The corners of the box round the text, at least as high as ``height``."""
        width, own = extent(self.text, self.size)
        upright = box((0.0, 0.0), width, max(own, height))
        x, y = self.middle
        return tuple((x + dx, y + dy) for dx, dy in turned(upright, self.angle))


def extent(text: str, size: float) -> tuple[float, float]:
    """Width and height in mm of a text; never less than what it takes in the fonts that are used."""
    ems = len(text) * DIGIT if text.isdigit() else sum(_advance(c) for c in text)
    return size * ems, CAP_HEIGHT * size


def _advance(character: str) -> float:
    if character in "MWmw%@" or not character.isascii():
        return WIDE
    return SMALL if character.islower() or character.isdigit() or character == " " else CAPITAL


Cell = tuple[Ring, Ring | None]  # a convex polygon where a text may stand, and what is cut out of it


def inside(
    text: str,
    ring: Ring,
    sizes: Sizes,
    barred: Sequence[Ring] = (),
    near: Point | None = None,
    clear: float = CLEAR,
) -> Label | None:
    """The largest label that keeps clear of a convex polygon's sides and of ``barred`` shapes.

    As near as can be to ``near``, or else in the middle. None where not even the smallest fits.
    """
    for size in sizes.ladder():
        middle = _spot(ring, extent(text, size), barred, near, clear)
        if middle:
            return Label(text, middle, size)
    return None


def along(
    text: str, ring: Ring, angle: float, sizes: Sizes, barred: Sequence[Ring], near: Point
) -> Label | None:
    """As :func:`inside`, with the text turned by ``angle`` degrees."""
    found = inside(
        text, turned(ring, -angle), sizes, [turned(b, -angle) for b in barred], turned([near], -angle)[0]
    )
    if found is None:
        return None
    return Label(text, turned([found.middle], angle)[0], found.size, angle)


def box_along(
    size: tuple[float, float], ring: Ring, angle: float, barred: Sequence[Ring], near: Point
) -> Point | None:
    """Where the middle of a box of that width and height, turned by ``angle`` degrees, may lie in a polygon."""
    middle = _spot(turned(ring, -angle), size, [turned(b, -angle) for b in barred], turned([near], -angle)[0])
    return turned([middle], angle)[0] if middle else None


def beside(
    text: str,
    piece: Ring,
    cells: Iterable[Cell],
    size: float,
    barred: Sequence[Ring],
    boxes: Sequence[Ring],
    clear: float = CLEAR,
) -> Label | None:
    """A label outside its piece, as near as can be, with a leader to a dot in the piece.

    It stands in one of the ``cells``, keeps off what is ``barred``, and its leader crosses none of the
    ``boxes``. None where there is no such place.
    """
    dot = pole(piece)
    room = _room(tuple(cells), extent(text, size), [*barred, *boxes], clear)
    if room.is_empty:
        return None
    edges = shapely.get_coordinates(shapely.segmentize(room.boundary, 1.0))
    places = sorted((round(hypot(x - dot[0], y - dot[1]), 6), float(x), float(y)) for x, y in edges)
    closed = shapely.union_all([hull(b) for b in boxes])
    for _, x, y in places:
        end = _leave_box((x, y), dot, *extent(text, size), clear)
        leader = LineString([end, dot])
        if not leader.intersects(closed):
            return Label(text, (x, y), size, 0.0, (end, dot))
    return None


def number_labels(
    pieces: Sequence[tuple[str, Ring]],
    sizes: Sizes,
    *,
    beside_in: Sequence[Sequence[Cell]] = (),
    barred: Sequence[Ring] = (),
    clear: float = CLEAR,
) -> list[Label]:
    """One label a piece, in order: inside where it can be read there, else beside with a leader.

    Beside means as near as can be in the first of the groups of cells that has room, or else in another
    piece. Where there is no such place the label shrinks into its piece, or stands in its middle at last.
    ``clear``: mm between a text and any line.
    """
    found = {text: inside(text, ring, sizes, barred, clear=clear) for text, ring in pieces}
    homeless = [(text, ring) for text, ring in pieces if not found[text]]
    cells = [*beside_in, [(ring, None) for _, ring in pieces]]
    boxes = [label.box() for label in found.values() if label]
    outside = _all_beside(homeless, cells, sizes.least, barred, boxes, clear)
    if None in outside.values():  # one may have stood in the way of the next
        backwards = _all_beside(homeless[::-1], cells, sizes.least, barred, boxes, clear)
        outside = min(outside, backwards, key=lambda labels: list(labels.values()).count(None))
    smaller = Sizes(sizes.least, sizes.least / 4)
    return [
        found[text]
        or outside[text]
        or inside(text, ring, smaller, barred, clear=clear)
        or Label(text, pole(ring), sizes.least)
        for text, ring in pieces
    ]


def _all_beside(
    pieces: Sequence[tuple[str, Ring]],
    cells: Sequence[Sequence[Cell]],
    size: float,
    barred: Sequence[Ring],
    boxes: Sequence[Ring],
    clear: float,
) -> dict[str, Label | None]:
    """Labels beside their pieces, one after the other; each keeps off the dots of those to come."""
    boxes = list(boxes)
    dots = {text: box(pole(ring), clear, clear) for text, ring in pieces}
    found: dict[str, Label | None] = {}
    for text, ring in pieces:
        del dots[text]
        tries = (beside(text, ring, group, size, barred, [*boxes, *dots.values()], clear) for group in cells)
        label = found[text] = next(filter(None, tries), None)
        if label:
            boxes += [label.box(), label.leader or ()]
    return found


def pole(ring: Ring) -> Point:
    """The point of a polygon that is furthest from its sides."""
    middle = shapely.maximum_inscribed_circle(Polygon(ring), tolerance=0.05).coords[0]
    return middle[0], middle[1]


def inner_radius(ring: Ring) -> float:
    """Radius of the largest circle in a polygon."""
    return float(shapely.maximum_inscribed_circle(Polygon(ring), tolerance=0.05).length)


def tag(glyph: Glyph) -> str:
    """What a template is called, so that a cut-out one is never lost or mixed up with another.

    A capital stands for itself; what looks like something else (small letters, digits, signs) has a word with
    it; what cannot be printed is called by its name.
    """
    text, kind = glyph.text, unicodedata.category(glyph.text[0]) if glyph.text else "Cn"
    word = glyph.name or " ".join(f"U+{c:04X}" for c in glyph.codepoints) or glyph.key
    if kind[0] in "CZM" or any(ord(c) >= 0x530 for c in text):  # label fonts hold Latin, Greek and Cyrillic
        return word
    if len(text) == 1 and kind == "Ll":
        return f"{text} small"
    if kind[0] in "NPS" and word != text:
        return f"{text} {word}"
    return text


def _spot(
    ring: Ring,
    size: tuple[float, float],
    barred: Sequence[Ring],
    near: Point | None,
    clear: float = CLEAR,
) -> Point | None:
    """A place for the middle of a box in a polygon: nearest to ``near``, or else as central as can be."""
    room = _room(((ring, None),), size, barred, clear)
    if room.is_empty:
        return None
    if near is not None:
        middle = shapely.shortest_line(room, shapely.Point(near)).interpolate(0)
    elif room.intersects(room.centroid):
        middle = room.centroid
    else:
        middle = room.representative_point()
    return middle.x, middle.y


def _room(
    cells: Sequence[Cell], size: tuple[float, float], barred: Sequence[Ring], clear: float
) -> MultiPolygon | Polygon:
    width, height = size
    bars = shapely.union_all([barred_for_box(shape, width, height, clear) for shape in barred])
    rooms = []
    for ring, hole in cells:
        corners = room_for_box(ring, width, height, clear)
        if len(corners) < 3:
            continue
        room: BaseGeometry = Polygon(corners).difference(bars)
        if hole:
            room = room.difference(barred_for_box(hole, width, height, clear))
        rooms += [p for p in shapely.get_parts(room) if isinstance(p, Polygon) and p.area > 1e-6]
    return MultiPolygon(rooms)


def _leave_box(middle: Point, to: Point, width: float, height: float, clear: float) -> Point:
    """Where the way from a box's middle leaves the box and a little air."""
    dx, dy = to[0] - middle[0], to[1] - middle[1]
    w, h = width / 2 + clear / 2, height / 2 + clear / 2
    share = min(w / abs(dx) if dx else 1.0, h / abs(dy) if dy else 1.0, 1.0)
    return middle[0] + dx * share, middle[1] + dy * share
