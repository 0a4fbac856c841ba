"""A planned block judged: the one way from a plan and what it is held against to metrics, findings and status."""

from collections.abc import Iterable
from dataclasses import replace

from converter.findings.case import Case, measure
from converter.findings.likeness import LIKENESS, looks
from converter.findings.making import making, not_compared
from converter.findings.sewability import sewing
from converter.model import Finding, Glyph, Metrics, Severity, Status
from converter.straighten.outline.symmetry import Symmetry


def judge_glyph(glyph: Glyph, case: Case) -> Glyph:
    """The glyph with its plan, measured and judged, whether it was converted or drawn by hand.

    Where outline or figure is empty there is nothing to compare, and a finding says so: overlap and distance are
    None, but that nothing is left of a letter is an overlap of 0.
    """
    to_compare, is_gone = not case.outline.is_empty, case.figure.is_empty
    is_compared = to_compare and not is_gone
    if not is_compared:
        case = replace(case, outline=case.figure, symmetry=Symmetry())
    metrics = measure(case)
    reasons = (*sewing(case, metrics), *case.repairs) if is_gone else findings(case, metrics)
    if not is_compared:
        metrics = replace(metrics, iou=0.0 if to_compare else None, hausdorff=None)
        left = (reason for reason in reasons if reason.id != "thin-strokes")
        reasons = worst_first((*left, not_compared(glyph, is_gone, to_compare)))
    return replace(
        glyph,
        status=status_of(reasons),
        reasons=reasons,
        pieces=case.plan.pieces,
        sections=case.plan.sections,
        joins=case.plan.joins,
        metrics=metrics,
    )


def findings(case: Case, metrics: Metrics) -> tuple[Finding, ...]:
    """All findings of a planned block, the worst first."""
    return worst_first((*sewing(case, metrics), *looks(case, metrics), *making(case, metrics)))


def as_drawn(glyph: Glyph) -> Glyph:
    """A glyph that a designer has drawn as she wants it: what is unlike the font is only noted."""
    reasons = worst_first(
        replace(reason, severity="note") if reason.id in LIKENESS else reason for reason in glyph.reasons
    )
    return replace(glyph, reasons=reasons, status=status_of(reasons))


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
