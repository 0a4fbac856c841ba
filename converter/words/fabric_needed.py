"""Everything to be cut for a layout: patches, strips, and what finishes it."""

from collections.abc import Mapping

from converter.fabric.cutting import Cut, Cutting, grouped, strip_cut, times
from converter.fabric.finishing import Finishing, finish
from converter.fabric.patches import patches
from converter.model import BACKGROUND, Fabric, Pattern
from converter.words.colours import Colouring
from converter.words.frames import FRAME, Frame, block_sides, block_width, frame_strips
from converter.words.parts import Layout

FINISHING_FABRICS: Mapping[str, Fabric] = {
    "binding": Fabric("binding", "#c9ced2"),
    "backing": Fabric("backing", "#dfe3e6"),
}


def layout_cuts(
    layout: Layout, colouring: Colouring, cutting: Cutting, copies: int = 1, *, finished: bool = False
) -> tuple[Cut, ...]:
    """All patches and strips of the layout in its fabrics, times ``copies``; binding and backing when asked.

    A block that is in the layout n times is cut n times. Wadding is not in it: see
    :func:`converter.fabric.finishing.finish`.
    """
    found: list[Cut] = []
    by_glyph = {glyph.key: patches(glyph, cutting) for glyph in layout.pattern.glyphs}
    for block in layout.blocks:
        found += [patch.cut(colouring.pieces[block.id, patch.piece]) for patch in by_glyph[block.key]]
    for strip in layout.strips:
        fabric = colouring.strips[strip.id]
        found.append(strip_cut(fabric, strip.width, strip.height, cutting, f"{strip.kind} {strip.id}"))
    if finished:
        more = finishing_of(layout, colouring, cutting)
        found += [more.binding, more.backing]
    return times(grouped(found), copies)


def finishing_of(layout: Layout, colouring: Colouring, cutting: Cutting) -> Finishing:
    """Binding, backing and wadding of the layout, in the fabrics chosen for them."""
    binding, backing = (colouring.finishing.get(what, what) for what in ("binding", "backing"))
    return finish(layout.width, layout.height, cutting, binding_fabric=binding, backing_fabric=backing)


def frame_cuts(pattern: Pattern, frame: Frame, cutting: Cutting, copies: int = 1) -> tuple[Cut, ...]:
    """The strips of a frame round one of each block of the set, times ``copies``, cut to measure.

    Raises :class:`InputError` naming the blocks that do not fit.
    """
    fabric = FRAME if frame.fabric else BACKGROUND
    sewn = [glyph for glyph in pattern.glyphs if glyph.pieces]
    sides = block_sides(pattern, sewn, frame, cutting.units)
    return times(
        grouped(
            strip_cut(fabric, strip.width, strip.height, cutting, f"{glyph.name} {strip.side}")
            for glyph in sewn
            for strip in frame_strips(block_width(glyph, pattern), pattern.block.height, sides[glyph.key])
        ),
        copies,
    )


def fabric_labels(colouring: Colouring) -> Mapping[str, Fabric]:
    """The layout's fabrics, with those that finish it, for the cutting list."""
    return {**FINISHING_FABRICS, **colouring.fabrics}
