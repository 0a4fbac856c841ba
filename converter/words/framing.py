"""Frames as pieces of the foundation.

The four strips are further pieces of the block: left, right, top, bottom. Where the block is one section they
are sewn on as its last pieces; a block of several sections is joined first, so each strip is a section of one
piece, joined last.
"""

from collections.abc import Collection, Mapping
from dataclasses import replace

from converter.budgets.words import FRAMED
from converter.difficulty import difficulty_score, level
from converter.errors import InputError
from converter.measures import Units, length_text
from converter.model import BACKGROUND, Fabric, Glyph, Join, Pattern, Piece, Point, Ring, Section
from converter.words.frames import FRAME, Frame, FrameStrip, Sides, block_sides, block_width, frame_strips


def frame_pattern(
    pattern: Pattern, frame: Frame, units: Units = "in", keys: Collection[str] | None = None
) -> Pattern:
    """The whole set with every block in its frame, the strips being pieces of the foundation.

    A set of blocks of different widths becomes one of equal blocks where the frame has a target width.
    ``keys``: of the glyphs to frame; the others stay as they are, and need not fit. Raises
    :class:`InputError` naming the blocks that do not fit.
    """
    chosen = [glyph for glyph in pattern.glyphs if keys is None or glyph.key in keys]
    if not chosen:
        return pattern
    sides = block_sides(pattern, chosen, frame, units)
    height = pattern.block.height
    fabric = FRAME if frame.fabric else BACKGROUND
    framed = {
        glyph.key: frame_glyph(glyph, block_width(glyph, pattern), height, sides[glyph.key], fabric)
        for glyph in chosen
    }
    kept = {
        glyph.key: replace(glyph, metrics=replace(glyph.metrics, block_width=block_width(glyph, pattern)))
        for glyph in pattern.glyphs
    }
    for glyph in framed.values():
        side = max(glyph.metrics.block_width or 0.0, height + sides[glyph.key].top + sides[glyph.key].bottom)
        if side > FRAMED.most:
            raise InputError(
                f"a framed block of {length_text(side, units)} is too large to print as templates; "
                f"frames up to {length_text(FRAMED.most, units)} can be."
            )
    first = sides[chosen[0].key]  # the height is the same for all, and so are the strips that it takes
    width = max(glyph.metrics.block_width or 0.0 for glyph in framed.values())
    block = replace(pattern.block, width=width, height=height + first.top + first.bottom)
    fabrics: Mapping[str, Fabric] = pattern.fabrics
    if frame.fabric:
        fabrics = {**fabrics, FRAME: frame.fabric}
    glyphs = tuple({**kept, **framed}[glyph.key] for glyph in pattern.glyphs)
    return replace(pattern, block=block, fabrics=fabrics, glyphs=glyphs)


def frame_glyph(glyph: Glyph, width: float, height: float, sides: Sides, fabric: str = BACKGROUND) -> Glyph:
    """One block of finished width × height mm in its frame; a glyph without pieces only moves."""
    glyph = moved_glyph(glyph, sides.left, sides.top)
    full = width + sides.left + sides.right
    metrics = replace(glyph.metrics, block_width=full)
    strips = [_ring(strip) for strip in frame_strips(width, height, sides)]
    if not glyph.pieces or not strips:
        return replace(glyph, metrics=metrics)
    pieces, sections, joins = list(glyph.pieces), list(glyph.sections), list(glyph.joins)
    if len(sections) == 1:
        (section,) = sections
        added = tuple(f"{section.id}{len(section.pieces) + n}" for n in range(1, len(strips) + 1))
        sections = [Section(section.id, section.pieces + added)]
    else:
        made, added = joins[-1].makes, ()
        for _ in strips:
            name = _after(sections[-1].id)
            added += (f"{name}1",)
            sections.append(Section(name, (f"{name}1",)))
            joins.append(Join(len(joins) + 1, (made, name), f"{made}+{name}"))
            made = joins[-1].makes
    pieces += [Piece(piece_id, fabric, ring) for piece_id, ring in zip(added, strips, strict=True)]
    narrowest = min(min(strip.width, strip.height) for strip in frame_strips(width, height, sides))
    narrowest = min(metrics.min_piece_width or narrowest, narrowest)
    score = difficulty_score(
        len(pieces),
        len(sections),
        metrics.match_points,
        narrowest,
        metrics.min_corner_degrees or 90.0,
        full * (height + sides.top + sides.bottom),
    )
    metrics = replace(
        metrics,
        pieces=len(pieces),
        sections=len(sections),
        joins=len(joins),
        min_piece_width=narrowest,
        difficulty=score,
        level=level(score),
        proved_minimal=False,  # the frame is asked for, not needed by the figure
    )
    return replace(glyph, pieces=tuple(pieces), sections=tuple(sections), joins=tuple(joins), metrics=metrics)


def _ring(strip: FrameStrip) -> Ring:
    x0, y0, x1, y1 = strip.x, strip.y, strip.x + strip.width, strip.y + strip.height
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def moved_glyph(glyph: Glyph, dx: float, dy: float) -> Glyph:
    """The glyph with all that lies in its block moved by dx, dy mm."""

    def moved(ring: Ring) -> Ring:
        return tuple((x + dx, y + dy) for x, y in ring)

    def moved_point(point: Point | None) -> Point | None:
        return None if point is None else (point[0] + dx, point[1] + dy)

    a, b, c, d, e, f = glyph.placement
    return replace(
        glyph,
        placement=(a, b, c, d, e + dx, f + dy),
        figure=tuple(tuple(moved(ring) for ring in polygon) for polygon in glyph.figure),
        pieces=tuple(replace(piece, polygon=moved(piece.polygon)) for piece in glyph.pieces),
        reasons=tuple(replace(reason, where=moved_point(reason.where)) for reason in glyph.reasons),
    )


def _after(name: str) -> str:
    """The next section id: A, B, … Z, AA, AB, …"""
    number = 0
    for letter in name:
        number = number * 26 + ord(letter) - 64
    number += 1
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
