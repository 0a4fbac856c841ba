"""What the page is told and what it says, as JSON has it. Lengths are mm."""

import math
from collections.abc import Mapping, Sequence
from typing import Any, get_args

from converter.drawing.block import block_size, fabric_colour
from converter.drawing.labels import tag
from converter.errors import InputError
from converter.jobs import Made
from converter.measures import measured_text, size_text, units_of
from converter.model import BACKGROUND, Glyph, Pattern, Polygons
from converter.placement import Width
from converter.report.alternatives import Alternatives
from converter.report.page_data import block_data, page_data
from converter.report.wording import STATUS_MEANING
from converter.seams import seams
from converter.settings import DETAILS, Effort, Settings
from converter.settings.definitions import ACCEPTABLE
from converter.workbench.families import families_of
from converter.workbench.figure import Act, ActKind, Figure, Part
from converter.workbench.letter import Answer, Letter
from converter.workbench.opened import OpenSet
from converter.workbench.starting import SOME

MOST_CORNERS = 1000  # of a figure on the page; with a hundred, a block has more pieces than can be sewn
FARTHEST = 5000.0  # mm


def told_start(sets: Sequence[OpenSet], is_one: bool) -> dict[str, Any]:
    """What the start page shows: the sets, and what there is to choose for a new one.

    ``is_one``: one set was opened, and a page that is opened without a place shows that.
    """
    return {
        "isOne": is_one,
        "sets": [
            {
                "id": opened.id,
                "title": opened.title,
                "folder": str(opened.folder),
                "characters": len(opened.state().pattern.glyphs),
                "counts": opened.state().pattern.counts(),
            }
            for opened in sets
        ],
        "characters": SOME,
        "details": list(DETAILS),
        "efforts": list(get_args(Effort)),
    }


def told_set(opened: OpenSet) -> dict[str, Any]:
    """All that the sheet shows."""
    state = opened.state()
    pattern, edited = state.pattern, state.edited
    by_hand = {
        key: Alternatives(0 if key in edited else one.chosen, one.figures)
        for key, one in state.alternatives.items()
    }
    guides = {key: block.outline for key, block in state.kept.items()}
    settings = opened.settings(opened.settings_text())
    sheet = page_data(pattern, by_hand)
    blocks = block_data(pattern, guides, {}, by_hand)
    return sheet | {
        "glyphs": [first | rest for first, rest in zip(sheet["glyphs"], blocks, strict=True)],
        "id": opened.id,
        "title": opened.title,
        "size": size_text(pattern.block.width, pattern.block.height, units_of(pattern)),
        "counts": {status: [count, STATUS_MEANING[status]] for status, count in pattern.counts().items()},
        "edited": sorted(edited),
        "font": opened.font is not None,
        "file": pattern.source.file,
        "families": families_of(pattern),
        "details": list(DETAILS),
        "widths": list(get_args(Width)),
        "acceptable": list(ACCEPTABLE),
        "detail": settings.detail,
        "width": settings.width,
        "own": {name: _own(settings, name) for name in settings.glyphs},
    }


def _own(settings: Settings, name: str) -> dict[str, Any]:
    own = settings.of(name)
    margin = None if own.margin is None else measured_text(own.margin, settings.speaks)
    return {"detail": own.detail, "width": own.width, "margin": margin, "accept": dict(own.accept)}


def told_letter(opened: OpenSet, key: str, letter: Letter, known: str) -> dict[str, Any]:
    """All that the page of a letter needs to begin."""
    state = opened.state()
    pattern, glyph = state.pattern, state.glyph(key)
    width, height = block_size(pattern, glyph)
    symmetry = letter.magnets.symmetry
    return {
        "key": key,
        "tag": tag(glyph),
        "name": glyph.name,
        "text": glyph.text,
        "size": [width, height],
        "grid": letter.ground.settings.grid,
        "outline": rings(state.kept[key].outline) if key in state.kept else [],
        "heights": list(letter.magnets.heights),
        "axes": {"x": symmetry.x, "y": symmetry.y, "centre": symmetry.centre},
        "symmetric": symmetry.order > 1,
        "colours": {name: fabric_colour(pattern, name) for name in [*pattern.fabrics, BACKGROUND]},
        "edited": key in state.edited,
        "known": known,
        "figure": told_figure(letter.drawn),
        "block": told_block(pattern, glyph),
    }


