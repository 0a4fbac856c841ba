"""One glyph's contours as drawn by the font, with the work that it may ask for bounded."""

import struct
from collections.abc import Mapping
from typing import Any

from fontTools.misc.psCharStrings import T2OutlineExtractor
from fontTools.pens.basePen import BasePen
from fontTools.pens.transformPen import TransformPen
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import Glyph as GlyfGlyph

from converter.budgets import fonts as budgets
from converter.fonts.errors import GlyphError
from converter.model import Point

Curve = tuple[Point, ...]  # 2 points: a line; 3: a quadratic; 4: a cubic curve
Contour = tuple[list[Curve], bool]  # the curves, and whether the font closed them


class GlyphReader:
    """Draws the glyphs of one face at one place of its design space (user coordinates; none: the default)."""

    def __init__(self, font: TTFont, location: Mapping[str, float]):
        if "VARC" in font:  # variable composites nest without end; the plain outline is still there
            del font["VARC"]
        self._font = font
        self._varies = bool(location)
        self._glyphs = font.getGlyphSet(location=dict(location) or None)
        self._glyf = font.get("glyf")
        self._reach = budgets.REACH.most * font["head"].unitsPerEm
        self._weights: dict[str, tuple[int, int, bool]] = {}

    def colours(self, name: str) -> int:
        """An outline has one colour."""
        del name
        return 1

    def advance(self, name: str) -> float:
        """How far the pen moves on after this glyph, in font units. Raises :class:`GlyphError`."""
        try:
            width = float(self._glyphs[name].width)
        except Exception as error:  # fontTools lets any exception escape from damaged data
            raise GlyphError(f"the glyph's width is damaged ({type(error).__name__})") from None
        if not abs(width) <= self._reach:
            raise GlyphError("the glyph's width is implausible")
        return width

    def contours(self, name: str) -> list[Contour]:
        """The contours in font units, y up. Raises :class:`GlyphError` when the glyph cannot be read."""
        try:
            pen = ContourPen(self._glyphs, self._reach)
            if self._glyf is not None and self._weight(name, ())[2]:
                self._draw_by_matched_points(name, pen)
            else:
                self._draw(name, pen)
            pen.end_open()
        except GlyphError:
            raise
        except Exception as error:  # fontTools lets any exception escape from damaged data
            raise GlyphError(f"the glyph's data is damaged ({type(error).__name__})") from None
        return pen.contours

    def _draw(self, name: str, pen: "ContourPen") -> None:
        glyph = self._glyphs[name]
        if self._glyf is None:
            self._glyphs.charStrings[name].outlineExtractor = _BoundedExtractor
        glyph.draw(pen)

    def _draw_by_matched_points(self, name: str, pen: "ContourPen") -> None:
        """Components may hang on each other's points instead of offsets, which pens do not know."""
        if self._varies:
            raise GlyphError(
                "components matched by points are not supported in an instance of a variable font"
            )
        assert self._glyf is not None
        flat = GlyfGlyph()
        flat.coordinates, flat.endPtsOfContours, flat.flags = self._glyf[name].getCoordinates(self._glyf)
        flat.numberOfContours = len(flat.endPtsOfContours)
        flat.draw(pen, self._glyf)

    def _weight(self, name: str, above: tuple[str, ...]) -> tuple[int, int, bool]:
        """Components and points of the glyph when unrolled (without doing so); whether points are matched."""
        if name in above or len(above) > budgets.NESTING.most:
            raise GlyphError("its components contain each other, or are nested too deeply")
        if name not in self._weights:
            assert self._glyf is not None
            glyph: Any = self._glyf[name]
            components, points, matched = 0, 0, False
            if glyph.isComposite():
                for part in glyph.components:
                    inner = self._weight(part.glyphName, (*above, name))
                    components += 1 + inner[0]
                    points += inner[1]
                    matched = matched or inner[2] or not hasattr(part, "x")
            elif glyph.numberOfContours > 0:
                points = len(glyph.coordinates)
            if self._varies and points * self._variation_count(name) > budgets.DELTAS.most:
                raise GlyphError("it has an implausible number of variations")
            if components > budgets.COMPONENTS.most:
                raise GlyphError(f"more than {budgets.COMPONENTS.most} components")
            if points > budgets.POINTS.most:
                raise GlyphError(f"more than {budgets.POINTS.most} points")
            self._weights[name] = (components, points, matched)
        return self._weights[name]

    def _variation_count(self, name: str) -> int:
        """At how many places of the design space it is drawn anew (OpenType, gvar: tupleVariationCount)."""
        if "gvar" not in self._font:
            return 0
        data = self._font.reader["gvar"]
        flags, first = struct.unpack_from(">HL", data, 14)
        form, unit = (">L", 1) if flags & 1 else (">H", 2)
        place = 20 + struct.calcsize(form) * self._font.getGlyphID(name)
        start, end = (
            unit * struct.unpack_from(form, data, place + i * struct.calcsize(form))[0] for i in (0, 1)
        )
        return struct.unpack_from(">H", data, first + start)[0] & 0x0FFF if end > start else 0


