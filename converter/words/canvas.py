"""The paper that layouts are drawn on: SVG, mm on paper, with a scale of its own and the sizes written round it."""

from dataclasses import dataclass
from typing import Any

import svgwrite

from converter.measures import Units, length_text, size_text
from converter.model import Point
from converter.words.parts import Layout

PAPER = (260.0, 170.0)  # a layout is drawn as large as fits in this, never larger than it is
FONT = "Helvetica, Arial, sans-serif"
RULE = "#5b6770"
TEXT = "#22303a"
_MARGIN = 1.0
_CAPTIONED = (16.0, 12.0, 4.0, 9.0)  # left, top, right, bottom
_TEXT_SIZE = 3.4
_EM = 0.56  # em a character of the caption: digits and small letters


@dataclass(frozen=True, slots=True)
class Canvas:
    """A drawing, and where on it and how large a layout is drawn; ``at`` and ``size`` put things there."""

    drawing: Any
    scale: float
    left: float = 0.0
    top: float = 0.0
    caption: str = ""

    @classmethod
    def fitting(
        cls,
        wide: float,
        high: float,
        paper: tuple[float, float],
        font: str,
        *,
        caption: str = "",
        origin: Point = (0.0, 0.0),
    ) -> "Canvas":
        """A sheet of its own for a rectangle of wide × high mm, as large as fits in ``paper``, not above true size."""
        scale = min(paper[0] / wide, paper[1] / high, 1.0)
        left, top, right, bottom = _CAPTIONED if caption else (_MARGIN,) * 4
        width, height = wide * scale + left + right, high * scale + top + bottom
        if caption:
            width = max(width, left + len(caption) * _EM * _TEXT_SIZE + right)
        drawing = sheet((round(width, 3), round(height, 3)), font)
        return cls(drawing, scale, left - origin[0] * scale, top - origin[1] * scale, caption)

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A place of the layout on paper."""
        return round(self.left + x * self.scale, 3), round(self.top + y * self.scale, 3)

    def size(self, width: float, height: float) -> tuple[float, float]:
        """A size of the layout on paper."""
        return round(width * self.scale, 3), round(height * self.scale, 3)

    def group(self, name: str, parent: Any = None, **style: object) -> Any:
        """A new group on top of what is there."""
        return (self.drawing if parent is None else parent).add(self.drawing.g(id=name, **style))

    def text(self) -> str:
        """The drawing as SVG text."""
        return str(self.drawing.tostring())


def sheet(size: tuple[float, float], font: str, ground: str = "#ffffff", **shape: float) -> Any:
    """An empty sheet of that size, mm; texts on it are set in the font. ``shape``: more of the ground's attributes."""
    drawing = svgwrite.Drawing(
        size=(f"{size[0]}mm", f"{size[1]}mm"),
        viewBox=f"0 0 {size[0]} {size[1]}",
        font_family=font,
        debug=False,
    )
    drawing.add(drawing.rect((0, 0), size, fill=ground, **shape))
    return drawing


def caption(layout: Layout, units: Units) -> str:
    """The sizes with and without seam allowance."""
    finished = size_text(layout.width, layout.height, units)
    return f"finished {finished}; with seam allowance {size_text(*layout.unfinished, units)}"


def draw_measures(canvas: Canvas, layout: Layout, units: Units) -> None:
    """Width and height along two sides, and the caption below."""
    drawing = canvas.drawing
    lines = canvas.group("measures", stroke=RULE, stroke_width=0.2, fill="none")
    text = canvas.group("sizes", font_size=_TEXT_SIZE, fill=TEXT)
    (x0, y0), (x1, y1) = canvas.at(0, 0), canvas.at(layout.width, layout.height)
    lines.add(drawing.line((x0, y0 - 3), (x1, y0 - 3)))
    lines.add(drawing.line((x0 - 3, y0), (x0 - 3, y1)))
    for x in (x0, x1):
        lines.add(drawing.line((x, y0 - 4.2), (x, y0 - 1.8)))
    for y in (y0, y1):
        lines.add(drawing.line((x0 - 4.2, y), (x0 - 1.8, y)))
    middle = (round((x0 + x1) / 2, 3), round((y0 + y1) / 2, 3))
    wide = drawing.text(length_text(layout.width, units), (middle[0], y0 - 5), text_anchor="middle")
    text.add(wide)
    turn = f"rotate(-90 {x0 - 5} {middle[1]})"
    high = length_text(layout.height, units)
    text.add(drawing.text(high, (x0 - 5, middle[1]), text_anchor="middle", transform=turn))
    text.add(drawing.text(canvas.caption, (x0, round(y1 + 6.5, 3))))
