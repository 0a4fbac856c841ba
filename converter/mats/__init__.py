"""Shapes for cutting machines: pieces and sections, nested on mats, as SVG and DXF."""
