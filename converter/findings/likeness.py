"""Findings of how a block looks beside the font's letter."""

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from converter.fidelity import HAIR, cloth, counters, intricacy, parts, seen, stroke_ends, where_unlike
from converter.findings.case import Case
from converter.findings.evenness import evenness
from converter.limits import MOST_INTRICATE
from converter.model import Finding, Metrics, Point

# Ids of findings that only say that a block is not like the font's letter; it can be sewn as well as any other.
LIKENESS = frozenset(
    {
        "counter-lost", "cut-off", "edge-jumps", "far-from-outline", "low-overlap", "narrowed", "outline-repaired",
        "part-lost", "stands-out", "stroke-end", "thin-strokes", "too-intricate",
    }
)  # fmt: skip
LEAST_END = 0.02  # of the height of capitals: what is shorter is no stroke's end
RING_TOUCHES_ITSELF = "Ring Self-intersection"  # in the words of GEOS; sewable, and judged by its cloth


def looks(case: Case, metrics: Metrics) -> Iterator[Finding]:
    """Where the block does not look like the font's letter."""
    edges = intricacy(case.outline, case.size)
    if edges > MOST_INTRICATE:
        yield Finding(
            "too-intricate", "redesign",
            f"The outline takes about {edges} straight edges; more than {MOST_INTRICATE} cannot be sewn in one block. "
            "The figure shows only its mass.",
            float(edges), float(MOST_INTRICATE), None, None, "Draw a much simpler letter by hand, or leave it out.",
        )  # fmt: skip
        return
    yield from _truth(case, metrics)
    yield from _parts(case)
    yield from _pinched(case)
    yield from _crossing(case)
    yield from _stroke_ends(case)
    yield from _cut_off(case)
    yield from evenness(case)
    yield from _thin_strokes(case)


def _truth(case: Case, metrics: Metrics) -> Iterator[Finding]:
    assert metrics.iou is not None
    assert metrics.hausdorff is not None
    limits = case.limits
    if metrics.iou < limits["overlap-review"]:
        severe = metrics.iou < limits["overlap-redesign"]
        limit = limits["overlap-redesign" if severe else "overlap-review"]
        yield Finding(
            "low-overlap", "redesign" if severe else "review",
            f"Figure and font letter overlap by {metrics.iou:.0%} of their joint area; the limit is {limit:.0%}.",
            metrics.iou, limit, None, None, "Use more detail, or redraw the letter more simply by hand.",
        )  # fmt: skip
    share = metrics.hausdorff / case.size
    if share > limits["distance-review"]:
        severe = share > limits["distance-redesign"]
        limit = limits["distance-redesign" if severe else "distance-review"] * case.size
        yield Finding(
            "far-from-outline", "redesign" if severe else "review",
            f"An edge is {case.length(metrics.hausdorff)} off the font's outline; the limit is {case.length(limit)}.",
            metrics.hausdorff, limit, _farthest_place(case), None,
            "A feature may be lost there: draw it by hand or use more detail.",
        )  # fmt: skip


def _farthest_place(case: Case) -> Point:
    places: list[tuple[float, float, float]] = []
    for a, b in ((case.shape, case.outline), (case.outline, case.shape)):
        points, target = shapely.get_coordinates(shapely.segmentize(a.boundary, 0.5)), b.boundary
        shapely.prepare(target)
        off = np.asarray(shapely.distance(shapely.points(points), target))
        places += zip(off.tolist(), points[:, 0].tolist(), points[:, 1].tolist(), strict=True)
    _, x, y = max(places)
    return x, y


def _parts(case: Case) -> Iterator[Finding]:
    in_cloth = seen(case.outline), seen(cloth(case.plan.pieces))
    as_drawn = case.outline, case.shape
    for what, name, find in (("part", "separate part", parts), ("counter", "counter", counters)):
        for outline, figure in (in_cloth, as_drawn):
            meant, there = find(outline), find(figure)
            if len(meant) == len(there):
                continue
            yield Finding(
                f"{what}-lost", "redesign",
                f"The font's letter has {_number_of(len(meant), name)}, the block {len(there) or 'none'}.",
                len(there), len(meant), where_unlike(meant, there), None,
                "It is too thin or small at this size, or parts run together: draw it thicker, use a bolder style "
                "or use a larger block.",
            )  # fmt: skip
            break


def _number_of(count: int, name: str) -> str:
    return f"{count or 'no'} {name}{'' if count == 1 else 's'}"


