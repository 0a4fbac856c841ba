"""From data and a page template to a PDF: Typst sets the pages, pikepdf adds what Typst cannot say.

Nothing depends on the machine: the fonts are the package's own and those inside Typst, there are no dates,
and the files' identifiers come from their content.
"""

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any, Final

import pikepdf
import typst

from converter.packed import Packed
from converter.printing.joining import joined

_HERE = Path(__file__).parent
PAGES = _HERE / "pages"
TYPEFACE = _HERE / "typeface"
PART = 100  # items set at once: Typst holds a document in memory, about 5 MB an item with its pictures
Item = tuple[Mapping[str, Any], Mapping[str, str]]  # data of an item, and its figures by their ids
ACCESSIBLE: Final = (
    "ua-1"  # PDF/UA-1 (ISO 14289-1): tagged, with what readers aloud need; Typst refuses what lacks it
)
PAGE_FONT = "Atkinson Hyperlegible Next, DejaVu Sans Mono"  # the second is in Typst: Greek, Cyrillic, signs


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(TYPEFACE)])


def typeset(template: str, data: Mapping[str, Any]) -> bytes:
    """The PDF of one page template (``pages/TEMPLATE.typ``) filled with data."""
    return _finished(_compiler(template, data).compile(format="pdf", pdf_standards=ACCESSIBLE))


def typeset_in_parts(
    template: str,
    data: Mapping[str, Any],
    items: Iterable[Item],
    tell: Callable[[int], None],
    at_once: int = 0,
) -> tuple[bytes, list[dict[str, Any]]]:
    """As :func:`typeset`, for a document of any length: its items, and where each begins and ends.

    The places are what the template leaves at ``<span>`` (``first`` and ``last`` page, and what else it says).
    ``tell``: told how many more items are done; ``at_once``: the items of a part, if not :data:`PART`. A long document
    is set in parts, twice: first to count the pages.
    Only one that is set as a whole is tagged for readers aloud.
    """
    packed = Packed((str(n), item) for n, item in enumerate(items))  # thousands of pictures take gigabytes
    most, names = at_once or PART, [*packed]
    groups = [names[k : k + most] for k in range(0, len(names), most)]

    def part(names: Sequence[str]) -> dict[str, Any]:
        return _part(data, [packed[name] for name in names])

    if len(groups) == 1:
        compiler = _compiler(template, part(groups[0]))
        pdf = _finished(compiler.compile(format="pdf", pdf_standards=ACCESSIBLE))
        tell(len(packed))
        return pdf, _places(compiler)
    spans = []
    for names in groups:
        spans.append(_places(_compiler(template, part(names))))
        _forget()
    counts = [places[-1]["last"] for places in spans]
    pdfs: list[Any] = []
    before = 0
    for names, places, count in zip(groups, spans, counts, strict=True):
        numbers = {"pages-before": before, "pages-in-all": sum(counts)}
        pdfs.append(_compiler(template, part(names) | numbers).compile(format="pdf", pdf_tags=False))
        _forget()
        for place in places:
            place["first"] += before
            place["last"] += before
        before += count
        tell(len(places))
    return _finished(joined(pdfs)), [place for places in spans for place in places]


def typeset_pictures(
    template: str, data: Mapping[str, Any], items: Sequence[Item], pixels_per_inch: float, at_once: int
) -> list[bytes]:
    """The pages of a document as PNG, ``at_once`` items at a time."""
    pictures: list[bytes] = []
    for k in range(0, len(items), at_once):
        counts = {"pages-before": len(pictures), "pages-in-all": len(items)}
        part = _part(data, items[k : k + at_once]) | counts
        made: Any = _compiler(template, part).compile(format="png", ppi=pixels_per_inch)
        pictures += made if isinstance(made, list) else [made]
        _forget()
    return pictures


def _part(data: Mapping[str, Any], group: Sequence[Item]) -> dict[str, Any]:
    """A document's data with these of its items."""
    return {
        **data,
        "items": [item for item, _ in group],
        "figures": {name: svg for _, figures in group for name, svg in figures.items()},
    }


def _places(compiler: typst.Compiler) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(compiler.query("<span>", field="value"))
    return found


def _forget() -> None:
    """Typst keeps what it has made until ten documents have not needed it; these take no time."""
    for _ in range(11):
        typst.Compiler(input=b"").compile(format="pdf")


def _compiler(template: str, data: Mapping[str, Any]) -> typst.Compiler:
    return typst.Compiler(
        input=str(PAGES / f"{template}.typ"),
        root=str(PAGES),
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
    )


def _finished(pdf: Any) -> bytes:
    """Asks viewers not to scale and not to print on both sides (ISO 32000-1, 12.2)."""
    out = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as document:
        preferences = document.Root.get("/ViewerPreferences", pikepdf.Dictionary())
        preferences["/PrintScaling"] = pikepdf.Name("/None")
        preferences["/Duplex"] = pikepdf.Name("/Simplex")
        preferences["/DisplayDocTitle"] = True
        document.Root["/ViewerPreferences"] = preferences
        document.Root["/PageMode"] = pikepdf.Name("/UseOutlines")
        if "/MarkInfo" in document.Root:  # Typst states the default in a way that some readers complain of
            document.Root["/MarkInfo"] = pikepdf.Dictionary(Marked=True)
        document.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return out.getvalue()
