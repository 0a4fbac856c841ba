"""All documents of words: what they are, what to cut, and the templates of just their characters."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from converter.printing.cutting_pages import cutting_pages
from converter.printing.documents import Job, prepare, set_pages
from converter.printing.paper import PaperName
from converter.printing.sheets import pack_sheets
from converter.printing.wording import page_ranges
from converter.printing.words_pages import Templates, title, words_pages
from converter.words.making import MadeWords, finishing_text
from converter.words.recolour import in_its_colours

MOST_PACKED = 600  # templates packed together; for more copies one set of sheets is printed again


def print_words(
    made: MadeWords,
    paper: PaperName = "a4",
    *,
    include_redesign: bool = False,
    pictures: Mapping[str, bytes] | None = None,
) -> dict[str, bytes]:
    """``words.pdf``, ``cutting-list.pdf`` and the five documents of the characters, by file name.

    ``sheets.pdf`` holds every template as often as it is sewn, unless these are very many: then as often as
    one copy needs it. Raises :class:`InputError` where a character cannot be printed.
    """
    job, times = _characters(made, paper, include_redesign, pictures or {})
    pages = {g.key: page_ranges(job.sheets.pages_of(g)) for g in job.selection.glyphs}
    name = title(made.layout)
    imprint = job.imprint.named(name)
    return {
        "words.pdf": words_pages(made, Templates(pages, times), imprint, paper),
        "cutting-list.pdf": cutting_pages(
            imprint,
            name if made.job.copies == 1 else f"{name}, {made.job.copies} times",
            made.sheets,
            made.plans,
            made.cutting,
            finishing_text(made.finishing, made.job.units) if made.finishing else (),
            paper,
        ),
        **set_pages(job),
    }


def _characters(
    made: MadeWords, paper: PaperName, include_redesign: bool, pictures: Mapping[str, bytes]
) -> tuple[Job, int]:
    """The prepared job, and how often its sheets are to be printed."""
    asked = made.job
    job = prepare(
        in_its_colours(made.layout, made.colouring),
        paper=paper,
        only=asked.text,
        units=asked.units,
        round_to=asked.round_to,
        include_redesign=include_redesign,
        counts=Counter(block.key for block in made.layout.blocks),
        pictures=pictures,
    )
    often = job.selection.copies
    job = replace(
        job,
        cutting=made.cutting,
        fabric=made.sheets,
        selection=replace(job.selection, only=title(made.layout)),
    )
    templates = sum(len(job.templates[key]) * count for key, count in often.items())
    if asked.copies == 1 or templates * asked.copies > MOST_PACKED:
        return job, asked.copies
    selection = replace(job.selection, copies={key: n * asked.copies for key, n in often.items()})
    return replace(job, selection=selection, sheets=pack_sheets(selection, job.templates)), 1
