"""From data and a page template to a PDF: Typst sets the pages, pikepdf adds what Typst cannot say.

Nothing depends on the machine: the fonts are the package's own and those inside Typst, there are no dates,
and the files' identifiers come from their content.
"""

import json
from collections.abc import Mapping
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import typst

_HERE = Path(__file__).parent
PAGES = _HERE / "pages"
TYPEFACE = _HERE / "typeface"
PAGE_FONT = "Atkinson Hyperlegible Next, DejaVu Sans Mono"  # the second is in Typst: Greek, Cyrillic, signs


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[str(TYPEFACE)])


def typeset(template: str, data: Mapping[str, Any]) -> bytes:
    """The PDF of one page template (``pages/TEMPLATE.typ``) filled with data."""
    return _finished(_compiler(template, data).compile(format="pdf"))


def typeset_with_places(
    template: str, data: Mapping[str, Any], label: str
) -> tuple[bytes, list[dict[str, Any]]]:
    """As :func:`typeset`, and the values that the template left at ``<label>`` (page numbers, say)."""
    compiler = _compiler(template, data)
    pdf = _finished(compiler.compile(format="pdf"))
    return pdf, json.loads(compiler.query(f"<{label}>", field="value"))


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
