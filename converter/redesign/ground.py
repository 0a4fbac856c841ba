"""What an edited block is cut and judged by, and the judging itself: the same for seams and for a figure."""

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace

from fontTools.agl import toUnicode
from shapely.geometry import MultiPolygon

from converter.drawing.block import block_size
from converter.findings.case import Case
from converter.findings.judging import as_drawn, judge_glyph
from converter.findings.making import REPAIRED, UNLIKE, edited
from converter.findings.waivers import with_accepted
from converter.folder.keeping import FARTHEST, Kept
from converter.model import Finding, Glyph, Metrics, Pattern, Point, Polygons
from converter.polygons import polygons_of
from converter.settings import Settings
from converter.sewing.plan import Plan
from converter.sewing.search import Prices
from converter.straighten.outline.hand import Hand
from converter.straighten.outline.symmetry import Symmetry, find_symmetry

MOST_MEASURES = 200  # of a kind; an alphabet has a dozen


@dataclass(frozen=True, slots=True)
class Ground:
    """One block's size, settings and outline: all that stays while its drawing changes. Made once, used often.

    ``glyph`` is the block as it was; where the pattern does not have it, one without pieces. Lengths in mm.
    """

    glyph: Glyph
    width: float
    height: float
    settings: Settings  # as they hold for the glyph
    prices: Prices
    accept: Mapping[str, str]  # id of a finding: why it is accepted
    outline: MultiPolygon  # the font's own; empty where there is none
    size: float  # what limits refer to: the height of capitals
    symmetry: Symmetry  # of the outline
    hand: Hand = field(default_factory=Hand)  # what the letters of the set share
    drawn_seams: tuple[tuple[Point, Point], ...] = ()  # as the program last wrote the drawing
    drawn_shape: tuple[tuple[str, Polygons], ...] = ()  # likewise

    @classmethod
    def of(cls, pattern: Pattern, key: str, kept: Kept | None = None) -> "Ground":
        """The ground of a pattern's block, or of a new one of that key; ``kept`` is what the record has of it."""
        kept = kept or Kept()
        glyph = glyph_of(pattern, key)
        width, height = block_size(pattern, glyph)
        said = Settings.from_echo(pattern.settings)
        outline = polygons_of(kept.outline)
        return cls(
            glyph=glyph,
            width=width,
            height=height,
            settings=said.for_glyph(glyph.name),
            prices=Prices.of(said.section_price),
            accept=said.of(glyph.name).accept,
            outline=outline,
            size=kept.size or height,
            symmetry=Symmetry() if outline.is_empty else find_symmetry(outline, kept.size),
            hand=_hand_of(pattern),
            drawn_seams=kept.seams,
            drawn_shape=kept.shape,
        )

    def judged(self, plan: Plan, figure: Polygons, by_hand: bool = True) -> Glyph:
        """The block with that plan and figure, measured and judged.

        ``by_hand``: it gets a note of that, and is held to what can be sewn: what is unlike the font is her will.
        """
        case = Case(
            plan=plan,
            figure=polygons_of(figure),
            outline=self.outline,
            block_width=self.width,
            block_height=self.height,
            size=self.size,
            width_factor=self.glyph.metrics.width_factor,
            symmetry=self.symmetry,
            repairs=repairs_of(self.glyph),
            min_piece_width=self.settings.min_piece_width,
            limits=self.settings.limits,
            units=self.settings.speaks,
            in_line=self.settings.fit == "together",
        )
        glyph = judge_glyph(replace(self.glyph, figure=figure), case)
        if not by_hand:
            return with_accepted(glyph, self.accept, *_unlike_others(self.glyph))
        glyph = with_accepted(as_drawn(glyph), self.accept)
        return replace(glyph, reasons=(*glyph.reasons, edited("This block was drawn or edited by hand.")))


def _hand_of(pattern: Pattern) -> Hand:
    """What the pattern's settings say of the letters' measures; nothing where they do not, or not in numbers."""
    said = {f.name: pattern.settings.get(f.name) for f in fields(Hand)}
    return Hand(
        **{
            name: tuple(sorted(float(value) for value in values))
            for name, values in said.items()
            if isinstance(values, list | tuple)
            and all(isinstance(v, int | float) and abs(v) < FARTHEST for v in values[:MOST_MEASURES])
            and len(values) <= MOST_MEASURES
        }
    )


def repairs_of(glyph: Glyph) -> tuple[Finding, ...]:
    """What was repaired of the font's outline, which no drawing changes."""
    return tuple(reason for reason in glyph.reasons if reason.id == REPAIRED)


def _unlike_others(glyph: Glyph) -> tuple[Finding, ...]:
    """What was said of the block beside other letters, which only a conversion of them all can tell."""
    return tuple(reason for reason in glyph.reasons if reason.id == UNLIKE)


def glyph_of(pattern: Pattern, key: str) -> Glyph:
    """The pattern's glyph of that key, or a new one, drawn by hand."""
    for glyph in pattern.glyphs:
        if glyph.key == key:
            return glyph
    name = glyph_name(key)
    text = toUnicode(name)
    if not text and len(name) == 1:
        text = name
    text = "".join(c for c in text if unicodedata.category(c)[0] != "C")
    return Glyph(
        key, name, tuple(map(ord, text)), text, "redesign", metrics=Metrics(block_width=pattern.block.width)
    )


def glyph_name(key: str) -> str:
    """The glyph's name that a file name stands for (a capital has an underscore after it, by UFO 3's convention).

    >>> glyph_name("A_"), glyph_name("T_h"), glyph_name("eacute")
    ('A', 'Th', 'eacute')
    """
    name = ""
    for character in key:
        if character == "_" and name and name[-1].isupper():
            continue
        name += character
    return name
