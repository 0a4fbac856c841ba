"""Names as single lines that a machine can draw or score: the Simplex face of Hershey's vector fonts."""

from functools import cache
from typing import Any

from HersheyFonts import HersheyFonts

from converter.drawing.labels import CAP_HEIGHT
from converter.model import Point

Strokes = tuple[tuple[Point, ...], ...]  # polylines, mm


@cache
def _face() -> Any:
    face = HersheyFonts()
    face.load_default_font("futural")
    return face


def name_strokes(text: str, middle: Point, size: float) -> Strokes:
    """The lines of an ASCII text, centred on a point; ``size`` is the em in mm, y down."""
    strokes = [[(float(x), float(y)) for x, y in stroke] for stroke in _face().strokes_for_text(text)]
    if not strokes:
        return ()
    capital = [y for stroke in _face().strokes_for_text("H") for _, y in stroke]
    low, high = min(capital), max(capital)
    left, right = (pick(x for stroke in strokes for x, _ in stroke) for pick in (min, max))
    scale = size * CAP_HEIGHT / (high - low)
    return tuple(
        tuple(
            (
                round(middle[0] + (x - (left + right) / 2) * scale, 4),
                round(middle[1] + (y - (low + high) / 2) * scale, 4),
            )
            for x, y in stroke
        )
        for stroke in strokes
    )
