"""One PDF of several: their pages, their bookmarks, the numbers of their pages."""

from collections.abc import Sequence
from io import BytesIO
from typing import Any

import pikepdf


def joined(pdfs: Sequence[bytes]) -> bytes:
    """The pages of all documents in one, with what the first one says of itself, numbered from 1."""
    out = BytesIO()
    with pikepdf.open(BytesIO(pdfs[0])) as whole:
        marks = _bookmarks(whole, 0)
        for pdf in pdfs[1:]:
            with pikepdf.open(BytesIO(pdf)) as part:
                marks += _bookmarks(part, len(whole.pages))
                whole.pages.extend(part.pages)
        with whole.open_outline() as outline:
            outline.root[:] = [pikepdf.OutlineItem(title, page, "XYZ", top=top) for title, page, top in marks]
        label = pikepdf.Dictionary(Type=pikepdf.Name("/PageLabel"), S=pikepdf.Name("/D"), St=1)
        whole.Root["/PageLabels"] = pikepdf.Dictionary(Nums=pikepdf.Array([0, label]))
        del whole.Root["/Metadata"]  # what it says of the number of pages is no longer so
        with whole.open_metadata(set_pikepdf_as_editor=False) as metadata:
            metadata.load_from_docinfo(whole.docinfo)
            metadata["dc:language"] = {str(whole.Root.Lang)}
        whole.save(out, deterministic_id=True)
    return out.getvalue()


def _bookmarks(document: pikepdf.Pdf, before: int) -> list[tuple[str, int, float]]:
    """Title, page from 0 in the whole document, and height on it in points of the bookmarks at the top level."""
    numbers: dict[Any, int] = {page.objgen: n for n, page in enumerate(document.pages)}
    found = []
    with document.open_outline() as outline:
        for item in outline.root:
            goal: Any = item.destination
            found.append((item.title, before + numbers[goal[0].objgen], float(goal[3])))
    return found
