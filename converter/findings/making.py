"""Findings of how a block came to be, and of glyphs that never got one."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from converter.model import Finding, Glyph, Metrics, Severity

if TYPE_CHECKING:  # commands that only print need no search for seams
    from converter.findings.case import Case

EDITED, REPAIRED, MISSING_ALTERNATIVE = "edited", "outline-repaired", "alternative-missing"
UNLIKE = "unlike"  # other letters
_DRAWN_BY_HAND = Glyph("", "", (), "", "blank").placement  # no glyph of a font lies so in its block


def making(case: "Case", metrics: Metrics) -> Iterator[Finding]:
    """How the block came to be."""
    limit = case.limits["narrowed"]
    if case.width_factor < limit:
        yield Finding(
            "narrowed", "review",
            f"Narrowed to {case.width_factor:.0%} of its width to fit the block; the limit is {limit:.0%}.",
            case.width_factor, limit, None, None, "Use a wider block, --width proportional or a narrower style.",
        )  # fmt: skip
    yield from case.repairs
    if not case.plan.complete:
        yield Finding(
            "search-budget", "note",
            f"The search for seams stopped after {case.plan.states} states; a better plan may exist.",
            case.plan.states, hint="Raise --budget or use less detail.",
        )  # fmt: skip
    if not metrics.proved_minimal:
        yield Finding(
            "not-proved", "note",
            f"{metrics.pieces} pieces; fewer than {metrics.lower_bound} are proved impossible, "
            "but a number in between may be possible.",
            metrics.pieces, metrics.lower_bound,
        )  # fmt: skip


def repaired(repair: str) -> Finding:
    """The finding of an outline that was faulty in the font; ``repair`` says what was done about it."""
    return Finding(
        REPAIRED,
        "note" if "nonzero winding" in repair else "review",  # renderers fill such contours so, too
        f"The font's outline was faulty and was repaired: {repair}.",
        hint="Compare the figure with the font's letter.",
    )


def colours_merged(colours: int) -> Iterator[Finding]:
    """The finding of a symbol that is drawn in several colours, which become one fabric."""
    if colours > 1:
        yield Finding(
            "colours-merged", "review",
            f"It is drawn in {colours} colours; all of them are one fabric in the block.",
            colours, 1, hint="Look whether it is still read; to part them, colour pieces in the block and run check.",
        )  # fmt: skip


def outline_findings(kind: str, detail: str = "") -> Sequence[Finding]:
    """The finding of a glyph that never gets as far as a plan."""
    messages: dict[str, tuple[Severity, str, str]] = {
        "no-ink": ("note", "The glyph has no ink, like a space.", ""),
        "no-outline": (
            "redesign", "The font has this glyph only as a colour or bitmap picture, without an outline.",
            "Draw the block by hand.",
        ),
        "outline-damaged": ("redesign", f"The glyph's outline cannot be read: {detail}.", "Draw the block by hand."),
        "not-sewable": ("redesign", f"The plan failed the replay of its sewing: {detail}.", "Draw it by hand."),
        "unexpected-error": (
            "redesign", f"The program failed on this glyph ({detail}); the log has the details.",
            "Please report this with the font's name.",
        ),
        "not-made": (
            "redesign", "The run was stopped before this block was made.",
            "Give the same command again: it goes on from there.",
        ),
    }  # fmt: skip
    severity, message, hint = messages[kind]
    return (Finding(kind, severity, message, hint=hint),)


def not_compared(glyph: Glyph, is_gone: bool, to_compare: bool) -> Finding:
    """The finding of a block without a figure, or without anything that it could be held against."""
    if is_gone:
        return Finding(
            "figure-gone", "redesign" if to_compare else "review",
            "No piece is of another fabric than the background: there is no letter to see.",
            hint="Colour the letter's pieces in the layer 'pieces'.",
        )  # fmt: skip
    if glyph.placement == _DRAWN_BY_HAND:
        return Finding(
            "not-compared", "note", "Nothing says whether this is the letter: the font has no outline for it.",
            hint="Look at it yourself.",
        )  # fmt: skip
    return Finding(
        "not-compared", "review",
        "Nothing says whether this is the letter: the record of the run has no outline of the font's for it.",
        hint="Look at it yourself, or restore record.json.",
    )  # fmt: skip


def missing_alternative(asked: int, there: int) -> Finding:
    """The finding of a glyph for which an alternative was asked for that there is not."""
    are = "there is only 1" if there == 1 else f"there are {there}"
    return Finding(
        MISSING_ALTERNATIVE, "review",
        f"Alternative {asked} was requested, but {are}; number {there} is used.",
        asked, there, hint="See the alternatives in the report and set one of their numbers.",
    )  # fmt: skip


def drawn_unlike(part: str, others: str) -> Finding:
    """The note on a figure that has a part drawn in another way than other letters."""
    return Finding(
        UNLIKE, "note", f"Does not keep the hand: its {part} is drawn in another way than in {others}.",
        hint="See at the top of the report what it would take to bring it in.",
    )  # fmt: skip


def not_composed(others: str, why: str) -> Finding:
    """The note on a letter that cannot have what it shares with others drawn as they have it; ``why`` as found."""
    return Finding(
        UNLIKE, "note", f"Does not keep the hand: what it shares with {others} could not be sewn in it as there.",
        hint=f"Drawn as there: {why}",
    )  # fmt: skip


def edited(message: str) -> Finding:
    """The note that marks a block as changed by hand."""
    return Finding(EDITED, "note", message)


def is_edited(glyph: Glyph) -> bool:
    """Whether the pattern marks the block as changed by hand."""
    return any(reason.id == EDITED for reason in glyph.reasons)
