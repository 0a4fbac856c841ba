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
from converter.model import Glyph, Pattern
from converter.printing.sheets import Drawn, Spot, SplitTemplate, Strips, character_strips
from converter.printing.typesetting import PAGE_FONT
from converter.printing.wording import cut_rows, facts, join_sentence, seam_caption
from converter.seams import seams

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
    figures = {
        f"{glyph.key}/coloured": coloured_picture(pattern, glyph, PAGE_FONT),
        f"{glyph.key}/blank": blank_picture(pattern, glyph, PAGE_FONT),
        f"{glyph.key}/map": section_map(pattern, glyph, PAGE_FONT),
    }
    for step in range(len(seams(glyph))):
        figures[f"{glyph.key}/step-{step + 1}"] = step_picture(pattern, glyph, step, PAGE_FONT)
    for drawn in templates:
        figures[drawn.figure] = drawn.template.svg
    strips = character_strips(templates)
    for one in strips.splits:
        figures |= part_figures(one)
    return Character(glyph, tuple(templates), strips, figures)


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
        "remarks": [reason.message for reason in glyph.reasons if reason.severity == "review"],
        "steps": [
            {"figure": f"{glyph.key}/step-{n}", "caption": seam_caption(glyph, seam), "join": seam.kind == "join"}
            for n, seam in enumerate(seams(glyph), 1)
        ],
        "joins": [join_sentence(glyph, join) for join in glyph.joins],
        "cuts": cut_rows(pattern, patches(glyph, cutting), cutting),
        "strips": [
            {"height": round(high, 4), "spots": [spot_data(spot) for spot in spots]}
            for high, spots in character.strips.strips
        ],
        "splits": [split_data(one) for one in character.strips.splits],
    }


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
    """A large template's parts and the lines of its map, mm in the template's own frame."""
    template = one.drawn.template
    return {
        "name": one.drawn.name,
        "width": round(template.width, 4),
        "height": round(template.height, 4),
        "rows": one.parts.rows,
        "columns": one.parts.columns,
        "outline": [[round(x, 4), round(y, 4)] for x, y in template.section_line],
        "parts": [
            {
                "figure": part_figure(one, tile.number),
                "number": tile.number,
                "row": tile.row + 1,
                "column": tile.column + 1,
                "left": round(tile.left, 4),
                "top": round(tile.top, 4),
                "width": round(tile.width, 4),
                "height": round(tile.height, 4),
                "marks": [mark.name for mark in tile.marks],
            }
            for tile in one.parts.tiles
        ],
    }


def part_figure(one: SplitTemplate, number: int) -> str:
    """The id of one part's drawing."""
    return f"{one.drawn.figure}/part-{number}"


def part_figures(one: SplitTemplate) -> dict[str, str]:
    """The drawings of all parts."""
    return {part_figure(one, tile.number): tile.svg for tile in one.parts.tiles}
