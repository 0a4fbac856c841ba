"""An edited block judged anew, and what an edit changed."""

import traceback
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace

from fontTools.agl import toUnicode

from converter.budgets.words import KEY
from converter.drawing.block import block_size
from converter.errors import InputError
from converter.findings.case import Case
from converter.findings.judging import as_drawn, judge_glyph
from converter.findings.making import REPAIRED, edited, outline_findings
from converter.findings.waivers import with_accepted
from converter.folder.keeping import Kept
from converter.fonts.plain import plain_text
from converter.model import BACKGROUND, FIGURE, Finding, Glyph, Metrics, Pattern, Polygons
from converter.polygons import polygons_of
from converter.redesign.rebuild import Rebuilt, keep_numbers, rebuild
from converter.settings import Settings
from converter.sewing.plan import Plan
from converter.sewing.search import Prices
from converter.straighten.outline.symmetry import Symmetry, find_symmetry


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
    glyph = before or _new_glyph(key, pattern)
    try:
        return _check_block(pattern, before, glyph, data, kept or Kept(), by_hand)
    except InputError as error:
        fault = Finding("drawing-unreadable", "redesign", str(error), hint="Save it again as plain SVG.")
        return Checked(before, _unsewable(glyph, (fault,)), data, None)
    except Exception as error:  # one bad drawing never ends a check
        faults = outline_findings("unexpected-error", type(error).__name__)
        return Checked(before, _unsewable(glyph, faults), data, None, traceback.format_exc())


def _check_block(
    pattern: Pattern, before: Glyph | None, glyph: Glyph, data: bytes, kept: Kept, by_hand: bool
) -> Checked:
    width, height = block_size(pattern, glyph)
    said = Settings.from_echo(pattern.settings)
    settings, prices = said.for_glyph(glyph.name), Prices.of(said.section_price)
    rebuilt = rebuild(
        data,
        f"{glyph.key}.svg",
        width,
        height,
        pattern.fabrics,
        prices,
        settings.budget,
        units=settings.speaks,
    )
    if rebuilt.plan is None:
        return Checked(before, _unsewable(glyph, rebuilt.faults), data, rebuilt)
    plan = keep_numbers(rebuilt.plan, glyph, prices)
    after = _judged(glyph, plan, rebuilt.figure, width, height, kept, settings)
    if by_hand:
        after = as_drawn(after)
    after = with_accepted(after, said.of(glyph.name).accept)
    if by_hand:
        after = replace(after, reasons=(*after.reasons, edited("This block was drawn or edited by hand.")))
    return Checked(before, after, data, rebuilt)


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


def _judged(
    glyph: Glyph, plan: Plan, figure: Polygons, width: float, height: float, kept: Kept, settings: Settings
) -> Glyph:
    outline = polygons_of(kept.outline)
    case = Case(
        plan=plan,
        figure=polygons_of(figure),
        outline=outline,
        block_width=width,
        block_height=height,
        size=kept.size or height,
        width_factor=glyph.metrics.width_factor,
        symmetry=Symmetry() if outline.is_empty else find_symmetry(outline, kept.size),
        repairs=_repairs(glyph),
        min_piece_width=settings.min_piece_width,
        limits=settings.limits,
        units=settings.speaks,
        in_line=settings.fit == "together",
    )
    return judge_glyph(replace(glyph, figure=figure), case)


def _repairs(glyph: Glyph) -> tuple[Finding, ...]:
    return tuple(reason for reason in glyph.reasons if reason.id == REPAIRED)


def _unsewable(glyph: Glyph, faults: Sequence[Finding]) -> Glyph:
    note = "This block was edited by hand and cannot be sewn as drawn"
    note += "; its last pieces that could be sewn are shown." if glyph.pieces else "."
    return replace(glyph, status="redesign", reasons=(*faults, *_repairs(glyph), edited(note)))


def _new_glyph(key: str, pattern: Pattern) -> Glyph:
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