def told_answer(pattern: Pattern, answer: Answer) -> dict[str, Any]:
    """What an act came to."""
    return {
        "figure": told_figure(answer.figure),
        "block": told_block(pattern, answer.glyph),
        "rests": [[rest.what, [*rest.start, *rest.end]] for rest in answer.rests],
    }


def told_block(pattern: Pattern, glyph: Glyph) -> dict[str, Any]:
    """One block: its pieces and seams, what was measured and found."""
    units, m = units_of(pattern), glyph.metrics

    def length(mm: float | None) -> str:
        return "–" if mm is None else measured_text(mm, units)

    return {
        "status": glyph.status,
        "sewable": bool(glyph.pieces),
        "pieces": [[p.id, fabric_colour(pattern, p.fabric), _flat(p.polygon)] for p in glyph.pieces],
        "seams": [[s.kind, [*s.start, *s.end]] for s in seams(glyph)] if glyph.pieces else [],
        "figures": [
            ["pieces", str(m.pieces) if glyph.pieces else "–"],
            ["sections", str(m.sections) if glyph.pieces else "–"],
            ["match points", str(m.match_points) if glyph.pieces else "–"],
            ["narrowest piece", length(m.min_piece_width)],
            ["sharpest corner", "–" if m.min_corner_degrees is None else f"{m.min_corner_degrees:.0f}°"],
            ["overlap", "–" if m.iou is None else f"{m.iou:.1%}"],
            ["furthest off", length(m.hausdorff)],
            ["level", m.level or "–"],
        ],
        "reasons": [
            {"id": r.id, "severity": r.severity, "message": r.message, "hint": r.hint, "where": r.where}
            for r in glyph.reasons
        ],
    }


def told_made(made: Made, block: tuple[float, float], colours: Mapping[str, str]) -> dict[str, Any]:
    """A letter that was made just now."""
    glyph = made.glyph
    return {
        "name": glyph.name,
        "tag": tag(glyph),
        "status": glyph.status,
        "size": [glyph.metrics.block_width or block[0], block[1]],
        "pieces": [[p.id, colours[p.fabric], _flat(p.polygon)] for p in glyph.pieces],
    }


def told_figure(figure: Figure) -> list[dict[str, Any]]:
    """A figure as the page keeps it, and sends it back."""
    return [
        {"fabric": part.fabric, "rings": [list(map(list, ring)) for ring in part.rings]} for part in figure
    ]


def rings(polygons: Polygons) -> list[list[float]]:
    """All rings, each a flat list of corners, to 0.01 mm."""
    return [[round(v, 2) for point in ring for v in point] for polygon in polygons for ring in polygon]


def _flat(ring: tuple[tuple[float, float], ...]) -> list[float]:
    return [round(v, 3) for point in ring for v in point]


def said_figure(value: Any, fabrics: Mapping[str, Any]) -> Figure:
    """The figure that the page sent. Raises :class:`InputError` for anything else."""
    try:
        parts = tuple(
            Part(
                str(part["fabric"]),
                tuple(tuple((_number(x), _number(y)) for x, y in ring) for ring in part["rings"]),
            )
            for part in value
        )
    except (TypeError, KeyError, ValueError):
        raise InputError("The page sent no figure; load it again.") from None
    corners = [len(ring) for part in parts for ring in part.rings]
    if not parts or not all(part.rings for part in parts) or min(corners) < 3 or sum(corners) > MOST_CORNERS:
        raise InputError(f"A figure has 3 to {MOST_CORNERS} corners.")
    if any(part.fabric not in fabrics for part in parts):
        raise InputError("The set has no such fabric; load the page again.")
    return parts


def said_act(value: Any) -> tuple[Act, float]:
    """The act that the page sent, and from how far away (mm) it snaps. Raises :class:`InputError`."""
    try:
        kind, at, to = value["kind"], value.get("at", (0, 0, 0)), value.get("to", (0.0, 0.0))
        part, ring, corner = (int(n) if type(n) is int else _number(None) for n in at)
        x, y = to
        act = Act(
            kind, (int(part), int(ring), int(corner)), (_number(x), _number(y)), bool(value.get("both", True))
        )
        reach = _number(value.get("reach", 0))
    except (TypeError, KeyError, ValueError, AttributeError):
        raise InputError("The page sent no act; load it again.") from None
    if act.kind not in get_args(ActKind):
        raise InputError("The page asks for what there is not; load it again.")
    return act, reach


def _number(value: Any) -> float:
    if type(value) not in (int, float) or not math.isfinite(value) or abs(value) > FARTHEST:
        raise ValueError("no number")
    return float(value)
