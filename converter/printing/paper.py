"""Paper, and the part of it that every page keeps to, so that A4 and Letter print each other's files unharmed.

The areas are centred on either paper, as viewers do at 100 %. The body, which holds all that is cut or
measured, also stays on the paper when a printer lines the page up with a corner instead; only the head and
foot lines may then come to lie in its margin.
"""

from typing import Literal

from converter.units import MM_PER_INCH

PaperName = Literal["a4", "letter"]
PAPERS: dict[PaperName, tuple[float, float]] = {
    "a4": (210.0, 297.0),  # ISO 216
    "letter": (8.5 * MM_PER_INCH, 11 * MM_PER_INCH),  # ANSI/ASME Y14.1 size A
}

MARGIN = MM_PER_INCH / 4  # that home printers can print up to: common practice, no source
LEAST_MARGIN = 3.0  # that most of them reach when a page is not centred: common practice, no source

_WIDTHS, _HEIGHTS = zip(*PAPERS.values(), strict=True)
COMMON = (min(_WIDTHS), min(_HEIGHTS))  # what is on both papers, mm
AREA = (COMMON[0] - 2 * MARGIN, COMMON[1] - 2 * MARGIN)  # head and foot lines included
PEN_ROOM = 0.25  # mm: so that a line on the body's rim lies in the area with its whole width
BODY = (AREA[0] - 2 * PEN_ROOM, 2 * COMMON[1] - max(_HEIGHTS) - 2 * LEAST_MARGIN)


def page_margins(paper: PaperName) -> tuple[float, float]:
    """Left (and right) and top (and bottom) margin of the body, mm."""
    width, height = PAPERS[paper]
    return (width - BODY[0]) / 2, (height - BODY[1]) / 2
