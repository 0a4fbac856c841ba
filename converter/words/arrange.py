"""Where blocks and strips go, once every width is known."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from converter.measures import round_nearest
from converter.model import Glyph
from converter.words.frames import Sides
from converter.words.parts import Align, PlacedBlock, Step, Strip, StripKind
from converter.words.text import Line, label

_NOTHING = 1e-6  # mm


@dataclass(frozen=True, slots=True)
class Cell:
    """What a glyph takes up in a row: its block, and the frame round it."""

    width: float
    height: float
    frame: Sides = field(default_factory=Sides)
    fill: float = 0.0  # width that a block of fixed width is filled up by
    after: Mapping[str, float] = field(
        default_factory=dict
    )  # strips before blocks of these keys, more than spacing

    @property
    def framed_width(self) -> float:
        """Block and frame, without the fill."""
        return self.width + self.frame.left + self.frame.right

    @property
    def framed_height(self) -> float:
        """Height of the row that it stands in."""
        return self.height + self.frame.top + self.frame.bottom


@dataclass(frozen=True, slots=True)
class Spaces:
    """Widths of all that is not a block, mm."""

    spacing: float
    word_space: float
    line_strip: float
    border: Sides
    align: Align
    step: float  # fillers are rounded to it


@dataclass
class Arranged:
    """What came of it; filled row by row."""

    blocks: list[PlacedBlock] = field(default_factory=list)
    strips: list[Strip] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)
    width: float = 0.0
    height: float = 0.0

    def strip(self, kind: StripKind, x: float, y: float, width: float, height: float) -> str:
        """Adds a strip and tells its id; empty where it has no width."""
        if width <= _NOTHING or height <= _NOTHING:
            return ""
        strip_id = f"s{len(self.strips) + 1}"
        self.strips.append(Strip(strip_id, kind, x, y, width, height))
        return strip_id


def natural_size(lines: Sequence[Line], cells: Mapping[str, Cell], spaces: Spaces) -> tuple[float, float]:
    """Finished width and height with the border."""
    height = next(iter(cells.values())).framed_height
    lines_high = len(lines) * height + (len(lines) - 1) * spaces.line_strip
    width = max(_row_width(line, cells, spaces) for line in lines)
    border = spaces.border
    return width + border.left + border.right, lines_high + border.top + border.bottom


def arrange(lines: Sequence[Line], cells: Mapping[str, Cell], spaces: Spaces) -> Arranged:
    """Every block and strip in its place, and the steps that sew them together.

    ``cells`` by glyph key, all of one framed height. The border's sides run between its top and bottom.
    """
    made = Arranged()
    made.width, made.height = natural_size(lines, cells, spaces)
    border = spaces.border
    inner = made.width - border.left - border.right
    row_height = next(iter(cells.values())).framed_height
    y = border.top
    parts: list[str] = []
    row = word = 0
    pending = 0.0
    for line in lines:
        if not line.words:  # an empty line is room, sewn as one strip with the strips round it
            pending += row_height + spaces.line_strip
            continue
        if row:
            pending += spaces.line_strip
        if pending:
            parts.append(made.strip("line", border.left, y, inner, pending))
            y, pending = y + pending, 0.0
        row += 1
        parts.append(_row(made, line, cells, spaces, row, word, (border.left, y, inner)))
        word += len(line.words)
        y += row_height
    centre = _step(made, "all rows", parts, "down", "Join the rows and line strips from top to bottom")
    deep = made.height - border.top - border.bottom
    left = made.strip("border", 0.0, border.top, border.left, deep)
    right = made.strip("border", made.width - border.right, border.top, border.right, deep)
    sides = _step(made, "rows and side borders", [left, centre, right], "across", "Add the side borders")
    top = made.strip("border", 0.0, 0.0, made.width, border.top)
    bottom = made.strip("border", 0.0, made.height - border.bottom, made.width, border.bottom)
    _step(made, "the whole", [top, sides, bottom], "down", "Add the borders at top and bottom")
    return made


def _row_width(line: Line, cells: Mapping[str, Cell], spaces: Spaces) -> float:
    blocks = sum(cells[g.key].framed_width + cells[g.key].fill for word in line.words for g in word)
    between = sum(
        spaces.spacing + cells[one.key].after.get(two.key, 0.0)
        for word in line.words
        for one, two in pairwise(word)
    )
    return blocks + between + sum(line.gaps) * spaces.word_space


def _row(
    made: Arranged,
    line: Line,
    cells: Mapping[str, Cell],
    spaces: Spaces,
    row: int,
    first_word: int,
    room: tuple[float, float, float],
) -> str:
    left, y, inner = room
    over = max(inner - _row_width(line, cells, spaces), 0.0)
    before = {"left": 0.0, "right": over, "centre": min(over, round_nearest(over / 2, spaces.step))}[
        spaces.align
    ]
    height = next(iter(cells.values())).framed_height
    parts: list[str] = []
    x, gap, number = left, before, 0
    kind: StripKind = "filler"
    for index, word in enumerate(line.words):
        for position, glyph in enumerate(word):
            if position:
                own = cells[word[position - 1].key].after.get(glyph.key, 0.0)
                gap, kind = gap + spaces.spacing + own, "spacing"
            elif index:
                gap, kind = gap + line.gaps[index - 1] * spaces.word_space, "word space"
            cell = cells[glyph.key]
            fill = round_nearest(cell.fill / 2, spaces.step) if cell.fill else 0.0
            gap += min(fill, cell.fill)
            parts.append(made.strip(kind, x, y, gap, height))
            x += gap
            number += 1
            parts.append(_block(made, glyph, cell, f"{row}.{number}", first_word + index, x, y))
            x, gap = x + cell.framed_width, cell.fill - min(fill, cell.fill)
    parts.append(made.strip("filler", x, y, left + inner - x, height))
    name = f"row {row}"
    return _step(made, name, parts, "across", f"Join row {row} from left to right")


def _block(made: Arranged, glyph: Glyph, cell: Cell, block_id: str, word: int, x: float, y: float) -> str:
    frame = cell.frame
    inner_x, inner_y = x + frame.left, y + frame.top
    made.blocks.append(
        PlacedBlock(block_id, glyph.key, label(glyph), word, inner_x, inner_y, cell.width, cell.height)
    )
    left = made.strip("frame", x, inner_y, frame.left, cell.height)
    right = made.strip("frame", inner_x + cell.width, inner_y, frame.right, cell.height)
    top = made.strip("frame", x, y, cell.framed_width, frame.top)
    bottom = made.strip("frame", x, inner_y + cell.height, cell.framed_width, frame.bottom)
    text = f"Frame block {block_id} ({label(glyph)})"
    beside, over = f"{text}: left and right", f"{text}: top and bottom"
    sides = _step(made, f"{block_id} with sides", [left, block_id, right], "across", beside, block_id)
    return _step(made, f"{block_id} framed", [top, sides, bottom], "down", over, block_id)


def _step(
    made: Arranged, makes: str, parts: Sequence[str], direction: str, text: str, frames: str = ""
) -> str:
    """Adds a step and tells what it makes; a single part needs no seam and stays what it is."""
    there = tuple(part for part in parts if part)
    if len(there) == 1:
        return there[0]
    made.steps.append(
        Step(
            makes,
            there,
            "across" if direction == "across" else "down",
            f"{text}: {', '.join(there)}.",
            frames,
        )
    )
    return makes
