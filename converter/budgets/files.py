"""What settings, layout files, pictures and the program's own files may ask for."""

from converter.budgets.budget import Budget

SETTINGS_BYTES = Budget(
    1_000_000, "bytes of settings", "settings of 1,000 glyphs, each with reasons, have 200,000"
)
INTRODUCTION = Budget(20_000, "characters of an introduction", "ten pages")
TERMS = Budget(4_000, "characters of terms", "two pages")
KEYWORDS = Budget(30, "keywords", "shops take a dozen")
PICTURE_BYTES = Budget(20_000_000, "bytes of a picture", "as a large camera writes it")
PIXELS = Budget(60_000_000, "pixels of a picture", "as many as a large camera has")
COPIES_IN_PICTURE = Budget(
    2_000, "uses of one element by others in a picture", "a border of leaves has a hundred"
)

LAYOUT_BYTES = Budget(1_000_000, "bytes of a layout file", "500 items of all options have half of it")
NAMES_BYTES = Budget(4_000_000, "bytes of a file of names", "as many names as a font can hold glyphs")
ITEMS = Budget(500, "items of a layout file", "labels for every drawer of a large library")

PATTERN_BYTES = Budget(64_000_000, "bytes of pattern.json", "10,000 symbols of 30 pieces have half of it")
RECORD_BYTES = Budget(64_000_000, "bytes of record.json", "the outlines of as many")
ALTERNATIVES_BYTES = Budget(
    128_000_000, "bytes of alternatives.json", "their other figures, three times as many"
)
PAPERS_BYTES = Budget(50_000_000, "bytes of papers.json", "half a million hashes of blocks")
WRITTEN_BYTES = Budget(50_000_000, "bytes of written.json", "a line a file: some hundred thousand files")
PLAN_BYTES = Budget(100_000_000, "bytes of the plan of a swap", "two lines for each of them")
DIGITS = Budget(15, "digits of a whole number", "what a float holds exactly")
GLYPHS = Budget(70_000, "glyphs of a pattern", "more than a font can hold")
PIECES = Budget(2_000, "pieces of a block in a pattern", "five times what a drawing may have")
RING = Budget(10_000, "corners of a polygon in a pattern", "a figure has dozens, a piece hardly ten")
REASONS = Budget(
    1_000, "findings of a block in a pattern", "a drawing with a fault at each seam has hundreds"
)
MENDED = Budget(500, "corners of a damaged polygon that is mended", "crossings grow with their square")
