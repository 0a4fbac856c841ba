"""Findings that a designer has looked at and accepts: still shown, no longer asking for anything."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from converter.findings.judging import status_of, worst_first
from converter.model import Finding, Glyph, Pattern


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


def accepted_in(pattern: Pattern) -> dict[str, Mapping[str, str]]:
    """What the settings of a set accept: for each glyph's name, ids of findings and the reasons."""
    return {name: own["accept"] for name, own in _glyphs(pattern).items() if own.get("accept")}


def accepting(pattern: Pattern, accepted: Mapping[str, Mapping[str, str]]) -> Pattern:
    """The set with other findings accepted in its settings, in place of those that were; no block is judged anew."""
    glyphs = {
        name: {key: value for key, value in own.items() if key != "accept"}
        for name, own in _glyphs(pattern).items()
    }
    for name, reasons in accepted.items():
        if reasons:
            glyphs[name] = glyphs.get(name, {}) | {"accept": dict(reasons)}
    kept = {name: own for name, own in sorted(glyphs.items()) if own}
    return replace(pattern, settings={**pattern.settings, "glyphs": kept})


def _glyphs(pattern: Pattern) -> dict[str, Mapping[str, Any]]:
    glyphs = pattern.settings.get("glyphs")
    if not isinstance(glyphs, Mapping):
        return {}
    return {name: own for name, own in glyphs.items() if isinstance(own, Mapping)}
