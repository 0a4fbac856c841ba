"""Lengths as makers write them: 2 5/8 in, 67 mm, 1 3/8 yd, 1.3 m. Inside the program all are mm.

Sources: 1 in = 25.4 mm and 1 yd = 0.9144 m exactly (international yard and pound agreement, 1959). That
fabric is sold by 1/8 yd or by 10 cm, and patches are cut to 1/8 in or 5 mm: common practice, no source.
"""

from fractions import Fraction
from math import ceil, floor
from typing import Literal

from converter.model import Pattern
from converter.units import MM_PER_INCH

Units = Literal["in", "mm", "cm", "both"]  # "both": inches first, millimetres in brackets
Rounding = Literal["nearest", "up"]
UNITS: tuple[Units, ...] = ("in", "mm", "cm", "both")

MM_PER_YARD = 914.4
MM_PER_METRE = 1000.0
_EIGHTH = MM_PER_INCH / 8
_SLACK = 1e-3  # mm; a length this little above a mark counts as on it: pattern files round to 1e-4 mm
_UNSEEN = 0.05 + _SLACK  # mm; what is rounded by no more than a pencil line is not called rounded


def units_of(pattern: Pattern) -> Units:
    """The units that a set speaks in: those of its settings; where it has none, inches for blocks on inch marks."""
    said = pattern.settings.get("units")
    found = [units for units in UNITS if units == said]
    return found[0] if found else natural_units(pattern.block.width, pattern.block.height)


def natural_units(*lengths: float) -> Units:
    """Inches where every length (mm) lies on a sixteenth of an inch, else millimetres.

    >>> natural_units(76.2, 101.6), natural_units(75.0, 100.0)
    ('in', 'mm')
    """
    sixteenth = MM_PER_INCH / 16
    on_marks = all(abs(round_nearest(length, sixteenth) - length) <= _SLACK for length in lengths)
    return "in" if on_marks else "mm"


def is_metric(units: Units) -> bool:
    """Whether lengths are rounded to metric marks ("both" is led by inches)."""
    return units in ("mm", "cm")


def cut_step(units: Units) -> float:
    """The mark, in mm, that patches are rounded up to: 1/8 in or 5 mm."""
    return 5.0 if is_metric(units) else _EIGHTH


def fine_step(units: Units) -> float:
    """The mark, in mm, that finished sizes are rounded to: 1/8 in or 1 mm."""
    return 1.0 if is_metric(units) else _EIGHTH


def mark_step(units: Units) -> float:
    """The finest mark, in mm, that lengths are written to: 1/16 in or 1 mm."""
    return 1.0 if is_metric(units) else _EIGHTH / 2


def round_up(mm: float, step: float) -> float:
    """The next multiple of ``step`` that is not below ``mm`` (both mm).

    >>> round_up(60.0, 3.175), round_up(60.0, 5.0)
    (60.325, 60.0)
    """
    return round(ceil((mm - _SLACK) / step) * step, 6)


def round_down(mm: float, step: float) -> float:
    """The last multiple of ``step`` that is not above ``mm`` (both mm)."""
    return round(floor((mm + _SLACK) / step) * step, 6)


def round_nearest(mm: float, step: float) -> float:
    """The multiple of ``step`` nearest to ``mm``; halfway goes up."""
    return round(floor(mm / step + 0.5 + _SLACK / step) * step, 6)


def length_text(mm: float, units: Units, rounding: Rounding = "nearest") -> str:
    """One length with its unit; inches to 1/16, millimetres whole (below 10 mm to 0.1), cm to 0.1.

    One that is rounded to the nearest mark says "about"; what is rounded up is for the text around it to say.

    >>> length_text(66.675, "in"), length_text(66.675, "mm"), length_text(66.675, "both")
    ('2 5/8 in', 'about 67 mm', '2 5/8 in (about 67 mm)')
    """
    if units == "both":
        return f"{length_text(mm, 'in', rounding)} ({length_text(mm, 'mm', rounding)})"
    return f"{_about((mm,), units, rounding)}{_number(mm, units, rounding)} {units}"


def size_text(width: float, height: float, units: Units, rounding: Rounding = "nearest") -> str:
    """Width by height with their unit, rounded as :func:`length_text` does.

    >>> size_text(66.675, 76.2, "in"), size_text(66.675, 76.2, "cm")
    ('2 5/8 × 3 in', 'about 6.7 × 7.6 cm')
    """
    if units == "both":
        inches, metric = (size_text(width, height, u, rounding) for u in ("in", "mm"))
        return f"{inches} ({metric})"
    numbers = f"{_number(width, units, rounding)} × {_number(height, units, rounding)} {units}"
    return _about((width, height), units, rounding) + numbers


