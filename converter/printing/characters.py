"""The data of ``characters.pdf``: one character a page."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from converter.drawing import blank_picture, coloured_picture, section_map, step_picture
from converter.drawing.block import block_size
from converter.drawing.labels import tag
from converter.fabric.cutting import Cutting
from converter.fabric.patches import patches
from converter.measures import size_text
from converter.model import Glyph, Pattern, Ring
from converter.packed import Packed
from converter.printing.advice import advice
from converter.printing.paper import BODY
from converter.printing.sewing_words import join_sentences, strip_sentences, trim_sentences
from converter.printing.sheets import Drawn, SplitTemplate, Spot, Strip, Strips, character_strips
from converter.printing.tiles import Split
from converter.printing.typesetting import PAGE_FONT
from converter.printing.wording import cut_rows, facts, seam_caption
from converter.seams import seams

NAME_EM = 2.15  # mm on paper, a little over 6 pt: no piece's name in a picture is smaller
PICTURE = (35.0, 46.0)  # mm that each of the three large pictures may take
STEP_GAP = 3.4  # mm between the pictures of steps
# What these may take, mm, for each number of columns, the largest first: the page takes the largest that it can.
STEP_PICTURES = tuple(
    (wide, 1.5 * wide) for wide in ((BODY[0] + STEP_GAP) / columns - STEP_GAP for columns in range(6, 10))
)

Figures = Mapping[str, str]  # id: SVG text


@dataclass(frozen=True, slots=True)
class Character:
    """One character with everything that its pages show."""

    glyph: Glyph
    templates: tuple[Drawn, ...]
    strips: Strips
    figures: Figures


def draw_character(pattern: Pattern, glyph: Glyph, templates: Sequence[Drawn]) -> Character:
    """Draws the pictures, one a sewing step among them, and lays the templates side by side."""
    map_em, step_em = (NAME_EM / _scale(pattern, glyph, room) for room in (PICTURE, STEP_PICTURES[-1]))
    figures = {
        f"{glyph.key}/coloured": coloured_picture(pattern, glyph, PAGE_FONT, map_em),
        f"{glyph.key}/blank": blank_picture(pattern, glyph, PAGE_FONT),
        f"{glyph.key}/map": section_map(pattern, glyph, PAGE_FONT, map_em),
    }
    for step in range(len(seams(glyph))):
        figures[f"{glyph.key}/step-{step + 1}"] = step_picture(pattern, glyph, step, PAGE_FONT, step_em)
    for drawn in templates:
        figures[drawn.figure] = drawn.template.svg
    strips = character_strips(templates)
    for one in strips.splits:
        figures |= parts_figures(one.drawn.figure, one.parts)
    return Character(glyph, tuple(templates), strips, Packed(figures))


def _scale(pattern: Pattern, glyph: Glyph, room: tuple[float, float]) -> float:
    """How much smaller than the block a picture is that fills a place of that width and height, mm."""
    return min(much / own for much, own in zip(room, block_size(pattern, glyph), strict=True))


def character_data(pattern: Pattern, character: Character, cutting: Cutting) -> dict[str, Any]:
    """What the page template needs to set one character."""
    glyph, metrics = character.glyph, character.glyph.metrics
    width, height = block_size(pattern, glyph)
    return {
        "key": glyph.key,
        "tag": tag(glyph),
        "size": [width, height],
        "size-text": size_text(width, height, cutting.units),
        "level": metrics.level,
        "difficulty": f"{metrics.difficulty:.1f}",
        "facts": facts(glyph, cutting.units),
        "remarks": advice(glyph, cutting.units),
        "steps": [
            {
                "figure": f"{glyph.key}/step-{n}",
                "caption": seam_caption(glyph, seam),
                "join": seam.kind == "join",
            }
            for n, seam in enumerate(seams(glyph), 1)
        ],
        "trims": trim_sentences(glyph, cutting),
        "no-paper": strip_sentences(glyph, cutting),
        "joins": join_sentences(glyph),
        "cuts": cut_rows(pattern, patches(glyph, cutting), cutting),
        "strips": _strip_data(character.strips.strips),
        "upright": _strip_data(character.strips.upright),
        "splits": [split_data(one) for one in character.strips.splits],
    }


def _strip_data(strips: Sequence[Strip]) -> list[dict[str, Any]]:
    return [
        {"height": round(strip.height, 4), "spots": [spot_data(spot) for spot in strip.spots]}
        for strip in strips
    ]


def spot_data(spot: Spot) -> dict[str, Any]:
    """A template's place on a page, mm from the body's corner."""
    template = spot.drawn.template
    return {
        "figure": spot.drawn.figure,
        "name": spot.drawn.name,
        "x": round(spot.x, 4),
        "y": round(spot.y, 4),
        "width": round(template.width, 4),
        "height": round(template.height, 4),
        "turn": spot.turn,
    }


def split_data(one: SplitTemplate) -> dict[str, Any]:
    """A large template's parts."""
    template = one.drawn.template
    size = template.width, template.height
    return parts_data(one.drawn.name, one.drawn.figure, size, template.section_line, one.parts, ", mirrored")


def parts_data(
    name: str, figure: str, size: tuple[float, float], outline: Ring, parts: Split, note: str = ""
) -> dict[str, Any]:
    """The parts of a large drawing and the outline on their map, mm in the drawing's own frame."""
    return {
        "name": name,
        "note": note,
        "width": round(size[0], 4),
        "height": round(size[1], 4),
        "rows": parts.rows,
        "columns": parts.columns,
        "outline": [[round(x, 4), round(y, 4)] for x, y in outline],
        "parts": [
            {
                "figure": f"{figure}/part-{tile.number}",
                "number": tile.number,
                "row": tile.row + 1,
                "column": tile.column + 1,
                "left": round(tile.left, 4),
                "top": round(tile.top, 4),
                "width": round(tile.width, 4),
                "height": round(tile.height, 4),
                "marks": [mark.name for mark in tile.marks],
            }
            for tile in parts.tiles
        ],
    }


def parts_figures(figure: str, parts: Split) -> dict[str, str]:
    """The drawings of all parts, by the ids that :func:`parts_data` gives them."""
    return {f"{figure}/part-{tile.number}": tile.svg for tile in parts.tiles}
