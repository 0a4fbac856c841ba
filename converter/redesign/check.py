"""An edited block judged anew, and what an edit changed."""

import traceback
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from fontTools.agl import toUnicode

from converter.drawing.block import block_size
from converter.errors import InputError
from converter.fonts.plain import plain_text
from converter.judge import Case, findings, measure, outline_findings, status_of, worst_first
from converter.judge.sewability import sewing
from converter.limits import resolve_limits
from converter.model import Finding, Glyph, Metrics, Pattern
from converter.redesign.keeping import RECORD, Kept
from converter.redesign.rebuild import Rebuilt, keep_numbers, rebuild
from converter.redesign.waivers import accept
from converter.settings import Settings
from converter.sewing.plan import Plan
from converter.sewing.problem import Figure
from converter.sewing.search import Prices
from converter.straighten.figure import polygons_of
from converter.straighten.symmetry import asymmetry, find_symmetry, mirrored

EDITED = "edited"  # the id of the note that marks a block as changed by hand
LONGEST_KEY = 200  # characters; a file's name may have 255 bytes
_DRAWN_BY_HAND = Glyph("", "", (), "", "blank").placement  # no glyph of a font lies so in its block


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

    ``by_hand``: whether the block gets the note that it was changed by hand.

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
        faults = tuple(outline_findings("unexpected-error", type(error).__name__))
        return Checked(before, _unsewable(glyph, faults), data, None, traceback.format_exc())


def _check_block(
    pattern: Pattern, before: Glyph | None, glyph: Glyph, data: bytes, kept: Kept, by_hand: bool
) -> Checked:
    width, height = block_size(pattern, glyph)
    settings = _Settings(pattern, glyph.name)
    name = f"{glyph.key}.svg"
    rebuilt = rebuild(data, name, width, height, pattern.fabrics, settings.prices, settings.budget)
    if rebuilt.plan is None:
        return Checked(before, _unsewable(glyph, rebuilt.faults), data, rebuilt)
    plan = keep_numbers(rebuilt.plan, glyph, settings.prices)
    after = _judged(glyph, plan, rebuilt.figure, width, height, kept, settings)
    if by_hand:
        after = replace(after, reasons=(*after.reasons, _edited("This block was drawn or changed by hand.")))
    return Checked(before, after, data, rebuilt)


def unread(key: str, message: str) -> Checked:
    """What a check says of a drawing that could not even be read; ``message`` says why."""
    key = plain_key(key)
    fault = Finding("drawing-unreadable", "redesign", message)
    return Checked(None, Glyph(key, key, (), "", "redesign", (fault,)), b"", None)


def misnamed(key: str) -> Checked:
    """What a check says of a drawing whose name is no key (see :func:`is_key`): it is left alone."""
    return unread(key, "A name of a file like this names no character. Rename it, in plain letters.")


def is_key(name: str) -> bool:
    """Whether a file's name without ending can stand in a pattern: printable, and not endless."""
    return name.isprintable() and len(name) <= LONGEST_KEY


def plain_key(name: str) -> str:
    """A file's name without ending as it can be printed."""
    return plain_text(name, LONGEST_KEY) or "(no name)"


def with_checked(pattern: Pattern, checked: Sequence[Checked]) -> Pattern:
    """The pattern with blocks put in: each in its place, new ones at the end in the order of their keys."""
    after = {c.after.key: c.after for c in checked}
    known = tuple(after.pop(glyph.key, glyph) for glyph in pattern.glyphs)
    return replace(pattern, glyphs=known + tuple(after[key] for key in sorted(after)))


def is_edited(glyph: Glyph) -> bool:
    """Whether the pattern marks the block as changed by hand."""
    return any(reason.id == EDITED for reason in glyph.reasons)


class _Settings:
    """The settings that a pattern was made with, as far as a block's judgement needs them."""

    def __init__(self, pattern: Pattern, name: str) -> None:
        said: Mapping[str, Any] = pattern.settings
        glyphs = said.get("glyphs") or {}
        own = glyphs.get(name) or {} if isinstance(glyphs, Mapping) else {}
        limits = said.get("limits")
        usual = Settings()
        price = float(said.get("section_price", usual.section_price))
        self.prices = Prices.of(price)
        self.budget = int(said.get("budget", usual.budget))
        width = own.get("min_piece_width") or said.get("min_piece_width", usual.min_piece_width)
        self.min_piece_width = float(width)
        self.limits = resolve_limits(limits if isinstance(limits, Mapping) else {})
        self.accept: Mapping[str, str] = own.get("accept") or {}


def _judged(
    glyph: Glyph, plan: Plan, figure: Figure, width: float, height: float, kept: Kept, settings: _Settings
) -> Glyph:
    shape = polygons_of(figure)
    outline = polygons_of(kept.outline)
    compared = not outline.is_empty and not shape.is_empty
    symmetry = find_symmetry(outline, kept.size) if compared else None
    case = Case(
        plan=plan,
        figure=shape,
        outline=outline if compared else shape,
        block_width=width,
        block_height=height,
        size=kept.size or height,
        width_factor=glyph.metrics.width_factor,
        asymmetry=asymmetry(shape, mirrored(shape, symmetry)) if symmetry and symmetry.order > 1 else None,
        repairs=(),
        min_piece_width=settings.min_piece_width,
        limits=settings.limits,
    )
    metrics = measure(case)
    found = tuple(sewing(case, metrics) if shape.is_empty else findings(case, metrics))
    if not compared:
        metrics = replace(metrics, iou=None if outline.is_empty else 0.0, hausdorff=None)
        left = (f for f in found if f.id != "thin-strokes")
        found = worst_first(
            (*left, _not_compared(glyph, gone=shape.is_empty, to_compare=not outline.is_empty))
        )
    repaired = tuple(reason for reason in glyph.reasons if reason.id == "outline-repaired")
    reasons = accept((*found, *repaired), settings.accept)
    return replace(
        glyph,
        status=status_of(reasons),
        reasons=reasons,
        figure=figure,
        pieces=plan.pieces,
        sections=plan.sections,
        joins=plan.joins,
        metrics=metrics,
    )


def _not_compared(glyph: Glyph, gone: bool, to_compare: bool) -> Finding:
    """The finding of a block that has no figure, or nothing to be held against."""
    if gone:
        return Finding(
            "figure-gone", "redesign" if to_compare else "review",
            "No piece is of another fabric than the background: there is no letter to see.",
            hint="Colour the letter's pieces in the layer 'pieces'.",
        )  # fmt: skip
    from_font = glyph.placement != _DRAWN_BY_HAND
    return Finding(
        "not-compared", "review" if from_font else "note",
        f"Nothing says whether this is the letter: {RECORD} has no outline of the font's for it."
        if from_font
        else "Nothing says whether this is the letter: the font has no outline for it.",
        hint=f"Look at it yourself, or restore {RECORD}." if from_font else "Look at it yourself.",
    )  # fmt: skip


def _unsewable(glyph: Glyph, faults: Sequence[Finding]) -> Glyph:
    note = "This block was changed by hand and cannot be sewn as drawn"
    note += "; what is shown are its last pieces that could." if glyph.pieces else "."
    repaired = tuple(reason for reason in glyph.reasons if reason.id == "outline-repaired")
    return replace(glyph, status="redesign", reasons=(*faults, *repaired, _edited(note)))


def _edited(message: str) -> Finding:
    return Finding(EDITED, "note", message)


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
