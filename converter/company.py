"""What new blocks find where they join a set: its heights, its hand, and blocks that they follow."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace

from converter.errors import InputError
from converter.folder.keeping import Kept
from converter.fonts.choosing import ChosenGlyph
from converter.fonts.errors import GlyphError
from converter.fonts.loading import Font
from converter.fonts.outlines import read_outline
from converter.jobs import Company, Job, Made
from converter.model import BACKGROUND, FIGURE, Glyph, Pattern
from converter.placement import FLATTENING, Zones
from converter.settings import Settings
from converter.straighten.outline.hand import Hand

SAME_HEIGHT = 1e-3  # font units: heights in a pattern are rounded by less


def settings_of(pattern: Pattern) -> Settings:
    """The settings that a set was made with, its colours among them."""
    settings = Settings.from_echo(pattern.settings)
    colours = {name: pattern.fabrics[name].colour for name in (FIGURE, BACKGROUND) if name in pattern.fabrics}
    return replace(
        settings,
        figure_colour=colours.get(FIGURE, settings.figure_colour),
        background_colour=colours.get(BACKGROUND, settings.background_colour),
    )


def company_of(pattern: Pattern, kept: Mapping[str, Kept], font: Font) -> Company:
    """What a set of the font offers to new blocks. Raises :class:`InputError` where its settings are damaged."""
    settings = settings_of(pattern)
    hand = _hand(pattern.settings)
    inked = [glyph for glyph in pattern.glyphs if glyph.pieces and kept.get(glyph.key, Kept()).outline]
    zones = _zones(inked, font, settings) if settings.fit == "together" else None
    followed = [glyph for glyph in inked if glyph.figure] if zones is not None else []
    return Company(
        zones,
        hand,
        tuple(
            Job(ChosenGlyph(g.name, g.codepoints, g.text), g.key, None, "", zones, hand, settings)
            for g in followed
            if zones is not None
        ),
        tuple(Made(g, kept[g.key].outline, size=kept[g.key].size) for g in followed),
        tuple(glyph.key for glyph in pattern.glyphs),
    )


def _zones(glyphs: list[Glyph], font: Font, settings: Settings) -> Zones | None:
    """The zones of the run that made the glyphs, from where these stand: not from what there is of them now."""
    frame = settings.frame()
    for glyph in glyphs:
        scale, baseline = -glyph.placement[3], glyph.placement[5]
        if glyph.name in font.glyph_names and 0 < baseline <= frame.height:
            top = (baseline - frame.margin) / scale
            bottom = top - (frame.height - 2 * frame.margin) / scale
            heights = [0.0, font.cap_height, font.ascender]
            for other in glyphs:
                with suppress(GlyphError, KeyError):
                    bounds = read_outline(font, other.name, font.cap_height * FLATTENING).bounds
                    heights += bounds[1::2] if bounds else ()
            return Zones(_exact(top, heights), _exact(bottom, heights), font.cap_height)
    return None


def _exact(height: float, heights: list[float]) -> float:
    """The height in the font that a rounded one stands for."""
    nearest = min(heights, key=lambda one: abs(one - height))
    return nearest if abs(nearest - height) <= SAME_HEIGHT else height


def _hand(said: Mapping[str, object]) -> Hand:
    measures = {}
    for name in Hand().measures():
        values = said.get(name, [])
        if not isinstance(values, list) or not all(type(value) in (int, float) for value in values):
            raise InputError(f"the pattern's settings: {name} must be numbers; run convert again.")
        measures[name] = tuple(float(value) for value in values)
    return Hand(**measures)
