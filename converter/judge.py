"""What a person should know about a block: metrics, findings, status.

Each kind of finding has a permanent id. `redesign` findings make a block that cannot be sewn or read well at its
size, `review` findings ask for a look, `note` findings only inform.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from converter.difficulty import difficulty_score, level
from converter.fidelity import HAIR, cloth, counters, hausdorff, iou, parts, seen, stroke_ends, where_unlike
from converter.geometry import centroid, convex_width, corner_degrees
from converter.limits import most_pieces
from converter.model import Finding, Metrics, Piece, Point, Severity, Status
from converter.sewing.plan import Plan

LEAST_END = 0.02  # of the height of capitals: what is shorter is no stroke's end
RING_TOUCHES_ITSELF = "Ring Self-intersection"  # in the words of GEOS; sewable, and judged by its cloth


@dataclass(frozen=True, slots=True)
class Case:
    """One planned block and what it is held against. Lengths in mm."""

    plan: Plan
    figure: MultiPolygon
    outline: MultiPolygon
    block_width: float
    block_height: float
    size: float  # the height of capitals in the block
    width_factor: float
    asymmetry: float | None
    repairs: tuple[str, ...]
    min_piece_width: float
    limits: Mapping[str, float]

    @property
    def shape(self) -> BaseGeometry:
        """The figure; its cloth where its rings cross, so that areas can be taken of it."""
        return self.figure if self.figure.is_valid else cloth(self.plan.pieces)


def measure(case: Case) -> Metrics:
    """The figures of a block."""
    plan = case.plan
    narrowest = min(convex_width(p.polygon) for p in plan.pieces)
    sharpest = min(min(corner_degrees(p.polygon)) for p in plan.pieces)
    score = difficulty_score(
        len(plan.pieces), len(plan.sections), plan.match_points, max(narrowest, 1e-3), max(sharpest, 1e-3)
    )
    return Metrics(
        pieces=len(plan.pieces),
        sections=len(plan.sections),
        joins=len(plan.joins),
        iou=iou(case.shape, case.outline),
        hausdorff=hausdorff(case.shape, case.outline),
        min_piece_width=narrowest,
        min_corner_degrees=sharpest,
        lower_bound=plan.lower_bound,
        proved_minimal=plan.proved_minimal,
        difficulty=score,
        level=level(score),
        match_points=plan.match_points,
        distinct_lines=plan.distinct_lines,
        width_factor=case.width_factor,
        block_width=case.block_width,
        asymmetry=case.asymmetry,
    )


def findings(case: Case, metrics: Metrics) -> tuple[Finding, ...]:
    """All findings of a planned block, the worst first."""
    found = [
        *_narrow_pieces(case),
        *_sharp_corners(case),
        *_counts(case, metrics),
        *_truth(case, metrics),
        *_parts(case),
        *_pinched(case),
        *_crossing(case),
        *_stroke_ends(case),
        *_cut_off(case),
        *_strokes(case),
        *_notes(case, metrics),
    ]
    return worst_first(found)


def worst_first(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in the order of their weight, else as they were."""
    order: dict[Severity, int] = {"redesign": 0, "review": 1, "note": 2}
    return tuple(sorted(found, key=lambda finding: order[finding.severity]))


def missing_alternative(asked: int, there: int) -> Finding:
    """The finding of a glyph for which an alternative was asked for that there is not."""
    are = "there is only 1" if there == 1 else f"there are {there}"
    return Finding(
        "alternative-missing", "review",
        f"Alternative {asked} was asked for, {are}; number {there} was taken.",
        asked, there, hint="Look at the alternatives in the report, and set a number that there is.",
    )  # fmt: skip


def status_of(reasons: Iterable[Finding]) -> Status:
    """The status that the findings of an inked glyph make."""
    severities = {finding.severity for finding in reasons}
    if "redesign" in severities:
        return "redesign"
    return "review" if "review" in severities else "ready"


def _narrow_pieces(case: Case) -> Iterable[Finding]:
    limit = case.min_piece_width
    for piece in case.plan.pieces:
        width = convex_width(piece.polygon)
        if width < limit - 1e-6:
            yield Finding(
                "narrow-piece", "redesign",
                f"Piece {piece.id} is {width:.1f} mm wide; the least is {limit:.1f} mm.",
                width, limit, centroid(piece.polygon), piece.id,
                "Move one of its seams outwards, leave the detail out, or make the block larger.",
            )  # fmt: skip


