"""What a person should know about a block: metrics, findings, status.

Each kind of finding has a permanent id. `redesign` findings make a block that cannot be sewn or read well at its
size, `review` findings ask for a look, `note` findings only inform.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from converter.judge.case import Case, measure
from converter.judge.likeness import LIKENESS, looks
from converter.judge.sewability import sewing
from converter.model import Finding, Metrics, Severity, Status

__all__ = [
    "LIKENESS", "Case", "as_drawn", "findings", "measure", "missing_alternative", "outline_findings", "status_of",
    "worst_first",
]  # fmt: skip


def findings(case: Case, metrics: Metrics) -> tuple[Finding, ...]:
    """All findings of a planned block, the worst first."""
    return worst_first((*sewing(case, metrics), *looks(case, metrics), *_notes(case, metrics)))


def as_drawn(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings of a block that a designer has drawn as she wants it: what is unlike the font is only noted."""
    return worst_first(replace(f, severity="note") if f.id in LIKENESS else f for f in found)


def worst_first(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in the order of their weight, else as they were."""
    order: dict[Severity, int] = {"redesign": 0, "review": 1, "note": 2}
    return tuple(sorted(found, key=lambda finding: order[finding.severity]))


def status_of(reasons: Iterable[Finding]) -> Status:
    """The status that the findings of an inked glyph make."""
    severities = {finding.severity for finding in reasons}
    if "redesign" in severities:
        return "redesign"
    return "review" if "review" in severities else "ready"


def _notes(case: Case, metrics: Metrics) -> Iterator[Finding]:
    limit = case.limits["narrowed"]
    if case.width_factor < limit:
        yield Finding(
            "narrowed", "review",
            f"Narrowed to {case.width_factor:.0%} of its width to fit the block; the limit is {limit:.0%}.",
            case.width_factor, limit, None, None, "Take a wider block, --width proportional, or a narrower style.",
        )  # fmt: skip
    for repair in case.repairs:
        yield Finding(
            "outline-repaired",
            "note" if "nonzero winding" in repair else "review",  # renderers fill such contours so, too
            f"The outline in the font was faulty: {repair}.",
            hint="Compare the figure with the font's letter.",
        )  # fmt: skip
    if not case.plan.complete:
        yield Finding(
            "search-budget", "note",
            f"The search for seams stopped after {case.plan.states} states; a better order may exist.",
            case.plan.states, hint="Give a larger --budget, or try less detail.",
        )  # fmt: skip
    if not metrics.proved_minimal:
        yield Finding(
            "not-proved", "note",
            f"{metrics.pieces} pieces; that fewer than {metrics.lower_bound} are impossible is proved, "
            "the number between is open.",
            metrics.pieces, metrics.lower_bound,
        )  # fmt: skip


def outline_findings(kind: str, detail: str = "") -> Sequence[Finding]:
    """The finding of a glyph that never gets as far as a plan."""
    messages: dict[str, tuple[Severity, str, str]] = {
        "no-ink": ("note", "The glyph has no ink, as a space has none.", ""),
        "no-outline": (
            "redesign", "The font has this glyph as a colour or bitmap picture only, without an outline.",
            "Draw the block by hand.",
        ),
        "outline-damaged": ("redesign", f"The glyph's outline cannot be read: {detail}.", "Draw the block by hand."),
        "not-sewable": ("redesign", f"The plan did not pass the replay of its sewing: {detail}.", "Draw it by hand."),
        "unexpected-error": (
            "redesign", f"The program failed on this glyph ({detail}); the log has the details.",
            "Please report it with the font's name.",
        ),
    }  # fmt: skip
    severity, message, hint = messages[kind]
    return (Finding(kind, severity, message, hint=hint),)


def missing_alternative(asked: int, there: int) -> Finding:
    """The finding of a glyph for which an alternative was asked for that there is not."""
    are = "there is only 1" if there == 1 else f"there are {there}"
    return Finding(
        "alternative-missing", "review",
        f"Alternative {asked} was asked for, {are}; number {there} was taken.",
        asked, there, hint="Look at the alternatives in the report, and set a number that there is.",
    )  # fmt: skip
