"""The four printed documents of a pattern, from the pattern alone."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from converter.drawing.labels import tag
from converter.fabric.cutting import Cutting
from converter.fabric.cutting_list import FabricSheet
from converter.measures import Units
from converter.model import Pattern
from converter.printing.callouts import example, template_callouts
from converter.printing.characters import (
    PICTURE,
    STEP_GAP,
    STEP_PICTURES,
    Character,
    character_data,
    draw_character,
    parts_data,
    parts_figures,
    split_data,
    spot_data,
)
from converter.printing.instructions import instructions_data
from converter.printing.page import page_data
from converter.printing.paper import PaperName
from converter.printing.proof import card_data, draw_proof
from converter.printing.selection import Selection, select
from converter.printing.sheets import Drawn, Sheets, draw_templates, pack_sheets
from converter.printing.typesetting import typeset, typeset_with_places
from converter.printing.wording import listed

EXAMPLE_SIZE = (90.0, 150.0)  # mm that the example template may take


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
    date: str = ""  # printed on the cover as it is
    fabric: Sequence[FabricSheet] = ()  # to buy, where more is sewn than these characters


def prepare(
    pattern: Pattern,
    *,
    paper: PaperName = "a4",
    only: str | None = None,
    units: Units = "in",
    include_redesign: bool = False,
    date: str = "",
) -> Job:
    """Chooses, draws and packs. Raises :class:`InputError` where nothing can be printed."""
    selection = select(pattern, only, include_redesign)
    templates = draw_templates(pattern, selection.glyphs, units)
    return Job(
        pattern,
        selection,
        paper,
        Cutting(units=units, allowance=pattern.block.seam_allowance),
        templates,
        tuple(draw_character(pattern, glyph, templates[glyph.key]) for glyph in selection.glyphs),
        pack_sheets(selection, templates),
        date,
    )


def set_pages(job: Job) -> dict[str, bytes]:
    """The documents of a prepared job, by file name."""
    characters = {c.glyph.key: character_data(job.pattern, c, job.cutting) for c in job.characters}
    figures = {name: svg for character in job.characters for name, svg in character.figures.items()}
    pages, places = typeset_with_places(
        "characters",
        _frame(job, "characters", characters=list(characters.values()), figures=figures),
        "span",
    )
    taken = {place["key"]: range(place["first"], place["last"] + 1) for place in places}
    return {
        "instructions.pdf": typeset("instructions", _instructions_data(job, taken, characters, figures)),
        "characters.pdf": pages,
        "sheets.pdf": typeset("sheets", _sheets_data(job)),
        "proof.pdf": typeset("proof", _proof_data(job)),
    }


def print_pattern(
    pattern: Pattern,
    *,
    paper: PaperName = "a4",
    only: str | None = None,
    units: Units = "in",
    include_redesign: bool = False,
    date: str = "",
) -> Mapping[str, bytes]:
    """``instructions.pdf``, ``characters.pdf``, ``sheets.pdf`` and ``proof.pdf`` of a pattern.

    ``only``: the characters of a text (sheets then hold each as often as the text does). The same pattern
    always gives the same bytes. Raises :class:`InputError` where nothing can be printed.
    """
    return set_pages(
        prepare(pattern, paper=paper, only=only, units=units, include_redesign=include_redesign, date=date)
    )


def _instructions_data(
    job: Job,
    taken: Mapping[str, Sequence[int]],
    characters: Mapping[str, Any],
    figures: Mapping[str, str],
) -> dict[str, Any]:
    fewest = min(len(pages) for pages in taken.values())
    shown = example(d for c in job.characters if len(taken[c.glyph.key]) == fewest for d in c.templates)
    template = shown.template
    names = [f"{g.key}/coloured" for g in job.selection.glyphs] + [
        name for name in figures if name.startswith(f"{shown.glyph.key}/")
    ]
    return _frame(
        job,
        "instructions",
        **instructions_data(job.pattern, job.selection, job.sheets, taken, job.cutting, job.fabric),
        **{
            "example": characters[shown.glyph.key],
            "example-template": {
                "figure": shown.figure,
                "width": template.width,
                "height": template.height,
                "scale": min(1.0, EXAMPLE_SIZE[0] / template.width, EXAMPLE_SIZE[1] / template.height),
            },
            "callouts": template_callouts(shown),
            "date": job.date,
            "figures": {name: figures[name] for name in names},
        },
    )


def _proof_data(job: Job) -> dict[str, Any]:
    cards: list[dict[str, Any]] = []
    drawn: dict[str, str] = {}
    for glyph in job.selection.glyphs:
        proof = draw_proof(job.pattern, glyph)
        data = None
        if proof.parts:
            name = f"{tag(glyph)}, the block"
            data = parts_data(name, proof.figure, proof.size, proof.outline, proof.parts, ", from the front")
            drawn |= parts_figures(proof.figure, proof.parts)
        else:
            drawn[proof.figure] = proof.svg
        cards.append(card_data(job.pattern, proof, data, job.cutting.units))
    return _frame(job, "proof", cards=cards, figures=drawn)


def _sheets_data(job: Job) -> dict[str, Any]:
    drawn = {d.figure: d.template.svg for spots in job.sheets.packed for d in (s.drawn for s in spots)}
    for one in job.sheets.splits:
        drawn |= parts_figures(one.drawn.figure, one.parts)
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
    title = f"{source.family} {source.style}".strip() or source.file
    pictures = {"picture": PICTURE, "step-pictures": STEP_PICTURES, "step-gap": STEP_GAP}
    return page_data(document, title, job.paper, {**pictures, **content})
