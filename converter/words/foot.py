"""Blocks without the room for descenders, where nothing that is laid out has one."""

from dataclasses import replace

from converter.measures import round_down
from converter.model import BACKGROUND, Glyph, Pattern
from converter.verify import NotSewableError, verify_glyph
from converter.words.frames import block_width
from converter.words.resizing import Change, reach, resize


def without_room_below(pattern: Pattern, step: float, least: float) -> Pattern:
    """The pattern in blocks trimmed at the foot until the lowest letter has the set's margin below it, or no more room
    than the highest has above: where each glyph fills its block, it stays in the middle.

    All blocks by as much, so that letters stay on one line: a multiple of ``step`` (mm). The pattern itself where one
    of them needs the room. ``least``: no piece is made narrower (mm).
    """
    blocks = [glyph for glyph in pattern.glyphs if glyph.pieces]
    height = pattern.block.height
    inked = [y for glyph in blocks for p in glyph.pieces if p.fabric != BACKGROUND for _, y in p.polygon]
    if not inked:
        return pattern
    above = min(inked)
    margin = pattern.settings.get("margin") if pattern.settings.get("fit") == "together" else above
    kept = min(above, margin) if isinstance(margin, int | float) else above
    wanted = round_down(max(height - max(inked) - kept, 0.0), step)
    by = round_down(min(_room(glyph, pattern, wanted, least) for glyph in blocks), step)
    if by <= 0:
        return pattern
    try:
        glyphs = tuple(_trimmed(glyph, pattern, by) if glyph.pieces else glyph for glyph in pattern.glyphs)
    except NotSewableError:
        return pattern
    return replace(pattern, block=replace(pattern.block, height=height - by), glyphs=glyphs)


def _room(glyph: Glyph, pattern: Pattern, wanted: float, least: float) -> float:
    size = block_width(glyph, pattern), pattern.block.height
    return -reach(glyph, size, "bottom", -wanted, least)


def _trimmed(glyph: Glyph, pattern: Pattern, by: float) -> Glyph:
    width, height = block_width(glyph, pattern), pattern.block.height
    changed = resize(glyph, width, height, Change(bottom=-by))
    verify_glyph(changed, width, height - by)
    return changed
