"""Findings of what a row of letters shows at once: ends that stand out of line, edges that jump."""

from collections.abc import Iterator
from operator import attrgetter

from converter.findings.alignment import standing_out
from converter.findings.case import Case
from converter.findings.continuity import jumps
from converter.model import Finding


def evenness(case: Case) -> Iterator[Finding]:
    """Where the figure is not even though the font's letter is, the worst places first."""
    yield from _standing_out(case)
    yield from _jumps(case)


def _standing_out(case: Case) -> Iterator[Finding]:
    if not case.in_line:
        return
    limit = case.limits["stands-out"] * case.size
    found = standing_out(case.figure, case.outline, case.size)
    for end in sorted(found, key=attrgetter("by"), reverse=True):
        if end.by > limit:
            yield Finding(
                "stands-out", "review",
                f"The figure stands {case.length(end.by)} {'above' if end.above else 'below'} the line on which "
                f"the letter ends; the limit is {case.length(limit)}.",
                end.by, limit, end.place, None, "Move the corner back to the line, or use another level of detail.",
            )  # fmt: skip


def _jumps(case: Case) -> Iterator[Finding]:
    limit = case.limits["edge-jumps"] * case.size
    for jump in sorted(jumps(case.figure, case.outline, case.size), key=attrgetter("by"), reverse=True):
        if jump.by > limit:
            what = "Two edges that lie on one line in the font are {} out of line"
            if not jump.is_line:
                what = "An edge that runs on smoothly in the font jumps by {}"
            yield Finding(
                "edge-jumps", "review",
                f"{what.format(case.length(jump.by))}; the limit is {case.length(limit)}.",
                jump.by, limit, jump.place, None, "Let both edges follow one line, or use another level of detail.",
            )  # fmt: skip
