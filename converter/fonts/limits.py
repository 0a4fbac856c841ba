"""How much work a font may ask for: far more than real fonts need, little enough to stop a hostile one."""

MAX_FILE_BYTES = 64 * 2**20  # the largest pan-CJK families in one face are about 20 MB
MAX_UNPACKED_BYTES = 128 * 2**20  # WOFF and WOFF2 after unpacking; a 22 KB file can claim 2 GB
MAX_TABLES = 256  # about 60 tags are registered
MAX_FACES = 1024  # faces of a collection

MAX_CMAP_ENTRIES = 2_000_000  # all subtables together; Unicode has 1.1 million code points
MAX_GLYPH_STEPS = 400_000  # CFF operators and operands of one glyph, subroutines unrolled
MAX_DELTAS = 8_000_000  # points of one glyph times the places of the design space where it is drawn
MAX_CALL_DEPTH = 24  # CFF allows 10
MAX_COMPONENT_DEPTH = 16  # composites of composites; real fonts stay below 4
MAX_COMPONENTS = 512  # of one glyph, all levels together
MAX_POINTS = 40_000  # control points of one glyph; the most eroded display faces have about 10,000
MAX_CORNERS = 60_000  # corners of one glyph after flattening
MAX_CROSSINGS = 20_000  # places where the edges of one glyph meet, beyond the ends of neighbours
MAX_NEAR_PAIRS = 2_000_000  # pairs of its edges whose boxes overlap, each counted twice
MAX_RAY_WORK = 200_000_000  # its faces times its edges
RAYS_AT_ONCE = 2_000_000  # faces times edges worked on at a time, which bounds the memory

MIN_UNITS_PER_EM, MAX_UNITS_PER_EM = 16, 16384  # OpenType, head table
MAX_EMS = 64.0  # no coordinate or advance of a real glyph is this many ems away from the origin

MAX_NAME_LENGTH = 120  # characters of a family or style name that are kept
MAX_LICENCE_LENGTH = 20_000  # characters of licence text that are kept (the OFL has about 4,400)
MAX_GLYPH_NAME_LENGTH = 100  # the glyph list specification allows 63
MAX_LICENCE_FILE_BYTES = 256 * 1024  # the GPL, the longest common licence, has 35 KB
MAX_LICENCE_FILES = 8  # looked at beside a font
MAX_CHOSEN = 65_536  # glyphs or characters asked for; a font cannot hold more glyphs
