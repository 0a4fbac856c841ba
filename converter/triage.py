"""Drafts sorted out: ready already, promising, or not worth more effort, with the reason.

A draft finds most of what there is to find. More effort takes pieces and sections away and mends what is narrow or off
by a little; it never changes what lies in the outline itself.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from converter.findings.judging import status_of
from converter.model import STATUSES, Finding, Glyph

# Findings that are of the outline and the block, so that every figure has them.
OF_THE_OUTLINE = frozenset(
    {
        "narrowed", "no-outline", "outline-damaged", "outline-repaired", "thin-strokes", "too-intricate",
        "unexpected-error",
    }
)  # fmt: skip
# How far a draft may be from a limit, as measured ÷ limit, and still be worth more effort. Of 35 icons drawn at random
# those with 1.4 times the pieces and 2.5 times the sections became ready, those with 2.6 and 5 times stayed hopeless.
# `python -m tests.benchmarks.triage FONT` shows what the sorting costs and misses.
REACH: Mapping[str, float] = {"many-pieces": 2.0, "many-sections": 4.0}


@dataclass(frozen=True, slots=True)
class Triage:
    """``promising``: the numbers of the glyphs that are worth more effort; ``hopeless``: how many of the others are
    not ready, by the finding that stands against it."""

    ready: int
    promising: tuple[int, ...]
    hopeless: Mapping[str, int]


def triage(drafts: Sequence[Glyph]) -> Triage:
    """Sorts drafts out, each by itself: what becomes of one does not depend on the others."""
    said = [obstacle(glyph) for glyph in drafts]
    promising = tuple(k for k, reason in enumerate(said) if reason == "")
    counts = Counter(reason for reason in said if reason)
    return Triage(
        said.count(None), promising, dict(sorted(counts.items(), key=lambda one: (-one[1], one[0])))
    )


def obstacle(glyph: Glyph) -> str | None:
    """The finding that no effort is likely to mend; empty where there is none; None where nothing is to be mended."""
    if glyph.status in ("ready", "blank"):
        return None
    lasting = [
        reason for reason in glyph.reasons if reason.id in OF_THE_OUTLINE and reason.severity != "note"
    ]
    if lasting and STATUSES.index(status_of(lasting)) <= STATUSES.index(glyph.status):
        return lasting[0].id  # it will be no better than it is
    return next((reason.id for reason in glyph.reasons if _is_far(reason)), "")


def _is_far(reason: Finding) -> bool:
    if reason.severity == "note" or reason.id not in REACH or not reason.limit:
        return False
    return (reason.measured or 0.0) > REACH[reason.id] * reason.limit
