"""An edited block judged anew, and what an edit changed."""

import traceback
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from converter.budgets.words import KEY
from converter.errors import InputError
from converter.findings.making import edited, outline_findings
from converter.folder.keeping import Kept
from converter.fonts.plain import plain_text
from converter.model import BACKGROUND, FIGURE, Fabric, Finding, Glyph, Pattern
from converter.redesign.figure.following import followed
from converter.redesign.ground import Ground, glyph_of, repairs_of
from converter.redesign.rebuild import Rebuilt, keep_numbers, rebuild
from converter.redesign.shapes import ShapeError


@dataclass(frozen=True, slots=True)
class Checked:
    """One block before and after. ``rebuilt`` is None where the file could not be read at all.

    ``log``: what went wrong, where the program failed on the drawing.
    """

    before: Glyph | None
    after: Glyph
    data: bytes
    rebuilt: Rebuilt | None
    log: str = ""

    @property
    def is_sewable(self) -> bool:
        """Whether the drawing as it is can be sewn."""
        return self.rebuilt is not None and self.rebuilt.plan is not None


def check_block(
    pattern: Pattern, key: str, data: bytes, kept: Kept | None = None, by_hand: bool = True
) -> Checked:
    """Judges the drawing of one block anew; never raises for what is in it.

    ``by_hand``: whether it was changed by hand; then the block gets a note of it, and is held to what can be sewn:
    what is unlike the font is the designer's will, and only noted.

    Where it cannot be sewn, the glyph keeps the last pieces that could, and its reasons say what is wrong. A key
    that the pattern does not have is a new block, drawn by hand.
    """
    before = next((glyph for glyph in pattern.glyphs if glyph.key == key), None)
    try:
        return _check_block(before, Ground.of(pattern, key, kept), data, pattern.fabrics, by_hand)
    except InputError as error:
        fault = Finding("drawing-unreadable", "redesign", str(error), hint="Save it again as plain SVG.")
        return Checked(before, _unsewable(glyph_of(pattern, key), (fault,)), data, None)
    except Exception as error:  # one bad drawing never ends a check
        faults = outline_findings("unexpected-error", type(error).__name__)
        log = traceback.format_exc()
        return Checked(before, _unsewable(glyph_of(pattern, key), faults), data, None, log)


def _check_block(
    before: Glyph | None, ground: Ground, data: bytes, fabrics: Mapping[str, Fabric], by_hand: bool
) -> Checked:
    glyph = ground.glyph
    rebuilt = rebuild(
        data,
        f"{glyph.key}.svg",
        ground.width,
        ground.height,
        fabrics,
        ground.prices,
        ground.settings.budget,
        units=ground.settings.speaks,
    )
    try:
        rebuilt = followed(rebuilt, ground)
    except ShapeError as error:
        raise InputError(f"{glyph.key}.svg: {error}.") from None
    if rebuilt.plan is None:
        return Checked(before, _unsewable(glyph, rebuilt.faults), data, rebuilt)
    plan = keep_numbers(rebuilt.plan, glyph, ground.prices)
    return Checked(before, ground.judged(plan, rebuilt.figure, by_hand), data, rebuilt)


def unread(key: str, message: str) -> Checked:
    """What a check says of a drawing that could not even be read; ``message`` says why."""
    key = plain_key(key)
    fault = Finding("drawing-unreadable", "redesign", message)
    return Checked(None, Glyph(key, key, (), "", "redesign", (fault,)), b"", None)


def misnamed(key: str) -> Checked:
    """What a check says of a drawing whose name is no key, see :func:`.keeping.is_key`: it is left alone."""
    return unread(key, "A name of a file like this names no character. Rename it, in plain letters.")


def plain_key(name: str) -> str:
    """A file's name without ending as it can be printed."""
    return plain_text(name, KEY.most) or "(no name)"


def with_checked(pattern: Pattern, checked: Sequence[Checked]) -> Pattern:
    """The pattern with blocks put in: each in its place, new ones at the end in the order of their keys."""
    after = {c.after.key: c.after for c in checked}
    known = tuple(after.pop(glyph.key, glyph) for glyph in pattern.glyphs)
    glyphs = known + tuple(after[key] for key in sorted(after))
    fabrics = dict(pattern.fabrics)
    for c in checked:
        fabrics |= c.rebuilt.drawing.fabrics if c.rebuilt else {}
    used = {piece.fabric for glyph in glyphs for piece in glyph.pieces} | {FIGURE, BACKGROUND}
    return replace(
        pattern, glyphs=glyphs, fabrics={name: fabric for name, fabric in fabrics.items() if name in used}
    )


def _unsewable(glyph: Glyph, faults: Sequence[Finding]) -> Glyph:
    note = "This block was edited by hand and cannot be sewn as drawn"
    note += "; its last pieces that could be sewn are shown." if glyph.pieces else "."
    return replace(glyph, status="redesign", reasons=(*faults, *repairs_of(glyph), edited(note)))
