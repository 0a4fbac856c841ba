"""A block's sewing in words: joins with what must match and which way they are pressed, strips, trimmed allowances."""

from converter.covering import strips, trims
from converter.drawing.meetings import Meeting, Pair, meetings
from converter.fabric.cutting import Cutting
from converter.measures import length_text, mark_step, round_up, size_text
from converter.model import Glyph
from converter.printing.wording import listed

EXACT = 0.2  # mm; a strip that is cut larger by more is trimmed


def join_sentences(glyph: Glyph) -> list[str]:
    """What is done at each join, in order."""
    single = {section.id for section in glyph.sections if len(section.pieces) == 1}
    return [_sentence(meeting, single) for meeting in meetings(glyph)]


def _sentence(meeting: Meeting, single: set[str]) -> str:
    """``single``: sections without paper, on which no mark is seen."""
    first, second = (_part(part) for part in meeting.join.parts)
    words = [f"Sew {second} to {first}."]
    lone = [(pair, part) for pair, part in meeting.lone if part not in single]
    if meeting.matches:
        pairs = (f"{_seam(m.first)} with {_seam(m.second)}" for m in meeting.matches)
        words.append(f"Match {listed(pairs)}.")
    elif not lone:
        words.append("No seams to match: pin the ends.")
    if lone:
        places = (
            _on_marks([p for p, at in lone if at == part], part)
            for part in dict.fromkeys(at for _, at in lone)
        )
        words.append(f"Lay {listed(places)}.")
    words.append(f"Press towards {_part(meeting.towards)}." if meeting.towards else "Press open.")
    return " ".join(words)


def _on_marks(pairs: list[Pair], part: str) -> str:
    """Such as ``A1/B1 and B3/C2 on the marks of section D``."""
    return f"{listed(map(_seam, pairs))} on the {'mark' if len(pairs) == 1 else 'marks'} of {_part(part)}"


def _part(name: str) -> str:
    """Such as ``section A``, ``the joined sections A and B``."""
    return f"section {name}" if "+" not in name else f"the joined sections {listed(name.split('+'))}"


def _seam(pair: Pair) -> str:
    """Such as ``A5/A8``."""
    return "/".join(pair)


def strip_sentences(glyph: Glyph, cutting: Cutting) -> list[str]:
    """Sections of one piece, which need no paper, with the size to cut."""
    found = []
    sizes = strips(glyph, cutting.allowance, cutting.inner_allowance)
    for section in glyph.sections if glyph.joins else ():
        if len(section.pieces) > 1:
            continue
        if section.id not in sizes:
            found.append(
                f"Section {section.id} is one piece and needs no paper: "
                "cut the fabric by its template, laid on the wrong side."
            )
            continue
        step = mark_step(cutting.units)
        off = max(round_up(side, step) - side for side in sizes[section.id])
        size = size_text(*sizes[section.id], cutting.units, "up")
        how = f"Cut it {size}." if off < EXACT else f"Cut a strip of {size} and trim it to its template."
        found.append(f"Section {section.id} is a strip and needs no paper. {how}")
    return found


def trim_sentences(glyph: Glyph, cutting: Cutting) -> list[str]:
    """Where allowances are trimmed to less than the others, the least first."""
    by_size: dict[float, list[str]] = {}
    for piece, size in trims(glyph, cutting.inner_allowance, mark_step(cutting.units)).items():
        by_size.setdefault(size, []).append(piece)
    return [
        f"Trim the allowance under {listed(pieces)} to {length_text(size, cutting.units)}."
        for size, pieces in sorted(by_size.items())
    ]
