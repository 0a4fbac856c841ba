"""The four printed documents of a pattern, from the pattern alone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from converter.drawing.labels import tag
from converter.fabric.cutting import Cutting
from converter.measures import Units
from converter.model import Pattern
from converter.printing.characters import (
    Character,
    character_data,
    draw_character,
    part_figures,
    split_data,
    spot_data,
)
from converter.printing.paper import AREA, BODY, PAPERS, PaperName, page_margins
from converter.printing.selection import Selection, select
from converter.printing.sheets import PART_CAPTION, Drawn, Sheets, draw_templates, pack_sheets
from converter.printing.typesetting import PAGE_FONT, typeset, typeset_with_places
from converter.printing.wording import listed


@dataclass(frozen=True, slots=True)
class Job:
    """All that is drawn and decided before the pages are set."""

    pattern: Pattern
    selection: Selection
    paper: PaperName
    cutting: Cutting
    templates: Mapping[str, Sequence[Drawn]]
    characters: tuple[Character, ...]
    sheets: Sheets


def prepare(
    pattern: Pattern, *, paper: PaperName = "a4", only: str | None = None, units: Units = "in"
) -> Job:
    """Chooses, draws and packs. Raises :class:`InputError` where nothing can be printed."""
    selection = select(pattern, only)
    templates = draw_templates(pattern, selection.glyphs)
    return Job(
        pattern,
        selection,
        paper,
        Cutting(units=units, allowance=pattern.block.seam_allowance),
        templates,
        tuple(draw_character(pattern, glyph, templates[glyph.key]) for glyph in selection.glyphs),
        pack_sheets(selection, templates),
    )


def set_pages(job: Job) -> dict[str, bytes]:
    """The documents of a prepared job, by file name."""
    figures = {name: svg for character in job.characters for name, svg in character.figures.items()}
    characters = [character_data(job.pattern, character, job.cutting) for character in job.characters]
    pdf, places = typeset_with_places(
        "characters",
        _frame(job, "characters", characters=characters, figures=figures),
        "first-page",
    )
    sheets = typeset("sheets", _sheets_data(job))
    return {"characters.pdf": pdf, "sheets.pdf": sheets}


def _sheets_data(job: Job) -> dict[str, Any]:
    drawn = {d.figure: d.template.svg for spots in job.sheets.packed for d in (s.drawn for s in spots)}
    for one in job.sheets.splits:
        drawn |= part_figures(one)
    return _frame(
        job,
        "sheets",
        sheets=[
            {
                "title": "templates of " + listed(dict.fromkeys(tag(s.drawn.glyph) for s in spots)),
                "spots": [spot_data(spot) for spot in spots],
            }
            for spots in job.sheets.packed
        ],
        splits=[split_data(one) for one in job.sheets.splits],
        figures=drawn,
    )


def _frame(job: Job, document: str, **content: Any) -> dict[str, Any]:
    """What every document's page template needs."""
    source = job.pattern.source
    return {
        "document": document,
        "title": f"{source.family} {source.style}".strip() or source.file,
        "foot": "print at actual size (100 %), on one side",
        "fonts": PAGE_FONT.split(", "),
        "page": {
            "size": PAPERS[job.paper],
            "margins": page_margins(job.paper),
            "area": AREA,
            "body": BODY,
            "part-caption": PART_CAPTION,
        },
        **content,
    }
