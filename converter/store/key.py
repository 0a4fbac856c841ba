"""The key of a block: a digest of all that it is made from, and of nothing else.

Which glyph it is (names, characters), what a designer chose among its figures and what she accepts are put on
afterwards (``pipeline.dressed``), so that a change in these finds the block.
"""

import json
from dataclasses import asdict, fields
from hashlib import sha256

from converter.jobs import Job
from converter.settings import Settings

# Settings that no block depends on. All others count, those of tomorrow, too.
_LEFT_OUT = {
    "effort_for", "seam_allowance", "piece_allowance", "figure_colour", "background_colour",  # of the whole set
    "units", "glyphs",  # `speaks` and the glyph's own stand for them
    "parts",  # stand in the treatment
}  # fmt: skip
_WHICH = {"name", "advance"}  # of the outline: which glyph it is, and how it is set beside others


def block_key(job: Job, engine: str) -> str:
    """The key of the job's block as that engine makes it (SHA-256, in hex)."""
    name = job.chosen.name
    own, settings = job.settings.of(name), job.settings.for_glyph(name)
    outline = job.outline
    made_from = {
        "engine": engine,
        "outline": outline and [getattr(outline, f.name) for f in fields(outline) if f.name not in _WHICH],
        "frame": asdict(job.settings.frame(own)),
        # A glyph that fills its block does not care what others are converted with it (`placement.place`).
        "zones": asdict(job.zones) if settings.fit == "together" else None,
        "hand": asdict(job.hand),
        "treatment": asdict(job.treatment),
        "known": job.known,
        "given": job.given,
        "settings": {f.name: getattr(settings, f.name) for f in fields(Settings) if f.name not in _LEFT_OUT},
        "units": settings.speaks,
    }
    text = json.dumps(made_from, default=dict, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return sha256(text.encode()).hexdigest()