def _sharp_corners(case: Case) -> Iterable[Finding]:
    limit = case.limits["sharp-corner"]
    worst: tuple[float, Piece, Point] | None = None
    for piece in case.plan.pieces:
        for corner, angle in zip(piece.polygon, corner_degrees(piece.polygon), strict=True):
            if angle < limit and (worst is None or angle < worst[0]):
                worst = (angle, piece, corner)
    if worst is not None:
        angle, piece, corner = worst
        yield Finding(
            "sharp-corner", "review",
            f"Piece {piece.id} has a corner of {angle:.0f}°; below {limit:.0f}° points are hard to sew.",
            angle, limit, corner, piece.id, "Blunt the tip: end it on a short edge.",
        )  # fmt: skip


def _counts(case: Case, metrics: Metrics) -> Iterable[Finding]:
    most = most_pieces(case.limits, case.block_width, case.block_height)
    if metrics.pieces > most:
        yield Finding(
            "many-pieces", "review",
            f"{metrics.pieces} pieces are many for a block of this size; the limit is {most:.0f}.",
            metrics.pieces, most, None, None, "Try less detail, or a larger block.",
        )  # fmt: skip
    if metrics.sections > case.limits["sections"]:
        yield Finding(
            "many-sections", "review",
            f"{metrics.sections} sections are many; the limit is {case.limits['sections']:.0f}.",
            metrics.sections, case.limits["sections"], None, None,
            "Look for one seam that can run through, or let edges share a line.",
        )  # fmt: skip


def _truth(case: Case, metrics: Metrics) -> Iterable[Finding]:
    assert metrics.iou is not None
    assert metrics.hausdorff is not None
    limits = case.limits
    if metrics.iou < limits["overlap-review"]:
        severe = metrics.iou < limits["overlap-redesign"]
        limit = limits["overlap-redesign" if severe else "overlap-review"]
        yield Finding(
            "low-overlap", "redesign" if severe else "review",
            f"The figure and the font's letter share {metrics.iou:.0%} of their area; the limit is {limit:.0%}.",
            metrics.iou, limit, None, None, "Try more detail, or redraw the letter more plainly by hand.",
        )  # fmt: skip
    share = metrics.hausdorff / case.size
    if share > limits["distance-review"]:
        severe = share > limits["distance-redesign"]
        limit = limits["distance-redesign" if severe else "distance-review"] * case.size
        yield Finding(
            "far-from-outline", "redesign" if severe else "review",
            f"An edge is {metrics.hausdorff:.1f} mm off the font's outline; the limit is {limit:.1f} mm.",
            metrics.hausdorff, limit, _farthest_place(case), None,
            "A feature may be lost there: draw it by hand, or try more detail.",
        )  # fmt: skip


def _stroke_ends(case: Case) -> Iterable[Finding]:
    edges = case.shape.boundary
    offs = [
        (float(edges.distance(shapely.Point(p))), p) for p in stroke_ends(case.outline, LEAST_END * case.size)
    ]
    off, place = max(offs, default=(0.0, None))
    limit = case.limits["stroke-end"] * case.size
    if off > limit:
        yield Finding(
            "stroke-end", "review",
            f"The end of a stroke, a serif perhaps, is {off:.1f} mm off the font's; the limit is {limit:.1f} mm.",
            off, limit, place, None, "Look whether the letter can do without; else try more detail, or draw it in.",
        )  # fmt: skip


def _farthest_place(case: Case) -> Point:
    places = []
    for a, b in ((case.shape, case.outline), (case.outline, case.shape)):
        places += [
            (float(shapely.distance(shapely.Point(x, y), b.boundary)), (float(x), float(y)))
            for x, y in shapely.get_coordinates(shapely.segmentize(a.boundary, 0.5))
        ]
    return max(places)[1]


def _parts(case: Case) -> Iterable[Finding]:
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
                "Too thin or too small at this size, or run together: draw it thicker, take a bolder style, "
                "or make the block larger.",
            )  # fmt: skip
            break


def _pinched(case: Case) -> Iterable[Finding]:
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
        f"A stroke is pinched to {thick:.1f} mm where pieces meet; the font's is thicker than {limit:.1f} mm.",
        thick, limit,
        where_unlike(parts(meant), parts(there)) or where_unlike(counters(meant), counters(there)), None,
        "Move a seam there so that the stroke keeps its width, or try other detail.",
    )  # fmt: skip


def _comes_apart(shape: BaseGeometry, hair: float) -> bool:
    """Whether a shape has other parts or counters once all that is thinner than ``hair`` (mm) is gone."""
    return _kind(seen(shape, hair)) != _kind(seen(shape))


