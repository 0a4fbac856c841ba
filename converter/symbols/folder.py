"""A folder of SVG files read as a font: each file is a glyph, called as the file is."""

import hashlib
import math
from collections.abc import Sequence
from pathlib import Path

from fontTools.ttLib import TTFont
from pathops import Path as Outline
from pathops import PathOp

from converter.budgets import fonts as budgets
from converter.errors import InputError
from converter.files import read_file
from converter.fonts.choosing import Choice, ChosenGlyph, choose_glyphs
from converter.fonts.errors import GlyphError
from converter.fonts.glyphs import Contour, ContourPen
from converter.fonts.loading import Font
from converter.fonts.names import plain_glyph_names
from converter.fonts.plain import plain_text
from converter.redesign.shapes import ShapeError
from converter.redesign.styles import Rgb
from converter.redesign.xml import Node, parse_svg
from converter.symbols.painting import ATTRIBUTES, EM, Paint, combined, em_map, painted

MOST_BYTES = 4_000_000  # of one drawing; icons have some thousand
LIGHT = (
    0.9  # a colour of which every channel is above it is the ground showing through, where there are others
)
ALIKE = 0.15  # of a channel's range; colours nearer than this are one


def load_symbols(folder: Path) -> Font:
    """The drawings (``*.svg``) in a folder as the glyphs of a font, in the order of their names.

    A drawing that cannot be read costs its own glyph only. Raises :class:`InputError` where the folder has none.
    """
    shown = plain_text(folder.resolve().name, budgets.NAME.most) or "drawings"
    try:
        paths = sorted(p for p in folder.iterdir() if p.suffix.lower() == ".svg" and p.name[0] != ".")
    except OSError as error:
        raise InputError(f"{shown}: cannot be read ({error.strerror or error}).") from None
    if not paths:
        raise InputError(f"{shown}: has no drawings (*.svg); give a folder of SVG files, or a font.")
    if len(paths) > budgets.CHOSEN.most:
        raise InputError(f"{shown}: has more than {budgets.CHOSEN.most} drawings; give a part of them.")
    names = plain_glyph_names([path.stem for path in paths])
    files = {path.stem: path for path in paths}
    return Font(
        file=shown,
        sha256=_digest(paths),
        family=shown,
        style="",
        fs_type=0,
        licence_text="",
        licence_url="",
        units_per_em=int(EM),
        cap_height=EM,
        x_height=0.0,
        ascender=EM,
        descender=0.0,
        glyph_names=tuple(names),
        cmap={},
        axes={},
        _reader=Drawings(files),
        _own_names=names,
        _pictures=frozenset(),
        _file=TTFont(),
    )


class Drawings:
    """Reads drawings one by one, when they are asked for; by the files' names without ending."""

    def __init__(self, files: dict[str, Path]) -> None:
        self._files = files

    def contours(self, name: str) -> list[Contour]:
        """What the drawing fills, of whatever colour. Raises :class:`GlyphError` where that cannot be told."""
        return _contours(merged(self._painted(name)))

    def advance(self, name: str) -> float:
        """How wide the drawing is. Raises :class:`GlyphError`."""
        return em_map(self._root(name))[1]

    def colours(self, name: str) -> int:
        """How many colours it has, but for a light ground. Raises :class:`GlyphError`."""
        return len(colours_of(self._painted(name)))

    def _painted(self, name: str) -> list[Paint]:
        try:
            return painted(self._root(name))
        except ShapeError as error:
            raise GlyphError(plain_text(str(error), 200)) from None
        except (GlyphError, InputError):
            raise
        except Exception as error:  # Skia gives up on areas that are too entangled, in ways of its own
            raise GlyphError(f"its shapes cannot be worked out ({type(error).__name__})") from None

    def _root(self, name: str) -> Node:
        path = self._files[name]
        try:
            if path.is_symlink():
                raise GlyphError("it is a link")
            return parse_svg(read_file(path, MOST_BYTES), path.name, ATTRIBUTES)
        except InputError as error:
            said = str(error).removeprefix(f"{path.name}: ").removeprefix(f"{path}: ")
            raise GlyphError(plain_text(said.rstrip("."), 200)) from None
        except FileNotFoundError:
            raise GlyphError("the file is gone") from None


def choose_symbols(font: Font, *, text: str = "", unicodes: str = "", glyphs: str = "") -> Choice:
    """The drawings of these names; all of them where nothing is said. Raises :class:`InputError` for characters."""
    if text or unicodes:
        raise InputError(
            f"{font.file}: drawings stand for no characters; choose them by their names, with --glyphs."
        )
    if glyphs.strip(" ,"):
        return choose_glyphs(font, glyphs=glyphs)
    return Choice(tuple(ChosenGlyph(name, (), "") for name in font.glyph_names), ())


def merged(paints: Sequence[Paint]) -> Outline:
    """One area of all that is not light. What is light takes away from what is under it; but where nothing else is
    painted, it is the symbol."""
    darker = [paint for paint in paints if not _is_light(paint.colour)]
    if not darker:
        return combined([(paint.path, PathOp.UNION) for paint in paints])
    if len(paints) == 1:
        return paints[0].path
    begun = paints.index(darker[0])
    return combined(
        [
            (paint.path, PathOp.DIFFERENCE if _is_light(paint.colour) else PathOp.UNION)
            for paint in paints[begun:]
        ]
    )


def colours_of(paints: Sequence[Paint]) -> list[Rgb | None]:
    """The colours that differ, but for light ones."""
    found: list[Rgb | None] = []
    for paint in paints:
        if not _is_light(paint.colour) and not any(_are_alike(paint.colour, other) for other in found):
            found.append(paint.colour)
    return found


def _is_light(colour: Rgb | None) -> bool:
    return colour is not None and min(colour) > LIGHT


def _are_alike(one: Rgb | None, other: Rgb | None) -> bool:
    return one is other if one is None or other is None else math.dist(one, other) <= ALIKE


def _contours(path: Outline) -> list[Contour]:
    path.convertConicsToQuads(EM / 4000)
    pen = ContourPen({}, budgets.REACH.most * EM)
    path.draw(pen)
    pen.end_open()
    # A shape that is filled is closed, whether or not its path says so (SVG 2, 13.4.1, fill).
    return [(curves, True) for curves, _ in pen.contours]


def _digest(paths: Sequence[Path]) -> str:
    whole = hashlib.sha256()
    for path in paths:
        try:
            content = hashlib.sha256(read_file(path, MOST_BYTES)).hexdigest()
        except (InputError, OSError):
            content = ""
        whole.update(f"{path.name}\0{content}\0".encode("utf-8", "surrogateescape"))
    return whole.hexdigest()