class _BoundedExtractor(T2OutlineExtractor):  # type: ignore[misc, unused-ignore]
    """Runs a CFF or CFF2 glyph program, but neither deeply nor for ever."""

    def __init__(self, *arguments: Any, **named: Any):
        super().__init__(*arguments, **named)
        self.steps = 0

    def execute(self, charString: Any) -> None:  # noqa: N803 (the name is fontTools')
        self.steps += 1 + len(charString.bytecode or charString.program or ())
        if self.subrLevel > budgets.CALLS.most or self.steps > budgets.STEPS.most:
            raise GlyphError("its program calls itself or is far too long")
        super().execute(charString)


class ContourPen(BasePen):  # type: ignore[misc, unused-ignore]
    """Collects curves; the base class resolves implied points and curves of higher order."""

    def __init__(self, glyphs: Any, reach: float):
        super().__init__(glyphs)
        self.contours: list[Contour] = []
        self._curves: list[Curve] = []
        self._reach = reach
        self._start: Point | None = None
        self._points = 0
        self._components = 0
        self._depth = 0

    def _take(self, *points: Point) -> tuple[Point, ...]:
        self._points += len(points)
        if self._points > budgets.POINTS.most:
            raise GlyphError(f"more than {budgets.POINTS.most} points")
        for x, y in points:
            if not (-self._reach <= x <= self._reach and -self._reach <= y <= self._reach):
                raise GlyphError("a point lies implausibly far from the letter")
        return tuple((float(x), float(y)) for x, y in points)

    def _here(self) -> Point:
        x, y = self._getCurrentPoint()
        return float(x), float(y)

    def _moveTo(self, pt: Point) -> None:  # noqa: N802
        self.end_open()
        (self._start,) = self._take(pt)

    def _lineTo(self, pt: Point) -> None:  # noqa: N802
        self._curves.append((self._here(), *self._take(pt)))

    def _qCurveToOne(self, pt1: Point, pt2: Point) -> None:  # noqa: N802
        self._curves.append((self._here(), *self._take(pt1, pt2)))

    def _curveToOne(self, pt1: Point, pt2: Point, pt3: Point) -> None:  # noqa: N802
        self._curves.append((self._here(), *self._take(pt1, pt2, pt3)))

    def _closePath(self) -> None:  # noqa: N802
        self._finish(closed=True)

    def _endPath(self) -> None:  # noqa: N802
        self._finish(closed=False)

    def end_open(self) -> None:
        """Finish a contour that the font neither closed nor ended."""
        self._finish(closed=False)

    def _finish(self, closed: bool) -> None:
        if self._curves:
            self.contours.append((self._curves, closed or self._curves[-1][-1] == self._start))
        self._curves, self._start = [], None

    def addComponent(self, glyphName: str, transformation: Any) -> None:  # noqa: N802, N803
        """Draw another glyph in place."""
        self._components += 1
        if self._components > budgets.COMPONENTS.most or self._depth > budgets.NESTING.most:
            raise GlyphError("too many components, or nested too deeply")
        self._depth += 1
        self.glyphSet[glyphName].draw(TransformPen(self, transformation))
        self._depth -= 1
