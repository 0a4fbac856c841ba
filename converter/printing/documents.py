"""The five printed documents of a pattern, from the pattern alone."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from converter.drawing.labels import tag
from converter.fabric.cutting import Cutting, cutting_for
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
from converter.printing.colouring import colouring_items
from converter.printing.instructions import instructions_data
from converter.printing.page import Imprint, imprint_of, page_data
from converter.printing.paper import PaperName
from converter.printing.progress import Tell, counting, nothing
from converter.printing.proof import card_data, draw_proof
from converter.printing.selection import Only, Selection, select
from converter.printing.sheets import Drawn, Sheets, draw_templates, pack_sheets
from converter.printing.typesetting import Item, typeset, typeset_in_parts
from converter.printing.wording import listed

EXAMPLE_SIZE = (90.0, 150.0)  # mm that the example template may take
NOTE_PITCH = 13.0  # mm that notes beside it stand apart


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
    imprint: Imprint
    fabric: Sequence[FabricSheet] = ()  # to buy, where more is sewn than these characters


def prepare(
    pattern: Pattern,
    *,
    paper: PaperName = "a4",
    only: Only = None,
    units: Units = "in",
    round_to: float | None = None,
    include_redesign: bool = False,
    date: str = "",
    pictures: Mapping[str, bytes] | None = None,
    tell: Tell = nothing,
    counts: Mapping[str, int] | None = None,
) -> Job:
    """Chooses, draws and packs. Raises :class:`InputError` where nothing can be printed.

    ``round_to``: what patches are rounded up to, mm.
    ``only``: the characters of a text (sheets then hold each as often as the text does), or names; ``counts``: just how
    often, by glyph key. ``date``: in place
    of the pattern's own. ``pictures``: the files of its cover and logo. ``tell`` hears how far it is.
    """
    imprint = imprint_of(pattern, units, pictures)
    if date:
        imprint = replace(imprint, publication=replace(imprint.publication, date=date))
    selection = select(pattern, only, include_redesign, counts)
    drawn = counting(tell, "drawing", len(selection.glyphs))
    templates: dict[str, tuple[Drawn, ...]] = {}
    characters = []
    for glyph in selection.glyphs:
        templates[glyph.key] = draw_templates(pattern, glyph, units)
        characters.append(draw_character(pattern, glyph, templates[glyph.key]))
        drawn(1)
    tell("packing", 0, 1)
    return Job(
        pattern,
        selection,
        paper,
        cutting_for(pattern, units, round_to=round_to),
        templates,
        tuple(characters),
        pack_sheets(selection, templates),
        imprint,
    )


DOCUMENTS = ("instructions.pdf", "characters.pdf", "sheets.pdf", "proof.pdf")


def set_pages(job: Job, tell: Tell = nothing) -> dict[str, bytes]:
    """``instructions.pdf``, ``characters.pdf``, ``sheets.pdf``, ``proof.pdf`` and ``colouring.pdf`` of a
    prepared job.

    The same pattern always gives the same bytes. ``tell`` hears how far the setting is.
    """
    count = len(job.characters)
    pages, places = typeset_in_parts(
        "characters",
        _frame(job, "characters"),
        ((character_data(job.pattern, c, job.cutting), c.figures) for c in job.characters),
        counting(tell, "characters.pdf", count),
    )
    taken = {place["key"]: range(place["first"], place["last"] + 1) for place in places}
    proof, _ = typeset_in_parts(
        "proof", _frame(job, "proof"), _proof_cards(job), counting(tell, "proof.pdf", count)
    )
    items = _sheet_items(job)
    sheets, _ = typeset_in_parts(
        "sheets", _frame(job, "sheets"), items, counting(tell, "sheets.pdf", len(items))
    )
    alphabet = colouring_items(job.pattern, job.selection.glyphs)
    colouring, _ = typeset_in_parts(
        "colouring", _frame(job, "colouring"), alphabet, counting(tell, "colouring.pdf", len(alphabet))
    )
    tell("instructions.pdf", 0, 1)
    instructions = typeset("instructions", _instructions_data(job, taken))
    return {
        "instructions.pdf": instructions,
        "characters.pdf": pages,
        "sheets.pdf": sheets,
        "proof.pdf": proof,
        "colouring.pdf": colouring,
    }


def _instructions_data(job: Job, taken: Mapping[str, Sequence[int]]) -> dict[str, Any]:
    fewest = min(len(pages) for pages in taken.values())
    shown = example(d for c in job.characters if len(taken[c.glyph.key]) == fewest for d in c.templates)
    template = shown.template
    scale = min(1.0, EXAMPLE_SIZE[0] / template.width, EXAMPLE_SIZE[1] / template.height)
    coloured = {f"{c.glyph.key}/coloured": c.figures[f"{c.glyph.key}/coloured"] for c in job.characters}
    own = next(c for c in job.characters if c.glyph.key == shown.glyph.key)
    return _frame(
        job,
        "instructions",
        **instructions_data(
            job.pattern, job.selection, job.sheets, taken, job.cutting, job.imprint, job.fabric
        ),
        **{
            "example": character_data(job.pattern, own, job.cutting),
            "example-template": {
                "figure": shown.figure,
                "width": template.width,
                "height": template.height,
                "scale": scale,
            },
            "callouts": template_callouts(shown, NOTE_PITCH / scale),
            "note-pitch": NOTE_PITCH,
            "figures": {**coloured, **own.figures},
        },
    )


def _proof_cards(job: Job) -> Iterator[Item]:
    for glyph in job.selection.glyphs:
        proof = draw_proof(job.pattern, glyph)
        parts, drawn = None, {proof.figure: proof.svg}
        if proof.parts:
            name = f"{tag(glyph)}, the block"
            parts = parts_data(name, proof.figure, proof.size, proof.outline, proof.parts, ", from the front")
            drawn = parts_figures(proof.figure, proof.parts)
        yield card_data(job.pattern, proof, parts, job.cutting.units), drawn


def _sheet_items(job: Job) -> list[Item]:
    """A packed sheet each, then large templates in their parts, as :class:`Sheets` counts their pages."""
    items: list[Item] = []
    for spots in job.sheets.packed:
        title = "templates of " + listed(dict.fromkeys(tag(s.drawn.glyph) for s in spots))
        drawn = {s.drawn.figure: s.drawn.template.svg for s in spots}
        items.append(({"title": title, "spots": [spot_data(s) for s in spots], "split": None}, drawn))
    for one in job.sheets.splits:
        item = {"title": one.drawn.name, "split": split_data(one)}
        items.append((item, parts_figures(one.drawn.figure, one.parts)))
    return items


def _frame(job: Job, document: str, **content: Any) -> dict[str, Any]:
    """What every document's page template needs."""
    pictures = {"picture": PICTURE, "step-pictures": STEP_PICTURES, "step-gap": STEP_GAP}
    mirrored = document in ("characters", "sheets")
    return page_data(document, job.imprint, job.paper, {**pictures, **content}, mirrored=mirrored)
