"""Letters of the sample fonts and of a slab, converted once for all tests that look at them."""

from concurrent.futures import ProcessPoolExecutor
from functools import cache

from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.pipeline import Conversion, convert
from converter.settings import Settings
from tests.fonts.makers import SLAB_FONT, TEXT_FONTS

# Every letter and figure at least once, those that must be one section or symmetric in two or three faces.
LETTERS = {
    "bold sans": (TEXT_FONTS[0], "ABCDEFHIKLMNOQRSTUVXYZ13489"),
    "geometric": (TEXT_FONTS[1], "EFHILTVCQSX69"),
    "slab": (SLAB_FONT, "AGHIJLOPTVXZ067"),
    "rounded": (TEXT_FONTS[2], "ACDEFHIJLMNOTVWXYZ0245"),
}


@cache
def conversions() -> dict[str, Conversion]:
    """The four runs, at the default settings."""
    made = {}
    with ProcessPoolExecutor(2) as executor:
        for name, (path, text) in LETTERS.items():
            font = load_font(path)
            glyphs = choose_glyphs(font, text=text).glyphs
            made[name] = convert(font, glyphs, judge_licence(font, path.parent), Settings(), executor)
    return made
