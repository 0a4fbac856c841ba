"""A set at another size: the same blocks, every length but the seam allowances times one factor."""

from dataclasses import replace

from converter.difficulty import difficulty_score, level
from converter.errors import InputError
from converter.model import Glyph, Pattern, Point, Ring


def scale_pattern(pattern: Pattern, factor: float) -> Pattern:
    """The pattern with blocks, pieces, figures and measured lengths times ``factor``, graded anew.

    Seam allowances and settings stay; limits in them are of the original size. Raises :class:`InputError`
    for a factor that is not above 0.
    """
    if not 0 < factor < 1000:
        raise InputError(f"the scale must be more than 0 and less than 1000, not {factor:g}.")
    if factor == 1:
        return pattern
    block = replace(pattern.block, width=pattern.block.width * factor, height=pattern.block.height * factor)
    glyphs = tuple(_scaled(glyph, factor, (block.width, block.height)) for glyph in pattern.glyphs)
    return replace(pattern, block=block, glyphs=glyphs)


def _scaled(glyph: Glyph, factor: float, block: tuple[float, float]) -> Glyph:
    width, height = block

    def scaled(ring: Ring) -> Ring:
        return tuple((x * factor, y * factor) for x, y in ring)

    def point(where: Point | None) -> Point | None:
        return None if where is None else (where[0] * factor, where[1] * factor)

    def length(value: float | None) -> float | None:
        return None if value is None else value * factor

    a, b, c, d, e, f = (number * factor for number in glyph.placement)
    metrics = replace(
        glyph.metrics,
        hausdorff=length(glyph.metrics.hausdorff),
        min_piece_width=length(glyph.metrics.min_piece_width),
        block_width=length(glyph.metrics.block_width),
    )
    if metrics.pieces and metrics.min_piece_width and metrics.min_corner_degrees:
        score = difficulty_score(
            metrics.pieces,
            metrics.sections,
            metrics.match_points,
            metrics.min_piece_width,
            metrics.min_corner_degrees,
            (metrics.block_width or width) * height,
        )
        metrics = replace(metrics, difficulty=score, level=level(score))
    return replace(
        glyph,
        placement=(a, b, c, d, e, f),
        figure=tuple(tuple(scaled(ring) for ring in polygon) for polygon in glyph.figure),
        pieces=tuple(replace(piece, polygon=scaled(piece.polygon)) for piece in glyph.pieces),
        reasons=tuple(replace(reason, where=point(reason.where)) for reason in glyph.reasons),
        metrics=metrics,
    )
