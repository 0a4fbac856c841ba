"""Whether what our own files say makes sense: after the schema, and before anything is made of it."""

from dataclasses import replace

from shapely import MultiPolygon, Polygon, get_parts, make_valid

from converter.budgets.files import MENDED
from converter.budgets.words import LABEL
from converter.drawing.block import block_size
from converter.errors import InputError
from converter.fonts.plain import plain_text
from converter.model import Finding, Glyph, Pattern, Polygons, Ring, Source
from converter.polygons import rings_of
from converter.settings import Settings
from converter.verify import NotSewableError, verify_glyph


def sound_pattern(pattern: Pattern, name: str = "pattern.json") -> Pattern:
    """The pattern, every block of it replayed.

    A block that cannot be sewn as the file has it loses its pieces and has to be redesigned: nothing is printed
    of it. Raises :class:`InputError`, with the file's ``name``, for what concerns all blocks.
    """
    try:
        Settings.from_echo(pattern.settings)
    except InputError as error:
        raise InputError(f"{name} is damaged: {error}") from None
    keys = [glyph.key.casefold() for glyph in pattern.glyphs]
    if len(set(keys)) < len(keys):
        twice = next(key for key in keys if keys.count(key) > 1)
        raise InputError(f"{name} is damaged: the block {twice} is in it twice; run convert again.")
    fabrics = {
        key: replace(fabric, label=plain_text(fabric.label, LABEL.most))
        for key, fabric in pattern.fabrics.items()
    }
    glyphs = tuple(_sound(pattern, glyph) for glyph in pattern.glyphs)
    return replace(pattern, source=_plain(pattern.source), fabrics=fabrics, glyphs=glyphs)


def _plain(source: Source) -> Source:
    """The same in words that can be set: no page is made of a control character."""
    said = source.licence
    licence = replace(
        said,
        text=_printable(said.text),
        url=_printable(said.url),
        name=_printable(said.name),
        evidence=_printable(said.evidence),
        checked=_printable(said.checked),
    )
    return replace(
        source,
        file=_printable(source.file),
        family=_printable(source.family),
        style=_printable(source.style),
        licence=licence,
    )


def _printable(text: str) -> str:
    return text if text.isprintable() else plain_text(text, len(text))


def _sound(pattern: Pattern, glyph: Glyph) -> Glyph:
    if not (glyph.name.isprintable() and glyph.text.isprintable()):
        glyph = replace(glyph, name=plain_text(glyph.name, 255), text=plain_text(glyph.text, 255))
    width, height = block_size(pattern, glyph)
    try:
        for piece in glyph.pieces:
            if piece.fabric not in pattern.fabrics:
                raise NotSewableError(f"piece {piece.id} is of a fabric that is not listed")
        if glyph.pieces or glyph.sections or glyph.joins:
            verify_glyph(glyph, width, height)
    except NotSewableError as error:
        fault = Finding(
            "not-sewable",
            "redesign",
            f"What the pattern file has of this block did not pass the replay of its sewing: {error}.",
            hint="Run convert again, or draw it by hand.",
        )
        return replace(
            glyph,
            status="redesign",
            reasons=(fault, *glyph.reasons),
            figure=(),
            pieces=(),
            sections=(),
            joins=(),
        )
    return replace(glyph, figure=mended(glyph.figure))


def mended(polygons: Polygons) -> Polygons:
    """The polygons, none of which crosses itself any more; those that cannot be mended in short are left out."""
    found: list[tuple[Ring, ...]] = []
    for rings in polygons:
        polygon = Polygon(rings[0], rings[1:])
        if polygon.is_valid:
            found.append(rings)
        elif sum(map(len, rings)) <= MENDED.most:
            made = make_valid(polygon, method="structure")
            parts = [part for part in get_parts(made) if isinstance(part, Polygon)]
            found += rings_of(MultiPolygon(parts))
    return tuple(found)
