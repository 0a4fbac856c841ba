"""What straightening is to aim at, from the settings of a set: for a font's letters and for a hand's curves."""

from converter.settings import DETAILS, Settings
from converter.straighten.finish.alternatives import Wish


def wish_of(settings: Settings) -> Wish:
    """The wish that settings, as they hold for one glyph, come to."""
    detail = DETAILS[settings.detail]
    return Wish(
        min_piece_width=settings.min_piece_width,
        grid=settings.grid,
        section_price=settings.section_price,
        truth=detail.truth,
        level=detail.level,
        least_overlap=settings.limits["overlap-review"] + 0.0007,
        farthest=settings.limits["distance-review"] * 0.99,
        sharpest_corner=settings.limits["sharp-corner"],
        budget=settings.budget,
        effort=settings.effort,
    )