def measured_text(mm: float, units: Units) -> str:
    """A length as it was measured, to hold against a limit: to 0.1 mm (below 1 mm to 0.01), or to a thousandth of an
    inch.

    >>> measured_text(3.175, "in"), measured_text(3.14, "mm"), measured_text(3.14, "cm")
    ('0.125 in', '3.1 mm', '0.31 cm')
    """
    if units == "both":
        return f"{measured_text(mm, 'in')} ({measured_text(mm, 'mm')})"
    return f"{_measured(mm, units)} {units}"


def place_text(x: float, y: float, units: Units) -> str:
    """A place in a drawing, from its left and its top edge.

    >>> place_text(50.0, 3.25, "mm"), place_text(50.8, 3.175, "in")
    ('(50.0, 3.2) mm', '(2, 0.125) in')
    """
    if units == "both":
        return f"{place_text(x, y, 'in')} ({place_text(x, y, 'mm')})"
    x_text, y_text = (f"{mm:.1f}" if units == "mm" else _measured(mm, units) for mm in (x, y))
    return f"({x_text}, {y_text}) {units}"


def _measured(mm: float, units: Units) -> str:
    if units == "in":
        return f"{mm / MM_PER_INCH:.3f}".rstrip("0").rstrip(".")
    if units == "cm":
        return f"{mm / 10:.2f}"
    return f"{mm:.1f}" if abs(mm) >= 1 else f"{mm:.2f}"


def allowance_text(edge: float, inner: float, units: Units) -> str:
    """The seam allowances of a block: round it, and within it where that is another.

    >>> allowance_text(6.35, 6.35, "in"), allowance_text(6.35, 3.175, "in")
    ('1/4 in', '1/4 in round the block and 1/8 in within it')
    """
    if edge == inner:
        return length_text(edge, units)
    return f"{length_text(edge, units)} round the block and {length_text(inner, units)} within it"


def yards(mm: float) -> Fraction:
    """Yards of fabric to buy for a length, rounded up to 1/8 yd.

    >>> yards(914.4), yards(915.4)
    (Fraction(1, 1), Fraction(9, 8))
    """
    return Fraction(ceil((mm - _SLACK) / (MM_PER_YARD / 8)), 8)


def metres(mm: float) -> Fraction:
    """Metres of fabric to buy for a length, rounded up to 0.1 m.

    >>> metres(900.0), metres(901.0)
    (Fraction(9, 10), Fraction(1, 1))
    """
    return Fraction(ceil((mm - _SLACK) / (MM_PER_METRE / 10)), 10)


def fabric_text(mm: float, units: Units) -> str:
    """Length of fabric to buy, as a shop measures it.

    >>> fabric_text(1200.0, "in"), fabric_text(1200.0, "mm"), fabric_text(1200.0, "both")
    ('1 3/8 yd', '1.2 m', '1 3/8 yd (1.2 m)')
    """
    if units == "both":
        return f"{fabric_text(mm, 'in')} ({fabric_text(mm, 'mm')})"
    return f"{float(metres(mm)):.1f} m" if is_metric(units) else f"{_mixed(yards(mm))} yd"


def _number(mm: float, units: Units, rounding: Rounding) -> str:
    shown = _rounded(mm, units, rounding)
    if units == "in":
        return _mixed(Fraction(round(shown / (MM_PER_INCH / 16)), 16))
    return f"{shown / 10 if units == 'cm' else shown:.1f}".removesuffix(".0")


def _rounded(mm: float, units: Units, rounding: Rounding) -> float:
    step = MM_PER_INCH / 16 if units == "in" else 0.1 if units == "mm" and abs(mm) < 10 else 1.0
    return round_up(mm, step) if rounding == "up" else round_nearest(mm, step)


def _about(lengths: tuple[float, ...], units: Units, rounding: Rounding) -> str:
    if rounding == "up" or all(abs(_rounded(mm, units, rounding) - mm) <= _UNSEEN for mm in lengths):
        return ""
    return "about "


def _mixed(value: Fraction) -> str:
    sign, value = ("-", -value) if value < 0 else ("", value)
    whole, rest = divmod(value, 1)
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"
