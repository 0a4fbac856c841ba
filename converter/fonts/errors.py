"""The error that belongs to one glyph and must not end a run."""


class GlyphError(Exception):
    """One glyph cannot be read; the message is one line for people. The rest of the font may be sound."""
