"""The patch of fabric to cut for each piece: a rectangle that lies along the seam by which it is sewn on."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from converter.covering import Cover, covers_of, strips
from converter.fabric.cutting import Cut, CutKind, Cutting, grouped, times
from converter.measures import mark_step, round_up
from converter.model import Glyph, Pattern, Ring


@dataclass(frozen=True, slots=True)
class Patch:
    """The rectangle to cut for one piece, in mm, and where it lies on the finished face of the block."""

    glyph: str  # key
    name: str  # the glyph's
    piece: str
    fabric: str
    along: float  # in the direction of the seam
    across: float
    angle: float  # of the seam, degrees, 0 to below 180
    corners: Ring  # as it lies once sewn and pressed
    is_strip: bool = False  # a section by itself, cut to measure

    def cut(self, fabric: str | None = None) -> Cut:
        """This patch as something to cut, from its own fabric or another."""
        long, short = max(self.along, self.across), min(self.along, self.across)
        use, turned = f"{self.name} {self.piece}", self.across > self.along
        kind: CutKind = "strip" if self.is_strip else "patch"
        return Cut(kind, fabric or self.fabric, long, short, 1, (use,), turned=turned and not self.is_strip)


def patches(glyph: Glyph, cutting: Cutting) -> tuple[Patch, ...]:
    """One patch for each piece, in sewing order section by section; empty for a glyph without pieces."""
    exact = {
        section.pieces[0]
        for section in glyph.sections
        if section.id in strips(glyph, cutting.allowance, cutting.inner_allowance)
    }
    if not glyph.pieces:  # a space, or a block that has none yet
        return ()
    found = covers_of(glyph, cutting.allowance, cutting.inner_allowance)
    return tuple(_patch(glyph, cover, cutting, piece in exact) for piece, cover in found.items())


def patch_cuts(
    glyphs: Iterable[Glyph], cutting: Cutting, fabrics: Mapping[tuple[str, str], str] | None = None
) -> tuple[Cut, ...]:
    """All patches of the glyphs, equal ones counted together.

    ``fabrics`` may give another fabric for (glyph key, piece id).
    """
    chosen = fabrics or {}
    return grouped(
        patch.cut(chosen.get((patch.glyph, patch.piece)))
        for glyph in glyphs
        for patch in patches(glyph, cutting)
    )


def set_cuts(pattern: Pattern, cutting: Cutting, copies: int = 1) -> tuple[Cut, ...]:
    """All patches of one of each glyph of the set, times ``copies``."""
    return times(patch_cuts(pattern.glyphs, cutting), copies)


def _patch(glyph: Glyph, cover: Cover, cutting: Cutting, exact: bool) -> Patch:
    margin, step = (0.0, mark_step(cutting.units)) if exact else (cutting.margin, cutting.step)
    along = round_up(cover.high - cover.low + 2 * margin, step)
    across = round_up(cover.far - cover.near + 2 * margin, step)
    u, v = (cover.low + cover.high) / 2, (cover.near + cover.far) / 2
    offsets = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    corners: Ring = tuple(cover.point(u + su * along / 2, v + sv * across / 2) for su, sv in offsets)
    piece = cover.piece
    return Patch(glyph.key, glyph.name, piece.id, piece.fabric, along, across, cover.angle, corners, exact)
