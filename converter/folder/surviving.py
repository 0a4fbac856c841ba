"""A stage that fails on one glyph goes on without it: the glyph gets a finding in place of its pieces."""

import traceback
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeVar

from converter.errors import InputError
from converter.findings.making import outline_findings
from converter.model import Glyph, Metrics, Pattern

T = TypeVar("T")


def survived(
    pattern: Pattern, make: Callable[[Pattern], T], alone: Callable[[Pattern], object] | None = None
) -> tuple[T, Pattern, dict[str, str]]:
    """What a stage makes of a pattern, the pattern that it was made of, and what went wrong, by key.

    Where the stage fails, the glyphs on which it fails by themselves lose their pieces. ``alone``: the same stage, for
    trying a few glyphs in this process; ``make`` itself if that does. What fails without any of them at fault is raised
    as it was, and so is an :class:`InputError`.
    """
    try:
        return make(pattern), pattern, {}
    except InputError:
        raise
    except Exception:
        logs = _at_fault(pattern, pattern.glyphs, alone or make)
        if not logs:
            raise
    glyphs = tuple(_failed(g, logs[g.key]) if g.key in logs else g for g in pattern.glyphs)
    pattern = replace(pattern, glyphs=glyphs)
    return make(pattern), pattern, logs


def _at_fault(pattern: Pattern, glyphs: Sequence[Glyph], make: Callable[[Pattern], object]) -> dict[str, str]:
    """The glyphs on which a stage fails, by key, with what went wrong; found by halving, since most are sound."""
    try:
        make(replace(pattern, glyphs=tuple(glyphs)))
        return {}
    except InputError:
        return {}
    except Exception:
        if len(glyphs) == 1:
            return {glyphs[0].key: traceback.format_exc()}
    middle = len(glyphs) // 2
    return _at_fault(pattern, glyphs[:middle], make) | _at_fault(pattern, glyphs[middle:], make)


def _failed(glyph: Glyph, log: str) -> Glyph:
    error = log.rstrip().rpartition("\n")[2].partition(":")[0]
    reasons = (*outline_findings("unexpected-error", error), *glyph.reasons)
    bare = replace(glyph, figure=(), pieces=(), sections=(), joins=())
    return replace(
        bare, status="redesign", reasons=reasons, metrics=Metrics(block_width=glyph.metrics.block_width)
    )
