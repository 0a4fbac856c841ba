"""Characters of several sets in one: letters from one font, symbols from another."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from converter.measures import Units, length_text
from converter.model import (
    BACKGROUND,
    FIGURE,
    Fabric,
    Glyph,
    Licence,
    LicenceVerdict,
    Pattern,
    Source,
    Spacing,
)
from converter.words.frames import block_width
from converter.words.scaling import scale_pattern

_WORST_FIRST: tuple[LicenceVerdict, ...] = ("restricted", "unknown", "open")
_SAME = 1e-3  # mm


def merge(
    pattern: Pattern, others: Sequence[Pattern], units: Units = "in"
) -> tuple[Pattern, tuple[str, ...]]:
    """The set with what the others have beside it, scaled to its blocks' height; and what was scaled, in words.

    A character that is in several sets is taken from the first; letter and background fabrics are the
    first set's too. The source names all fonts, and is as open as the least open of them.
    """
    notes = []
    for other in others:
        factor = pattern.block.height / other.block.height
        taken = _beside(pattern, scale_pattern(other, factor))
        if abs(other.block.height - pattern.block.height) > _SAME and len(taken.glyphs) > len(pattern.glyphs):
            height = length_text(pattern.block.height, units)
            notes.append(
                f"Blocks of {_name(other.source)} are scaled to {factor * 100:.1f} %, {height} high."
            )
        pattern = taken
    return pattern, tuple(notes)


def _beside(pattern: Pattern, other: Pattern) -> Pattern:
    texts = {glyph.text for glyph in pattern.glyphs if glyph.text}
    names = {glyph.name for glyph in pattern.glyphs}
    keys = {glyph.key for glyph in pattern.glyphs}
    fabrics: dict[str, Fabric] = dict(pattern.fabrics)
    renamed = {FIGURE: FIGURE, BACKGROUND: BACKGROUND}
    for fabric_id, fabric in other.fabrics.items():
        if fabric_id not in renamed:
            renamed[fabric_id] = _free(fabric_id, {k for k, known in fabrics.items() if known != fabric})
            fabrics[renamed[fabric_id]] = fabric
    added: list[Glyph] = []
    renamed_keys: dict[str, str] = {}
    for glyph in other.glyphs:
        if glyph.pieces and glyph.text not in texts and glyph.name not in names:
            key = _free(glyph.key, keys)
            keys.add(key)
            renamed_keys[glyph.key] = key
            added.append(_moved_in(glyph, key, block_width(glyph, other), renamed))
    if not added:
        return pattern
    kept = tuple(
        replace(glyph, metrics=replace(glyph.metrics, block_width=block_width(glyph, pattern)))
        for glyph in pattern.glyphs
    )
    return replace(
        pattern,
        source=_both(pattern.source, other.source),
        fabrics=fabrics,
        glyphs=(*kept, *added),
        spacing=_spacing(pattern.spacing, other.spacing, renamed_keys),
    )


def _spacing(one: Spacing | None, other: Spacing | None, keys: Mapping[str, str]) -> Spacing | None:
    """The first's spacing, with that of what was taken from the other; nothing kerns across two fonts."""
    if one is None or other is None:
        return one
    kerning = {
        keys[left]: {keys[right]: kern for right, kern in row.items() if right in keys}
        for left, row in other.kerning.items()
        if left in keys
    }
    advances = {keys[key]: advance for key, advance in other.advances.items() if key in keys}
    return Spacing(one.space, {**one.advances, **advances}, {**one.kerning, **kerning})


def _moved_in(glyph: Glyph, key: str, width: float, fabrics: Mapping[str, str]) -> Glyph:
    pieces = tuple(replace(p, fabric=fabrics.get(p.fabric, p.fabric)) for p in glyph.pieces)
    return replace(glyph, key=key, pieces=pieces, metrics=replace(glyph.metrics, block_width=width))


def _free(name: str, taken: set[str]) -> str:
    """The name, with a number where it is taken."""
    number, found = 2, name
    while found in taken:
        found, number = f"{name}-{number}", number + 1
    return found


def _name(source: Source) -> str:
    return f"{source.family} {source.style}".strip() or source.file


def _embedding(fs_type: int) -> int:
    """The place of embedding rights among them, the least first: restricted, print, edit, installable.

    Source: OpenType specification, OS/2 table, fsType.
    """
    return next((n for n, bit in enumerate((0x0002, 0x0004, 0x0008)) if fs_type & bit), 3)


def _both(one: Source, other: Source) -> Source:
    def joined(first: str, second: str, between: str = "; ") -> str:
        return between.join(dict.fromkeys(filter(None, (first, second))))

    a, b = one.licence, other.licence
    verdict = min(a.verdict, b.verdict, key=_WORST_FIRST.index)
    licence = Licence(
        text=joined(a.text, b.text, " "),
        url=joined(a.url, b.url),
        fs_type=min(a.fs_type, b.fs_type, key=_embedding),
        verdict=verdict,
        name=joined(a.name, b.name),
        evidence=joined(a.evidence, b.evidence),
        checked=joined(a.checked, b.checked),
    )
    return Source(
        file=joined(one.file, other.file, ", "),
        sha256=one.sha256,
        family=joined(_name(one), _name(other), " and "),
        style="",
        licence=licence,
    )
