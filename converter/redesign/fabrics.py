"""Which fabric each rebuilt piece is of: the coloured shapes vote, by area, as they are seen."""

from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from converter.budgets.drawings import OVERLAP
from converter.errors import InputError
from converter.measures import Units, place_text
from converter.model import Finding, Ring
from converter.redesign.edited import Vote
from converter.redesign.faces import inner_point
from converter.redesign.tolerances import Tolerances

_EACH = 30  # corners that the comparing of two shapes takes as long as, however few they have


def fabrics_of(
    rings: Sequence[Ring], votes: Sequence[Vote], tolerances: Tolerances, units: Units = "mm"
) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """One fabric a ring, and the pieces that no fabric or more than one was given to.

    ``votes`` in the order in which they are painted: what is covered does not count. A piece that has grown over its
    neighbours' shapes, as its seam was moved, keeps the fabric of its own.
    """
    scene = _Scene(votes)
    fabrics: list[str] = []
    faults: list[Finding] = []
    for piece in map(shapely.Polygon, rings):
        shares: dict[str | None, float] = {}
        odd = 0.0
        for vote, seen in scene.within(piece):
            shares[vote.fabric] = shares.get(vote.fabric, 0.0) + seen / piece.area
            odd += seen / piece.area if vote.odd else 0.0
        known = sorted(((share, name) for name, share in shares.items() if name is not None), reverse=True)
        total = sum(share for share, _ in known)
        spot = inner_point(piece)
        if odd > tolerances.least_share:
            faults.append(_not_told(spot, units))
        elif total < tolerances.least_share:
            faults.append(_missing(spot, shares.get(None, 0.0), units))
        elif known[0][0] < tolerances.clear_share * total and scene.own(piece) != {known[0][1]}:
            faults.append(_unclear(spot, known, total, units))
        fabrics.append(known[0][1] if known else "")
    return tuple(fabrics), tuple(faults)


class _Scene:
    """The shapes as they are seen, the last one on top; with what it takes to look at them within its budget."""

    def __init__(self, votes: Sequence[Vote]) -> None:
        self._votes = votes
        self._shapes = [vote.shape for vote in votes]
        self._corners = shapely.get_num_coordinates(self._shapes)
        self._tree = shapely.STRtree(self._shapes)
        self._bare: dict[int, BaseGeometry] = {}
        self._compared = 0

    def within(self, piece: shapely.Polygon) -> Iterator[tuple[Vote, float]]:
        """What is seen in a piece, from the top, with the area of it (mm²)."""
        free: BaseGeometry = piece
        for k in sorted(self._tree.query(piece), reverse=True):
            self._compare(free, k)
            seen = free.intersection(self._shapes[k])
            if seen.area > 0:
                yield self._votes[k], seen.area
                free = free.difference(self._shapes[k])
                if free.is_empty:
                    return

    def own(self, piece: shapely.Polygon) -> set[str | None]:
        """The fabrics of the shapes that are seen in this piece more than in all others together."""
        own = set()
        for k in self._tree.query(piece):
            if k not in self._bare:
                bare = self._shapes[k]
                for j in sorted(j for j in self._tree.query(bare) if j > k):
                    self._compare(bare, j)
                    bare = bare.difference(self._shapes[j])
                self._bare[k] = bare
            bare = self._bare[k]
            if bare.intersection(piece).area > bare.area / 2:
                own.add(self._votes[k].fabric)
        return own

    def _compare(self, shape: BaseGeometry, k: int) -> None:
        self._compared += int(shapely.get_num_coordinates(shape) + self._corners[k]) + _EACH
        if self._compared > OVERLAP.most:
            raise InputError(f"its coloured shapes lie over each other too often: more than {OVERLAP}.")


def _not_told(spot: tuple[float, float], units: Units) -> Finding:
    return Finding(
        "fabric-missing", "redesign",
        f"The fabric of the piece at {place_text(*spot, units)} cannot be told: the shape over it has a mask, "
        "a filter, a blend or a clip that is not read.",
        where=spot, hint="Draw the shape plainly, in the fabric's colour.",
    )  # fmt: skip


def _missing(spot: tuple[float, float], strange: float, units: Units) -> Finding:
    why = "a colour that belongs to no fabric" if strange > 0 else "no colour"
    return Finding(
        "fabric-missing", "redesign", f"The piece at {place_text(*spot, units)} has {why}.",
        where=spot, hint="Draw a shape of the fabric's colour over it, in the layer 'pieces'.",
    )  # fmt: skip


def _unclear(
    spot: tuple[float, float], known: list[tuple[float, str]], total: float, units: Units
) -> Finding:
    shares = " and ".join(f"{share / total:.0%} {name}" for share, name in known[:2])
    return Finding(
        "fabric-unclear", "redesign",
        f"The piece at {place_text(*spot, units)} has two fabrics: {shares}.",
        known[0][0] / total, None, spot, None,
        "Recolour one of the shapes under it, or draw one over all of it, in the layer 'pieces'.",
    )  # fmt: skip
