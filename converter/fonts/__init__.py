"""From a font file to outlines in font units. A font is hostile until shown otherwise.

:func:`converter.fonts.loading.load_font` reads the file, :func:`converter.fonts.choosing.choose_glyphs`
says which glyphs are meant, :func:`converter.fonts.outlines.read_outline` reads one of them, and
:func:`converter.fonts.licence.judge_licence` judges whether the font may be used.
"""
