"""Font in, sewable foundation-pieced blocks out.

A font is opened and its licence judged; some of its glyphs are chosen and converted; the set is written:

>>> from pathlib import Path
>>> from tempfile import TemporaryDirectory
>>> from converter import Settings, choose_glyphs, convert, judge_licence, load_font, read_pattern, write_set
>>> path = Path("sample_fonts/jost/jost-latin-800-normal.woff2")
>>> font = load_font(path)
>>> chosen = choose_glyphs(font, text="I")
>>> conversion = convert(font, chosen.glyphs, judge_licence(font, path.parent), Settings(block=(75, 100)))
>>> [(glyph.text, glyph.status, glyph.metrics.pieces) for glyph in conversion.pattern.glyphs]
[('I', 'ready', 5)]
>>> with TemporaryDirectory() as folder:
...     written = write_set(Path(folder) / "village", conversion)
...     read_pattern(Path(folder) / "village") == written.pattern
True

What a run decides is a :class:`converter.model.Pattern`; the whole way is in :mod:`converter.pipeline`. Whatever
cannot be used raises :class:`InputError`, with one line that says what is wrong and what to do.

The names below are loaded when they are first asked for, so that ``import converter`` costs nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from converter.errors import InputError
    from converter.folder.reading import read_pattern
    from converter.fonts.choosing import choose_glyphs
    from converter.fonts.licence import judge_licence
    from converter.fonts.loading import load_font
    from converter.pipeline import convert
    from converter.redesign.figure.cutting import cut_figure
    from converter.redesign.ground import Ground
    from converter.sets import write_set
    from converter.settings import GlyphSettings, Settings

__version__ = "0.1.0"
__all__ = [
    "GlyphSettings",
    "Ground",
    "InputError",
    "Settings",
    "choose_glyphs",
    "convert",
    "cut_figure",
    "judge_licence",
    "load_font",
    "read_pattern",
    "write_set",
]

_HOMES = {
    "GlyphSettings": "settings",
    "Ground": "redesign.ground",
    "InputError": "errors",
    "Settings": "settings",
    "choose_glyphs": "fonts.choosing",
    "convert": "pipeline",
    "cut_figure": "redesign.figure.cutting",
    "judge_licence": "fonts.licence",
    "load_font": "fonts.loading",
    "read_pattern": "folder.reading",
    "write_set": "sets",
}


def __getattr__(name: str) -> object:
    if name in _HOMES:
        return getattr(import_module(f"converter.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
