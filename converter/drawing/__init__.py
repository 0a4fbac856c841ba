"""Drawings of blocks, templates and pictures, as SVG text in mm; each is made from the pattern alone."""

from converter.drawing.block import block_svg
from converter.drawing.pictures import blank_picture, coloured_picture, section_map
from converter.drawing.steps import step_picture
from converter.drawing.template import Template, section_templates, template_svg

__all__ = [
    "Template",
    "blank_picture",
    "block_svg",
    "coloured_picture",
    "section_map",
    "section_templates",
    "step_picture",
    "template_svg",
]
