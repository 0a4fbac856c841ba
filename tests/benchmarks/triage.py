"""What the sorting out of drafts costs and misses: ``python -m tests.benchmarks.triage FONT --count 100``

Makes icons of the font as drafts and with normal effort, all of them, and tells for each way of sorting (worth it, or
the finding that stands against it) how many became ready, how many better, and what the effort took. In the first row,
what more effort gained is seldom to be less than what it cost; in the others it is what the sorting out misses.
"""

import argparse
import sys
import time
from collections import defaultdict
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random

from rich.console import Console
from rich.table import Table

from converter import Settings, choose_glyphs, load_font, pipeline
from converter.jobs import Job, Made
from converter.model import STATUSES
from converter.triage import obstacle

SEED = 5


@dataclass(slots=True)
class Row:
    """Glyphs that are sorted in one way: how many, what became of them; CPU seconds of both efforts."""

    glyphs: int = 0
    ready: int = 0
    better: int = 0
    worse: int = 0
    draft: float = 0.0
    normal: float = 0.0


def timed(job: Job, settings: Settings) -> tuple[Made, float]:
    """A block with those settings, and the work that it took (CPU seconds)."""
    start = time.process_time()
    return pipeline.make_block(replace(job, settings=settings)), time.process_time() - start


def main(arguments: list[str] | None = None) -> None:
    """Makes, sorts, counts, tells."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("font", type=Path)
    parser.add_argument("--count", type=int, default=100, help="icons, drawn at random")
    parser.add_argument("--minutes", type=float, default=60.0, help="at most")
    given = parser.parse_args(arguments)
    font = load_font(given.font)
    chosen = choose_glyphs(font, glyphs="*").glyphs
    drawn = Random(SEED).sample(chosen, min(given.count, len(chosen)))
    settings = Settings(fit="each", block=(76.2, 76.2), effort="normal")
    jobs, _ = pipeline._jobs(font, drawn, settings)
    rows: dict[str, Row] = defaultdict(Row)
    pipeline.make_block(jobs[0])  # compiled
    end = time.monotonic() + 60 * given.minutes
    for job in jobs:
        if time.monotonic() > end:
            break
        draft, took = timed(job, replace(settings, effort="draft"))
        said = obstacle(draft.glyph)
        row = rows["ready already" if said is None else said or "worth it"]
        row.glyphs += 1
        row.draft += took
        full, took = timed(job, settings)
        row.normal += took
        before, after = (STATUSES.index(made.glyph.status) for made in (draft, full))
        row.ready += after > before and full.glyph.status == "ready"
        row.better += after > before
        row.worse += after < before
        ids = {reason.id for reason in draft.glyph.reasons if reason.severity != "note"}
        print(
            job.chosen.name,
            said,
            draft.glyph.status,
            full.glyph.status,
            *sorted(ids),
            file=sys.stderr,
            flush=True,
        )
    table = Table(
        "draft says", "glyphs", "got ready", "better", "worse", "draft CPU s", "normal CPU s", box=None
    )
    for said, row in sorted(rows.items(), key=lambda one: -one[1].glyphs):
        cells = (row.glyphs, row.ready, row.better, row.worse, f"{row.draft:.1f}", f"{row.normal:.1f}")
        table.add_row(said, *map(str, cells))
    Console(width=120).print(table)


if __name__ == "__main__":
    main()
