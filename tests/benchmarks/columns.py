"""The columns of the benchmark's tables: what each is called, and its cell for a run."""

from collections.abc import Callable, Iterable, Mapping, Sequence

from converter.geometry import convex_width
from converter.model import Glyph
from converter.pipeline import Made
from converter.units import MM_PER_INCH
from tests.benchmarks.crests import SPIKE, crests, height_of, is_kept, stands_out
from tests.benchmarks.looks import is_torn, tilted_edges
from tests.benchmarks.reading import Found
from tests.benchmarks.runs import Run

Column = Callable[[Run], str]
SHOWN = 8  # pairs of letters


def mean(values: Iterable[float]) -> float:
    """The mean; NaN of nothing."""
    listed = list(values)
    return sum(listed) / len(listed) if listed else float("nan")


def _least(values: Iterable[float | None]) -> float:
    return min((value or 0 for value in values), default=float("nan"))


def _status(status: str) -> Column:
    return lambda run: str(sum(glyph.status == status for glyph in run.done.pattern.glyphs))


SEWING: Mapping[str, Column] = {
    "pieces": lambda run: f"{mean(m.pieces for m in run.metrics):.2f}",
    "sections": lambda run: f"{mean(m.sections for m in run.metrics):.2f}",
    "joins": lambda run: f"{mean(m.joins for m in run.metrics):.2f}",
    "match": lambda run: f"{mean(m.match_points for m in run.metrics):.2f}",
    "proved": lambda run: f"{mean(m.proved_minimal for m in run.metrics):.0%}",
    "÷ bound": lambda run: f"{mean(m.pieces / (m.distinct_lines + 1) for m in run.metrics):.3f}",
    "Delaunay": lambda run: f"{mean(o.delaunay for o in run.others):.1f}",
    "convex": lambda run: f"{mean(o.convex for o in run.others):.1f}",
    "of them sewable": lambda run: f"{mean(o.convex_sewable for o in run.others):.0%}",
    "longest first": lambda run: f"{mean(o.longest_first for o in run.others):.1f}",
    "narrowest mm": lambda run: f"{_least(m.min_piece_width for m in run.metrics):.2f}",
    "sharpest °": lambda run: f"{_least(m.min_corner_degrees for m in run.metrics):.0f}",
}
TRUTH: Mapping[str, Column] = {
    "IoU": lambda run: f"{mean(m.iou or 0 for m in run.metrics):.3f}",
    "lowest": lambda run: f"{_least(m.iou for m in run.metrics):.3f}",
    "Hd mean %": lambda run: f"{100 * mean(m.hausdorff or 0 for m in run.metrics) / run.cap_height:.1f}",
    "worst %": lambda run: (
        f"{100 * max((m.hausdorff or 0 for m in run.metrics), default=0) / run.cap_height:.1f}"
    ),
    "asymmetry %": lambda run: f"{100 * max((m.asymmetry or 0 for m in run.metrics), default=0):.2f}",
    "torn": lambda run: str(sum(_torn(made) for made in run.done.made)),
    "ready but torn": lambda run: str(
        sum(made.glyph.status == "ready" and _torn(made) for made in run.done.made)
    ),
    "tilted": lambda run: str(sum(_tilted(made, run.cap_height) > 0 for made in run.done.made)),
}
OUTCOME: Mapping[str, Column] = {
    "ready": _status("ready"),
    "review": _status("review"),
    "redesign": _status("redesign"),
    "ready but narrow": lambda run: str(sum(map(_is_narrow, run.done.pattern.glyphs))),
    "crashed": lambda run: str(sum(bool(made.log) for made in run.done.made)),
    "seconds": lambda run: f"{run.seconds:.1f}",
    "CPU s": lambda run: f"{run.cpu_seconds:.1f}",
    "MB": lambda run: f"{run.megabytes:.0f}",
}
READING: Mapping[str, Column] = {
    "read in outline": lambda run: _share_read(run.reading.outlines),
    "read in blocks": lambda run: _share_read(run.reading.blocks),
    "lost/counted": lambda run: f"{len(run.reading.lost)}/{len(run.reading.counted)}",
    "lost, and read as": lambda run: "  ".join(
        f"{letter} {_instead(found)}" for letter, found in run.reading.lost.items()
    ),
}


HAND: Mapping[str, Column] = {
    **{name: (SEWING | TRUTH)[name] for name in ("pieces", "sections", "IoU", "lowest")},
    "outer crests": lambda run: str(len(_outer_crests(run))),
    "crests lost": lambda run: f"{1 - mean(_outer_crests(run)):.3f}",
    "like pairs": lambda run: str(run.like_parts.like),
    "pairs alike": lambda run: f"{run.like_parts.share:.3f}",
    "like letters": lambda run: str(len(run.like_parts.letters)),
    "letters alike": lambda run: f"{run.like_parts.share_of_letters:.3f}",
    "spikes": lambda run: str(sum(stands_out(made.glyph.figure, made.guide) > SPIKE for made in run.inked)),
    "steps": lambda run: str(
        sum(reason.id == "edge-jumps" for glyph in run.planned for reason in glyph.reasons)
    ),
    "ready": lambda run: f"{mean(glyph.status == 'ready' for glyph in run.done.pattern.glyphs):.3f}",
    **{name: (TRUTH | OUTCOME)[name] for name in ("ready but torn", "ready but narrow", "seconds")},
    "least alike": lambda run: " ".join(map("".join, _unlike(run)[:SHOWN])),
}


def _outer_crests(run: Run) -> Sequence[bool]:
    """Of each crest of an outline's outside, whether the block keeps it."""
    return [
        is_kept(crest, made.glyph.figure, height_of(made.guide))
        for made in run.inked
        for crest in crests(made.guide)
        if not crest.in_counter
    ]


def _unlike(run: Run) -> Sequence[tuple[str, str]]:
    texts = [made.glyph.text for made in run.inked]
    return [(texts[first], texts[second]) for first, second in run.like_parts.unlike_letters]


def _is_narrow(glyph: Glyph) -> bool:
    """Ready, though a piece is narrower than 1/8 in: never to happen, so measured anew."""
    narrowest = min((convex_width(piece.polygon) for piece in glyph.pieces), default=0)
    return glyph.status == "ready" and narrowest < MM_PER_INCH / 8 - 1e-6


def _torn(made: Made) -> bool:
    return bool(made.glyph.pieces) and is_torn(made.guide, made.glyph.pieces)


def _tilted(made: Made, cap_height: float) -> int:
    return tilted_edges(made.guide, made.glyph.figure, cap_height)


def _share_read(found: Found) -> str:
    return f"{mean(text == letter for letter, texts in found.items() for text in texts):.0%}"


def _instead(found: Sequence[str]) -> str:
    return ",".join(text or "–" for text in found)
