"""Which fabric each rebuilt piece is of: the coloured shapes vote, by area, as they are seen."""

from collections.abc import Sequence

import shapely

from converter.measures import Units, place_text
from converter.model import Finding, Ring
from converter.redesign.edited import Vote
from converter.redesign.faces import inner_point
from converter.redesign.tolerances import Tolerances


def fabrics_of(
    rings: Sequence[Ring], votes: Sequence[Vote], tolerances: Tolerances, units: Units = "mm"
) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """One fabric a ring, and the pieces that no fabric or more than one was given to.

    ``votes`` in the order in which they are painted: what is covered does not count. A piece that has grown over its
    neighbours' shapes, as its seam was moved, keeps the fabric of its own.
    """
    shapes = [vote.shape for vote in votes]
    tree = shapely.STRtree(shapes)
    pieces = [shapely.Polygon(ring) for ring in rings]
    fabrics: list[str] = []
    faults: list[Finding] = []
    for piece in pieces:
        shares: dict[str | None, float] = {}
        free = piece
        for k in sorted(tree.query(piece), reverse=True):
            seen = free.intersection(shapes[k])
            if seen.area > 0:
                shares[votes[k].fabric] = shares.get(votes[k].fabric, 0.0) + seen.area / piece.area
                free = free.difference(shapes[k])
        known = sorted(((share, name) for name, share in shares.items() if name is not None), reverse=True)
        total = sum(share for share, _ in known)
        spot = inner_point(piece)
        if total < tolerances.least_share:
            faults.append(_missing(spot, shares.get(None, 0.0), units))
        elif known[0][0] < tolerances.clear_share * total and _own(piece, votes, tree) != {known[0][1]}:
            faults.append(_unclear(spot, known, total, units))
        fabrics.append(known[0][1] if known else "")
    return tuple(fabrics), tuple(faults)


def _own(piece: shapely.Polygon, votes: Sequence[Vote], tree: shapely.STRtree) -> set[str | None]:
    """The fabrics of the shapes that are found in this piece more than in all others together."""
    own = set()
    for k in tree.query(piece):
        above = [votes[j].shape for j in tree.query(votes[k].shape) if j > k]
        seen = votes[k].shape.difference(shapely.union_all(above))
        if seen.intersection(piece).area > seen.area / 2:
            own.add(votes[k].fabric)
    return own


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
