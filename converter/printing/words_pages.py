"""``words.pdf``: the words in colour and blank, what they take, whether they read, how they are put together."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from math import ceil
from typing import Any

from converter.drawing.labels import tag
from converter.fabric.cutting import Cut, strip_cut
from converter.fabric.cutting_list import CAUTION
from converter.measures import Units, size_text
from converter.printing.page import Imprint, page_data, shortened
from converter.printing.paper import BODY, PaperName
from converter.printing.typesetting import PAGE_FONT, typeset
from converter.printing.wording import counted, listed, page_ranges
from converter.words.assembly_drawing import assembly_svg, row_svg
from converter.words.colours import contrast_pairs
from converter.words.contrast import LARGE_TEXT, ratio_text
from converter.words.drawing import layout_svg
from converter.words.making import MadeWords, assembly_lines, finishing_text
from converter.words.parts import Layout, PlacedBlock, Strip

_CAPTIONS = (20.0, 24.0)  # mm that the sizes take round a drawing
_MAP = 80.0  # mm on paper that the map of the whole may be high
_BLOCK_NAME, _STRIP_NAME = 8.0, 2.0  # mm on paper that a block and a strip need for a name that can be read
_LARGEST_SCALE = 0.6
_LONGEST_TITLE = 60


@dataclass(frozen=True, slots=True)
class Templates:
    """What is to be printed for the words, beside this document: pages by glyph key, as text."""

    pages: Mapping[str, str]  # of sheets.pdf
    times: int  # how often sheets.pdf is to be printed


def words_pages(made: MadeWords, templates: Templates, imprint: Imprint, paper: PaperName = "a4") -> bytes:
    """The PDF of words that were made; the cutting list is a document of its own."""
    layout, units = made.layout, made.job.units
    figures: dict[str, str] = {}
    content = {
        "lines": list(layout.lines),
        "facts": _facts(made),
        "drawings": {
            "colour": _drawn(figures, "colour", _whole(made, 105.0, "colour")),
            "blank": _drawn(figures, "blank", _whole(made, 88.0, "blank")),
            "numbers": _drawn(figures, "numbers", _whole(made, 88.0, "numbers")),
            "map": _drawn(figures, "map", _whole(made, _MAP, "map")),
            "rows": [_drawn(figures, f"row-{n}", svg) for n, svg in enumerate(_row_drawings(layout), 1)],
        },
        "colours": _colours(made),
        "contrasts": _contrasts(made),
        "asked-contrast": f"{LARGE_TEXT:g}:1",
        "warnings": list(made.colouring.warnings),
        "notes": list(layout.notes),
        "templates": [
            {
                "tag": tag(glyph),
                "copies": layout.counts()[glyph.key] * made.job.copies,
                "sections": counted(len(glyph.sections), "section"),
                "pages": templates.pages.get(glyph.key, ""),
            }
            for glyph in layout.pattern.glyphs
        ],
        "times": templates.times,
        "strips": strip_rows(made),
        "steps": list(assembly_lines(layout)),
        "finishing": list(finishing_text(made.finishing, units)) if made.finishing else [],
        "caution": CAUTION,
        "figures": figures,
    }
    return typeset("words", page_data("words", imprint, paper, content))


def title(layout: Layout) -> str:
    """The words on one line, symbols by their bare names, cut short where they are many."""
    lines = (re.sub(r"\s*\{([^{}]+)\}\s*", r" \1 ", line).strip() for line in layout.lines)
    text = " / ".join(filter(None, lines))
    return shortened(text, _LONGEST_TITLE)


def strip_rows(made: MadeWords) -> list[dict[str, str]]:
    """Equal strips together: their ids, finished size, and what is cut for each."""
    rows: dict[tuple[object, ...], tuple[list[str], Strip, Cut]] = {}
    for strip in made.layout.strips:
        fabric = made.colouring.strips[strip.id]
        cut = strip_cut(fabric, strip.width, strip.height, made.cutting)
        key = (fabric, strip.kind, round(cut.length, 3), round(cut.width, 3), cut.joined_from)
        rows.setdefault(key, ([], strip, cut))[0].append(strip.id)
    fabrics = {row.id: row for row in made.colouring.table}
    units = made.job.units
    return [
        {
            "ids": _id_ranges(ids),
            "what": strip.kind,
            "fabric": fabrics[cut.fabric].label,
            "colour": fabrics[cut.fabric].colour,
            "finished": size_text(strip.width, strip.height, units),
            "cut": size_text(cut.length, cut.width, units, "up")
            + (f", {cut.joined_from} sewn end to end" if cut.joined_from > 1 else ""),
        }
        for ids, strip, cut in rows.values()
    ]


def _id_ranges(ids: Iterable[str]) -> str:
    """Such as ``s1–s4, s7``."""
    numbers = page_ranges(int(strip_id.removeprefix("s")) for strip_id in ids)
    return ", ".join("–".join(f"s{n}" for n in run.split("–")) for run in numbers.split(", "))


def _facts(made: MadeWords) -> list[tuple[str, str]]:
    layout, units = made.layout, made.job.units
    kinds = len({block.key for block in layout.blocks})
    facts = [
        ("finished", size_text(layout.width, layout.height, units)),
        ("with seam allowance", size_text(*layout.unfinished, units)),
        ("blocks", f"{len(layout.blocks)}, of {counted(kinds, 'character')}, {_block_sizes(layout, units)}"),
        ("strips", str(len(layout.strips))),
    ]
    if made.job.copies > 1:
        facts.append(("made", f"{made.job.copies} times"))
    return facts


def _block_sizes(layout: Layout, units: Units) -> str:
    sizes = dict.fromkeys(size_text(block.width, block.height, units) for block in layout.blocks)
    return f"{listed(sizes)} finished" if len(sizes) <= 3 else f"{len(sizes)} sizes"


def _whole(made: MadeWords, height: float, kind: str) -> str:
    layout, units = made.layout, made.job.units
    paper = (BODY[0] - _CAPTIONS[0], height)
    if kind == "map":
        return assembly_svg(layout, units, paper=paper, font=PAGE_FONT)
    colouring = None if kind == "blank" else made.colouring
    return layout_svg(layout, colouring, units, numbers=kind == "numbers", paper=paper, font=PAGE_FONT)


def _drawn(figures: dict[str, str], name: str, svg: str) -> dict[str, Any]:
    """Keeps a drawing and tells its size, which stands in its first line."""
    figures[name] = svg
    width, height = (float(svg.split(f' {side}="', 1)[1].split('mm"', 1)[0]) for side in ("width", "height"))
    return {"figure": name, "width": width, "height": height}


def _row_drawings(layout: Layout) -> Iterator[str]:
    """The rows in parts, larger, where the map of the whole is too small to read its names."""
    beside = [s for s in layout.strips if s.kind not in ("border", "line")]
    wanted = max(
        _BLOCK_NAME / min(block.width for block in layout.blocks),
        _STRIP_NAME / min((min(s.width, s.height) for s in beside), default=_BLOCK_NAME),
    )
    if min((BODY[0] - _CAPTIONS[0]) / layout.width, _MAP / layout.height) >= wanted:
        return
    width = BODY[0] - 2
    scale = min(wanted, _LARGEST_SCALE)
    for _, row in groupby(layout.blocks, key=lambda block: block.id.split(".")[0]):
        for part in _even_parts(list(row), width / scale):
            yield row_svg(layout, part, scale, width=width, font=PAGE_FONT)


def _even_parts(blocks: list[PlacedBlock], at_most: float) -> Iterator[list[PlacedBlock]]:
    """The blocks of a row in as few parts as are not wider than ``at_most`` mm, of about one width."""
    whole = blocks[-1].x + blocks[-1].width - blocks[0].x
    parts = ceil(whole / at_most)
    for number in range(parts):
        left, right = (blocks[0].x + whole * n / parts for n in (number, number + 1))
        part = [b for b in blocks if left <= b.x + b.width / 2 < right]
        if part:
            yield part


def _contrasts(made: MadeWords) -> list[dict[str, Any]]:
    colours = {row.label: row.colour for row in made.colouring.table}
    return [
        {
            "figure": pair.figure,
            "background": pair.background,
            "colours": [colours[pair.figure], colours[pair.background]],
            "ratio": f"{ratio_text(pair.ratio)}:1",
            "reads": pair.ratio >= LARGE_TEXT,
            "where": ", ".join(pair.words),
        }
        for pair in contrast_pairs(made.layout, made.colouring)
    ]


def _colours(made: MadeWords) -> list[dict[str, Any]]:
    buy = {sheet.fabric: sheet.buy for sheet in made.sheets}
    return [
        {
            "number": row.number,
            "label": row.label,
            "colour": row.colour,
            "grey": row.grey,
            "value": row.colour if row.label != row.colour else "",
            "buy": buy.get(row.id, ""),
        }
        for row in made.colouring.table
    ]
