"""Symbols that are drawings: a folder of SVG files is read as a font is, one glyph a file."""
