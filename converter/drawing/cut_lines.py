"""The cutting line of each section: shaped so that the cut ends of two sections that are joined lie on each other.

The block with its allowance is taken apart as it is put together, from the last join to the first. A join parts
what it joins along its seam. Each side keeps what lies beyond the seam, as wide as the allowance: its flap. Laid
right sides together, one flap lies on the mirror image of the other; both are trimmed to what the two have in
common. So the ends of every join meet, of joined sections too, and sewn and opened out the sections make up the
whole outline again: a trim only takes from a flap. No allowance is lost either, for both flaps reach at least
their allowance beyond the ends of the seam.
"""

from converter.drawing.shapes import grown, hull_ring, outward_lines
from converter.geometry import Line, centroid, line_through, split_convex
from converter.model import Block, Glyph, Point, Ring
from converter.seams import assemblies, outline, seams

_ON_LINE = 1e-6  # mm
_SQUARE = 1.42  # allowances: the corners of a block stay whole


def cut_lines(glyph: Glyph, block: Block) -> dict[str, Ring]:
    """The cutting line of each section by its id, and what joined sections have of it, by their name in the joins.

    mm on the finished face.
    """
    if not glyph.sections:
        return {}
    makes = {join.makes: join for join in glyph.joins}
    by_step = {seam.step: seam for seam in seams(glyph) if seam.kind == "join"}
    parts = assemblies(glyph)
    whole = glyph.joins[-1].makes if glyph.joins else glyph.sections[0].id
    found = {whole: grown(outline(glyph, parts[whole].pieces), block.seam_allowance, _SQUARE)}
    waiting = [whole]
    while waiting:
        join = makes.get(waiting.pop())
        if join is None:
            continue
        seam = by_step[join.step]
        line = line_through(seam.start, seam.end)
        plus, minus = _parted(found[join.makes], line, block.inner_allowance)
        first, second = join.parts
        is_plus = line.side(centroid(outline(glyph, parts[first].pieces))) > 0
        found[first], found[second] = (plus, minus) if is_plus else (minus, plus)
        waiting += join.parts
    return found


def _parted(ring: Ring, line: Line, allowance: float) -> tuple[Ring, Ring]:
    """What lies on the positive and on the negative side of a join, each with its flap."""
    nx, ny, d = line
    plus, minus = split_convex(ring, line, _ON_LINE)
    flap_of_plus = split_convex(minus, Line(nx, ny, d - allowance), _ON_LINE)[0]
    flap_of_minus = split_convex(plus, Line(nx, ny, d + allowance), _ON_LINE)[1]
    common = flap_of_plus
    for nx, ny, d in outward_lines(_mirrored(flap_of_minus, line)):
        common = split_convex(common, Line(nx, ny, d), _ON_LINE)[1]
    return hull_ring((*plus, *common)), hull_ring((*minus, *_mirrored(common, line)))


def _mirrored(ring: Ring, line: Line) -> Ring:
    def over(point: Point) -> Point:
        off = 2 * line.side(point)
        return point[0] - off * line.nx, point[1] - off * line.ny

    return tuple(over(p) for p in reversed(ring))
