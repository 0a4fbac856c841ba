"""Drawings of blocks, templates and pictures, as SVG text in mm; each is made from the pattern alone."""

from converter.drawing.block import block_svg
from converter.drawing.pictures import blank_picture, coloured_picture, section_map, step_picture
from converter.drawing.template import (
    Template,
    section_template,
    section_template_size,
    section_template_svg,
    template_svg,
)

__all__ = [
    "Template",
    "blank_picture",
    "block_svg",
    "coloured_picture",
    "section_map",
    "section_template",
    "section_template_size",
    "section_template_svg",
    "step_picture",
    "template_svg",
]
