"""What every page template needs to know of the paper and the document."""

from collections.abc import Mapping
from typing import Any

from converter.printing.paper import AREA, BODY, PAPERS, PaperName, page_margins
from converter.printing.sheets import PART_CAPTION
from converter.printing.typesetting import PAGE_FONT

FOOT = "print at actual size (100 %), on one side"


def page_data(document: str, title: str, paper: PaperName, content: Mapping[str, Any]) -> dict[str, Any]:
    """The data of one document: ``title`` stands at the head of its pages, ``document`` at the foot."""
    return {
        "document": document,
        "title": title,
        "foot": FOOT,
        "fonts": PAGE_FONT.split(", "),
        "page": {
            "size": PAPERS[paper],
            "margins": page_margins(paper),
            "area": AREA,
            "body": BODY,
            "part-caption": PART_CAPTION,
        },
        "pages-before": 0,
        "pages-in-all": 0,  # as many as there are: only a document that is set in parts has to be told
        **content,
    }
