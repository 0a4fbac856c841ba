"""Short sentences and figures of the printed pages, in plain words."""

from collections.abc import Iterable

from converter.drawing.labels import tag
from converter.drawing.meetings import match_count
from converter.fabric.cutting import Cutting, grouped
from converter.fabric.patches import Patch
from converter.fabric_codes import label_of
from converter.measures import Units, length_text, size_text
from converter.model import BACKGROUND, Glyph, Pattern
from converter.seams import Seam


def counted(count: int, one: str, many: str = "") -> str:
    """Such as ``1 piece``, ``3 pieces``."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def listed(words: Iterable[str]) -> str:
    """Such as ``A, B and C``."""
    found = list(words)
    return " and ".join(filter(None, (", ".join(found[:-1]), found[-1]))) if found else ""


def page_ranges(pages: Iterable[int]) -> str:
    """Such as ``1–3, 7``; a range runs over at least two pages.

    >>> page_ranges([1, 2, 3, 7])
    '1–3, 7'
    """
    runs: list[list[int]] = []
    for page in sorted(set(pages)):
        if runs and page == runs[-1][1] + 1:
            runs[-1][1] = page
        else:
            runs.append([page, page])
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in runs)


def facts(glyph: Glyph, units: Units) -> list[str]:
    """What makes a block easy or hard."""
    m = glyph.metrics
    found = [counted(m.pieces, "piece"), counted(m.sections, "section")]
    if m.joins:
        found.append(counted(m.joins, "join"))
    if matches := match_count(glyph):
        found.append(counted(matches, "seam to match", "seams to match"))
    if m.min_piece_width is not None:
        found.append(f"narrowest piece {length_text(m.min_piece_width, units)}")
    if m.min_corner_degrees is not None:
        found.append(f"sharpest corner {m.min_corner_degrees:.0f}°")
    return found


def seam_caption(glyph: Glyph, seam: Seam) -> str:
    """What one step does."""
    if seam.kind == "inner":
        first = next(s.pieces[0] for s in glyph.sections if s.id == seam.section)
        return f"{first} + {seam.added}" if seam.step == 2 else f"add {seam.added}"
    return f"join {seam.step}"


def cut_rows(pattern: Pattern, patches: Iterable[Patch], cutting: Cutting) -> list[dict[str, str]]:
    """What to cut for one character: equal patches together, their size along the seam × across it."""
    found = tuple(patches)
    several = len({patch.fabric for patch in found} - {BACKGROUND}) > 1
    names = {f"{patch.name} {patch.piece}": patch.piece for patch in found}
    return [
        {
            "count": str(cut.count),
            "fabric": label_of(cut.fabric, pattern.fabrics, several),
            "colour": pattern.fabrics[cut.fabric].colour if cut.fabric in pattern.fabrics else "#bbbbbb",
            "size": size_text(*cut.sides, cutting.units, "up"),
            "pieces": " ".join(names[use] for use in cut.uses),
            "what": "strip" if cut.kind == "strip" else "",
        }
        for cut in grouped(patch.cut() for patch in found)
    ]


def character_list(glyphs: Iterable[Glyph]) -> str:
    """Tags in a row, single characters without commas; of very many the first ones and how many more."""
    tags = [
        glyph.text if len(glyph.text) == 1 and tag(glyph)[:1] == glyph.text else tag(glyph)
        for glyph in glyphs
    ]
    single = all(len(t) == 1 for t in tags)
    most = 200 if single else 40
    shown = (" " if single else ", ").join(tags[:most])
    return shown if len(tags) <= most + 1 else f"{shown} and {len(tags) - most} more"
