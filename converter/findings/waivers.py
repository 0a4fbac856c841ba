"""Findings that a designer has looked at and accepts: still shown, no longer asking for anything."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from converter.findings.judging import status_of, worst_first
from converter.model import Finding, Glyph


def with_accepted(glyph: Glyph, accepted: Mapping[str, str], *more: Finding) -> Glyph:
    """The glyph with ``more`` findings, those marked that the designer accepts, and the status that this makes."""
    reasons = accept((*glyph.reasons, *more), accepted)
    if more:
        reasons = worst_first(reasons)
    return replace(glyph, reasons=reasons, status=status_of(reasons))


def accept(findings: Iterable[Finding], accepted: Mapping[str, str]) -> tuple[Finding, ...]:
    """The findings, those whose id is in ``accepted`` turned into notes that say why they are accepted.

    ``accepted``: id of a finding: the reason. For findings of a block that can be sewn; what makes a block
    impossible to sew cannot be accepted away.
    """
    return tuple(
        replace(finding, severity="note", hint=f"Accepted: {accepted[finding.id]}")
        if finding.id in accepted and finding.severity != "note"
        else finding
        for finding in findings
    )
