"""Binding, backing and wadding for a finished piece of a given size.

All of this is common practice, no source:

- binding: strips 2 1/2 in wide, cut across the fabric, joined on the slant (each strip loses its own width
  to a join); length = round the edge + 10 in for corners and closing, so
  strips = ⌈(2 · (width + height) + 10 in) ÷ (usable width − strip width)⌉;
- backing: larger than the piece by 4 in on each side (2 in where no side is over 24 in); where it is wider
  than the fabric, equal panels side by side, each seam between them taking 1/2 in from both panels
  together, turned the way that needs less length;
- wadding: as large as the backing.
"""

from dataclasses import dataclass
from math import ceil

from converter.errors import InputError
from converter.fabric.cutting import Cut, Cutting
from converter.measures import is_metric, length_text, round_up, size_text

_BINDING_EXTRA = 254.0
_SMALL = 609.6
_OVERHANG, _SMALL_OVERHANG = 101.6, 50.8
_METRIC_OVERHANG, _METRIC_SMALL_OVERHANG = 100.0, 50.0
_SEAM = 12.7  # both allowances of the seam between two panels


@dataclass(frozen=True, slots=True)
class Finishing:
    """What finishes a piece, lengths in mm."""

    binding: Cut
    backing: Cut
    wadding: Cut  # not woven to the fabric's width: bought by its size
    binding_length: float  # the whole strip, once joined
    backing_size: tuple[float, float]
    overhang: float


def finish(
    width: float,
    height: float,
    cutting: Cutting,
    *,
    binding_width: float | None = None,
    overhang: float | None = None,
    binding_fabric: str = "binding",
    backing_fabric: str = "backing",
) -> Finishing:
    """Binding, backing and wadding for a finished piece of width × height mm.

    ``binding_width`` is that of the cut strip (2 1/2 in or 65 mm), ``overhang`` what backing and wadding are
    larger on each side. Raises :class:`InputError` for sizes that cannot be.
    """
    strip = binding_width if binding_width is not None else (65.0 if is_metric(cutting.units) else 63.5)
    if not (0 < width <= 20_000 and 0 < height <= 20_000):
        raise InputError(
            f"a piece of {size_text(width, height, cutting.units)} cannot be finished; check its size."
        )
    if not 10 <= strip <= 200:
        said, least, most = (length_text(w, cutting.units) for w in (strip, 10.0, 200.0))
        raise InputError(f"binding strips of {said}: give {least} to {most}.")
    large, small = (_OVERHANG, _SMALL_OVERHANG)
    if is_metric(cutting.units):
        large, small = (_METRIC_OVERHANG, _METRIC_SMALL_OVERHANG)
    usual = small if max(width, height) <= _SMALL else large
    more = overhang if overhang is not None else usual
    if not 0 <= more <= 1000:
        said, top = (length_text(w, cutting.units) for w in (more, 1000.0))
        raise InputError(f"overhang of {said}: give 0 to {top}.")
    round_the_edge = 2 * (width + height) + _BINDING_EXTRA
    strips = ceil((round_the_edge - 1e-6) / (cutting.fabric_width - strip))
    size = (width + 2 * more, height + 2 * more)
    return Finishing(
        binding=Cut("binding", binding_fabric, cutting.fabric_width, strip, strips, ("binding",), strips),
        backing=_panels(*size, cutting, backing_fabric),
        wadding=Cut("wadding", "wadding", max(size), min(size), 1, ("wadding",)),
        binding_length=round_the_edge,
        backing_size=size,
        overhang=more,
    )


def _panels(width: float, height: float, cutting: Cutting, fabric: str) -> Cut:
    options = []
    for across, along in ((width, height), (height, width)):
        count = max(1, ceil((across - _SEAM - 1e-6) / (cutting.fabric_width - _SEAM)))
        panel = round_up((across + (count - 1) * _SEAM) / count, cutting.step)
        options.append((count * along, count, min(panel, cutting.fabric_width), along))
    _, count, panel, along = min(options)
    return Cut("backing", fabric, max(along, panel), min(along, panel), count, ("backing",), count)