def _pinched(case: Case) -> Iterator[Finding]:
    limit = case.limits["pinched-review"] * case.min_piece_width
    sewn = cloth(case.plan.pieces)
    if _kind(seen(sewn)) != _kind(seen(case.outline)) or not _comes_apart(sewn, limit):
        return
    if _comes_apart(case.outline, limit):  # the font's own strokes are as thin
        return
    thin, thick = 2 * HAIR, limit
    while thick - thin > 0.05:
        middle = (thin + thick) / 2
        thin, thick = (thin, middle) if _comes_apart(sewn, middle) else (middle, thick)
    meant, there = seen(case.outline, thick), seen(sewn, thick)
    severe = thick <= case.limits["pinched-redesign"] * case.min_piece_width
    yield Finding(
        "pinched", "redesign" if severe else "review",
        f"A stroke is pinched to {case.length(thick)} where pieces meet; "
        f"the font's is thicker than {case.length(limit)}.",
        thick, limit,
        where_unlike(parts(meant), parts(there)) or where_unlike(counters(meant), counters(there)), None,
        "Move a seam there so that the stroke keeps its width, or use another level of detail.",
    )  # fmt: skip


def _comes_apart(shape: BaseGeometry, hair: float) -> bool:
    """Whether a shape has other parts or counters once all that is thinner than ``hair`` (mm) is gone."""
    return _kind(seen(shape, hair)) != _kind(seen(shape))


def _kind(shape: MultiPolygon) -> tuple[int, int]:
    return len(shape.geoms), len(counters(shape))


def _crossing(case: Case) -> Iterator[Finding]:
    reason, _, place = shapely.is_valid_reason(case.figure).rstrip("]").partition("[")
    if not case.figure.is_valid and reason != RING_TOUCHES_ITSELF:
        x, _, y = place.partition(" ")
        yield Finding(
            "edges-cross", "redesign", "Edges of the figure cross each other.",
            where=(float(x), float(y)) if y else None,
            hint="Redraw that part of the letter by hand, or use another level of detail.",
        )  # fmt: skip


def _stroke_ends(case: Case) -> Iterator[Finding]:
    # An end that is carried on further, as an E's arms to one length, is seldom missed; one that is not reached is.
    ends = stroke_ends(case.outline, LEAST_END * case.size)
    shape = case.shape
    offs = [(float(shape.distance(shapely.Point(end))), end) for end in ends]
    off, place = max(offs, default=(0.0, None))
    limit = case.limits["stroke-end"] * case.size
    if off > limit:
        yield Finding(
            "stroke-end", "review",
            f"A stroke, a serif perhaps, ends {case.length(off)} short of the font's; "
            f"the limit is {case.length(limit)}.",
            off, limit, place, None, "Check that the letter reads well without it; else use more detail or draw it in.",
        )  # fmt: skip


def _cut_off(case: Case) -> Iterator[Finding]:
    beyond = [
        (max(-x, x - case.block_width, -y, y - case.block_height), (float(x), float(y)))
        for x, y in shapely.get_coordinates(case.figure)
    ]
    cut, (x, y) = max(beyond, default=(0.0, (0.0, 0.0)))
    limit = case.limits["cut-off"] * case.size
    if cut > limit:
        yield Finding(
            "cut-off", "review",
            f"The block's edge cuts {case.length(cut)} off the letter; the limit is {case.length(limit)}.",
            float(cut), limit, (min(max(x, 0.0), case.block_width), min(max(y, 0.0), case.block_height)), None,
            f"Use a --margin that is {case.length(cut)} larger.",
        )  # fmt: skip


def _thin_strokes(case: Case) -> Iterator[Finding]:
    thick = shapely.buffer(shapely.buffer(case.outline, -case.min_piece_width / 2), case.min_piece_width / 2)
    lost = case.outline.difference(shapely.buffer(thick, 0.05 * case.min_piece_width))
    share = lost.area / case.outline.area
    limit = case.limits["thin-strokes"]
    if share > limit:
        place = shapely.point_on_surface(lost)
        yield Finding(
            "thin-strokes", "redesign",
            f"{share:.0%} of the ink is thinner than {case.length(case.min_piece_width)}; the limit is {limit:.0%}.",
            share, limit, (place.x, place.y), None, "Use a bolder style of the font or a larger block.",
        )  # fmt: skip
