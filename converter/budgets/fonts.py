"""What a font may ask for."""

from converter.budgets.budget import Budget

BYTES = Budget(64 * 2**20, "bytes", "the largest pan-CJK families in one face are about 20 MB")
UNPACKED = Budget(128 * 2**20, "bytes after unpacking", "a WOFF2 of 22 KB can claim 2 GB")
TABLES = Budget(256, "tables", "about 60 tags are registered")
FACES = Budget(1024, "faces of a collection", "a family in all its weights and widths has some dozens")
CHARACTERS = Budget(2_000_000, "characters, all tables together", "Unicode has 1.1 million code points")
CHOSEN = Budget(65_536, "glyphs or characters asked for", "a font cannot hold more glyphs")

STEPS = Budget(
    400_000, "CFF operators and operands of a glyph", "ten for each control point that it may have"
)
DELTAS = Budget(
    8_000_000,
    "points of a glyph times the places where it varies",
    "200 places, with as many points as it may have",
)
CALLS = Budget(24, "CFF subroutines in each other", "CFF allows 10")
NESTING = Budget(16, "components in each other", "real fonts stay below 4")
COMPONENTS = Budget(
    512, "components of a glyph, all levels together", "a letter with accents has two or three"
)
POINTS = Budget(40_000, "control points of a glyph", "the most eroded display faces have about 10,000")
CORNERS = Budget(60_000, "corners of a glyph after flattening", "half as many again as it may have points")
CROSSINGS = Budget(
    20_000, "places where a glyph's edges meet", "a scribble of 200 strokes, each across all others"
)
NEAR_PAIRS = Budget(
    2_000_000,
    "pairs of edges whose boxes overlap",
    "fifty for each place where edges may meet; each is counted twice",
)
RAY_WORK = Budget(200_000_000, "faces times edges of a glyph", "10,000 faces of a glyph of 20,000 edges")
REACH = Budget(64, "ems from the origin", "no coordinate or advance of a real glyph is as far")

NAME = Budget(120, "characters of a family or style that are kept", "longer ones run out of every page")
GLYPH_NAME = Budget(
    100, "characters of a glyph's name that are kept", "the glyph list specification allows 63"
)
LICENCE = Budget(20_000, "characters of licence text that are kept", "the OFL has about 4,400")
LICENCE_BYTES = Budget(256 * 1024, "bytes of a licence file that are read", "the GPL, the longest, has 35 KB")
LICENCE_FILES = Budget(8, "licence files beside a font that are read", "a font comes with one or two")