def _kind(shape: MultiPolygon) -> tuple[int, int]:
    return len(shape.geoms), len(counters(shape))


def _number_of(count: int, name: str) -> str:
    return f"{count or 'no'} {name}{'' if count == 1 else 's'}"


def _crossing(case: Case) -> Iterable[Finding]:
    reason, _, place = shapely.is_valid_reason(case.figure).rstrip("]").partition("[")
    if not case.figure.is_valid and reason != RING_TOUCHES_ITSELF:
        x, _, y = place.partition(" ")
        yield Finding(
            "edges-cross", "redesign", "Edges of the figure cross each other.",
            where=(float(x), float(y)) if y else None,
            hint="Draw the letter there by hand, or try other detail.",
        )  # fmt: skip


def _cut_off(case: Case) -> Iterable[Finding]:
    beyond = [
        (max(-x, x - case.block_width, -y, y - case.block_height), (float(x), float(y)))
        for x, y in shapely.get_coordinates(case.figure)
    ]
    cut, (x, y) = max(beyond, default=(0.0, (0.0, 0.0)))
    limit = case.limits["cut-off"] * case.size
    if cut > limit:
        yield Finding(
            "cut-off", "review",
            f"The block's edge cuts {cut:.1f} mm off the letter; the limit is {limit:.1f} mm.",
            float(cut), limit, (min(max(x, 0.0), case.block_width), min(max(y, 0.0), case.block_height)), None,
            f"Take a --margin that is {cut:.1f} mm larger.",
        )  # fmt: skip


def _strokes(case: Case) -> Iterable[Finding]:
    thick = shapely.buffer(shapely.buffer(case.outline, -case.min_piece_width / 2), case.min_piece_width / 2)
    lost = case.outline.difference(shapely.buffer(thick, 0.05 * case.min_piece_width))
    share = lost.area / case.outline.area
    limit = case.limits["thin-strokes"]
    if share > limit:
        place = shapely.point_on_surface(lost)
        yield Finding(
            "thin-strokes", "redesign",
            f"{share:.0%} of the ink is thinner than {case.min_piece_width:.1f} mm; the limit is {limit:.0%}.",
            share, limit, (place.x, place.y), None, "Take a bolder style of the font, or a larger block.",
        )  # fmt: skip


def _notes(case: Case, metrics: Metrics) -> Iterable[Finding]:
    limit = case.limits["narrowed"]
    if case.width_factor < limit:
        yield Finding(
            "narrowed", "review",
            f"Narrowed to {case.width_factor:.0%} of its width to fit the block; the limit is {limit:.0%}.",
            case.width_factor, limit, None, None, "Take a wider block, --width proportional, or a narrower style.",
        )  # fmt: skip
    for repair in case.repairs:
        yield Finding(
            "outline-repaired",
            "note" if "nonzero winding" in repair else "review",  # renderers fill such contours so, too
            f"The outline in the font was faulty: {repair}.",
            hint="Compare the figure with the font's letter.",
        )  # fmt: skip
    if not case.plan.complete:
        yield Finding(
            "search-budget", "note",
            f"The search for seams stopped after {case.plan.states} states; a better order may exist.",
            case.plan.states, hint="Give a larger --budget, or try less detail.",
        )  # fmt: skip
    if not metrics.proved_minimal:
        yield Finding(
            "not-proved", "note",
            f"{metrics.pieces} pieces; that fewer than {metrics.lower_bound} are impossible is proved, "
            "the number between is open.",
            metrics.pieces, metrics.lower_bound,
        )  # fmt: skip


def outline_findings(kind: str, detail: str = "") -> Sequence[Finding]:
    """The finding of a glyph that never gets as far as a plan."""
    messages: dict[str, tuple[Severity, str, str]] = {
        "no-ink": ("note", "The glyph has no ink, as a space has none.", ""),
        "no-outline": (
            "redesign", "The font has this glyph as a colour or bitmap picture only, without an outline.",
            "Draw the block by hand.",
        ),
        "outline-damaged": ("redesign", f"The glyph's outline cannot be read: {detail}.", "Draw the block by hand."),
        "not-sewable": ("redesign", f"The plan did not pass the replay of its sewing: {detail}.", "Draw it by hand."),
        "unexpected-error": (
            "redesign", f"The program failed on this glyph ({detail}); the log has the details.",
            "Please report it with the font's name.",
        ),
    }  # fmt: skip
    severity, message, hint = messages[kind]
    return (Finding(kind, severity, message, hint=hint),)
