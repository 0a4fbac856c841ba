"""What every page template needs to know of the paper, the set and the document."""

import base64
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from converter.measures import Units, is_metric, length_text
from converter.model import Pattern
from converter.printing.paper import AREA, BODY, PAPERS, PaperName, page_margins
from converter.printing.sheets import PART_CAPTION
from converter.printing.typesetting import PAGE_FONT
from converter.publication import Picture, Publication, publication_of
from converter.units import MM_PER_INCH

SCALE = "print at 100 %, on one side"
Bar = tuple[float, int, str]  # a scale bar at the foot of pages: mm, its parts, its name
INCH_BAR: Bar = (MM_PER_INCH, 1, "1 in")
METRIC_BAR: Bar = (20.0, 2, "2 cm")
_LONGEST_TITLE = 60  # characters of it that stand at the head of a page
_TYPES = {"png": "image/png", "jpg": "image/jpeg"}


@dataclass(frozen=True, slots=True)
class Imprint:
    """What all documents of a set say of it. ``pictures``: the files of its cover and logo, by their names."""

    title: str
    made_from: str  # the font's name
    publication: Publication
    units: Units
    allowance: float  # mm
    pictures: Mapping[str, bytes] = field(default_factory=dict)

    def named(self, title: str) -> "Imprint":
        """The same for something made with the set, which has a title of its own."""
        return replace(self, title=title)


def imprint_of(pattern: Pattern, units: Units, pictures: Mapping[str, bytes] | None = None) -> Imprint:
    """The imprint of a set. Raises :class:`InputError` where what it says of itself is damaged."""
    source, publication = pattern.source, publication_of(pattern)
    font = f"{source.family} {source.style}".strip() or source.file
    title = publication.title or font
    return Imprint(title, font, publication, units, pattern.block.seam_allowance, pictures or {})


def bars(units: Units) -> tuple[Bar, ...]:
    """The scale bars at the foot of pages in those units."""
    if units == "both":
        return INCH_BAR, METRIC_BAR
    return (METRIC_BAR,) if is_metric(units) else (INCH_BAR,)


def page_data(
    document: str, imprint: Imprint, paper: PaperName, content: Mapping[str, Any], *, mirrored: bool = False
) -> dict[str, Any]:
    """The data of one document: its name ``document`` stands at the foot of its pages, the imprint at their head.

    ``mirrored``: whether it has templates.
    """
    said = imprint.publication
    allowance = f"seam allowance {length_text(imprint.allowance, imprint.units)}"
    return {
        "document": document,
        "title": imprint.title,
        "edition": _edition(imprint),
        "author": said.designer,
        "copyright": said.copyright or said.designer,
        "subject": f"Foundation-pieced blocks, made from the font {imprint.made_from}",
        "contact": said.contact,
        "keywords": list(said.keywords),
        "language": said.language.split("-"),
        "logo": wrapped(said.logo, imprint.pictures) if said.logo else None,
        "foot": f"{'mirrored, ' if mirrored else ''}{SCALE} · {allowance}",
        "bars": bars(imprint.units),
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


def _edition(imprint: Imprint) -> str:
    """What it is and of which version; of words also what they are made from."""
    said = imprint.publication
    version = f", version {said.version}" if said.version else ""
    title = shortened(said.title or imprint.title, _LONGEST_TITLE)
    if imprint.title != said.title and said.title:
        return f"{shortened(imprint.title, _LONGEST_TITLE // 2)} · from {title}{version}"
    return shortened(imprint.title, _LONGEST_TITLE) + version


def shortened(text: str, most: int) -> str:
    """A text cut to ``most`` characters, with a sign that it was."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def wrapped(picture: Picture, files: Mapping[str, bytes]) -> dict[str, Any] | None:
    """A picture as an SVG text with its proportions; None where its file is not there.

    Pixels are put into a drawing, since page templates are told texts only.
    """
    if picture.file not in files:
        return None
    data, ending = files[picture.file], picture.file.rpartition(".")[2]
    size = f'width="{picture.width:g}" height="{picture.height:g}"'
    if ending == "svg":
        svg = data.decode("utf-8")
    else:
        pixels = base64.b64encode(data).decode("ascii")
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {picture.width:g} {picture.height:g}">'
            f'<image {size} href="data:{_TYPES[ending]};base64,{pixels}"/></svg>'
        )
    return {"svg": svg, "size": [picture.width, picture.height]}
