"""Finished things beside each other at one scale, as they look when they hang, lie or are tied on: SVG."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from converter.words.canvas import FONT, Canvas, sheet
from converter.words.drawing import draw_cloth
from converter.words.making import MadeWords

Setting = Literal["hung", "on a drawer", "tied on"]
_GROUND = "#f3f1ec"
_SHADOW = "#22303a"
_WOOD, _WOOD_EDGE, _KNOB = "#b98e62", "#8f6a45", "#6d4f33"
_CORD = "#7d6a52"
_BINDING = 6.35  # mm of it that is seen from the front: common practice, no source
_GAP = 26.0  # mm of cloth between two things
_ROOM = {"hung": (46.0, 18.0, 0.0), "on a drawer": (34.0, 34.0, 52.0), "tied on": (58.0, 0.0, 0.0)}
# what a setting takes above, beside on either hand, and below, mm of cloth


@dataclass(frozen=True, slots=True)
class Shown:
    """One finished thing, and how it is used."""

    made: MadeWords
    setting: Setting

    @property
    def size(self) -> tuple[float, float]:
        """Width and height with its setting, mm of cloth."""
        above, beside, below = _ROOM[self.setting]
        layout = self.made.layout
        return layout.width + 2 * beside, layout.height + above + below


def display_svg(rows: Sequence[Sequence[Shown]], width: float = 260.0) -> str:
    """Rows of things, each row in the middle; all at one scale, the widest row filling ``width`` mm of paper."""
    wide = max(sum(s.size[0] for s in row) + _GAP * (len(row) - 1) for row in rows)
    high = sum(max(s.size[1] for s in row) for row in rows) + _GAP * (len(rows) - 1)
    scale = width / (wide + 2 * _GAP)
    size = (round(width, 3), round((high + 2 * _GAP) * scale, 3))
    drawing = sheet(size, FONT, _GROUND, rx=3)
    y = _GAP
    number = 0
    for row in rows:
        deep = max(s.size[1] for s in row)
        x = _GAP + (wide - sum(s.size[0] for s in row) - _GAP * (len(row) - 1)) / 2
        for shown in row:
            above, beside, _ = _ROOM[shown.setting]
            _draw(Canvas(drawing, scale, (x + beside) * scale, (y + above) * scale), shown, f"{number}-")
            number += 1
            x += shown.size[0] + _GAP
        y += deep + _GAP
    return str(drawing.tostring())


def _draw(canvas: Canvas, shown: Shown, prefix: str) -> None:
    layout = shown.made.layout
    draw = {"hung": _rod, "on a drawer": _drawer, "tied on": _no_ground}[shown.setting]
    draw(canvas, layout.width, layout.height)
    for more, opacity in ((3.0, 0.10), (1.6, 0.16)):
        _box(canvas, more, more, layout.width, layout.height, fill=_SHADOW, fill_opacity=opacity)
    draw_cloth(canvas, layout, shown.made.colouring, prefix)
    binding = shown.made.colouring.finishing.get("binding")
    if shown.made.finishing and binding:
        half = _BINDING / 2
        _box(
            canvas, half, half, layout.width - _BINDING, layout.height - _BINDING, fill="none",
            stroke=shown.made.colouring.fabrics[binding].colour, stroke_width=round(_BINDING * canvas.scale, 3),
        )  # fmt: skip
    if shown.setting == "tied on":
        _cord(canvas, layout.width)


def _rod(canvas: Canvas, width: float, height: float) -> None:
    """A rod above the cloth, on a cord over a nail."""
    del height
    drawing = canvas.drawing
    middle, over = width / 2, 14.0
    style = {"fill": "none", "stroke": _CORD, "stroke_width": 0.35, "stroke_linejoin": "round"}
    ends = [canvas.at(over, -6), canvas.at(middle, -44), canvas.at(width - over, -6)]
    drawing.add(drawing.polyline(ends, **style))
    drawing.add(drawing.circle(canvas.at(middle, -44), r=0.8, fill=_KNOB))
    for x in (width * share for share in (0.08, 0.36, 0.64, 0.92)):  # loops that carry the cloth
        _box(canvas, x - 6, -9, 12, 9, fill=_CORD)
    _box(canvas, -16, -9, width + 32, 6, fill=_WOOD, stroke=_WOOD_EDGE, stroke_width=0.2, rx=0.6)


def _drawer(canvas: Canvas, width: float, height: float) -> None:
    """The front of a drawer with a knob below the label."""
    above, beside, below = _ROOM["on a drawer"]
    _box(
        canvas, -beside, -above, width + 2 * beside, height + above + below,
        fill=_WOOD, stroke=_WOOD_EDGE, stroke_width=0.5, rx=1.2,
    )  # fmt: skip
    inset = 9.0
    _box(
        canvas, inset - beside, inset - above, width + 2 * (beside - inset), height + above + below - 2 * inset,
        fill="none", stroke=_WOOD_EDGE, stroke_width=0.25, rx=0.8,
    )  # fmt: skip
    drawing = canvas.drawing
    spot = canvas.at(width / 2, height + below / 2 - 1)
    radius = round(9.0 * canvas.scale, 3)
    drawing.add(drawing.circle((spot[0] + 0.4, spot[1] + 0.5), r=radius, fill=_SHADOW, fill_opacity=0.25))
    drawing.add(drawing.circle(spot, r=radius, fill=_KNOB))


def _no_ground(canvas: Canvas, width: float, height: float) -> None:
    del canvas, width, height


def _cord(canvas: Canvas, width: float) -> None:
    """An eyelet in the top strip with a loop of cord."""
    drawing = canvas.drawing
    x, y = canvas.at(width / 2, 11.0)
    unit = canvas.scale
    loop = (
        f"M{x} {y} C{round(x - 9 * unit, 3)} {round(y - 30 * unit, 3)} {round(x - 22 * unit, 3)} "
        f"{round(y - 62 * unit, 3)} {x} {round(y - 66 * unit, 3)} C{round(x + 22 * unit, 3)} "
        f"{round(y - 62 * unit, 3)} {round(x + 9 * unit, 3)} {round(y - 30 * unit, 3)} {x} {y}"
    )
    drawing.add(drawing.circle((x, y), r=round(5.0 * unit, 3), fill=_GROUND, stroke=_KNOB, stroke_width=0.35))
    drawing.add(drawing.path(loop, fill="none", stroke=_CORD, stroke_width=0.4))


def _box(canvas: Canvas, x: float, y: float, width: float, height: float, **style: Any) -> None:
    drawing = canvas.drawing
    drawing.add(drawing.rect(canvas.at(x, y), canvas.size(width, height), **style))
