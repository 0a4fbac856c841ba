"""What names, texts and options may ask for."""

from converter.budgets.budget import Budget

KEY = Budget(200, "characters of a block's key", "a file's name may have 255 bytes")
LABEL = Budget(200, "characters of a fabric's label that are kept", "three times what the command line takes")
FABRIC = Budget(60, "characters of a fabric's name", "longer ones run out of every table")
LINE = Budget(500, "characters of a date or a remark", "a line on a cover has 80")
LENGTH = Budget(40, "characters of a length or a size", "2 15/16 in × 3 15/16 in has 23")
TEXT = Budget(
    2_000, "characters to lay out", "a banner of that many blocks is a year's sewing; more is a slip"
)

COPIES = Budget(1_000, "copies", "a stall's stock of one label")
PATCHES = Budget(200_000, "patches to plan", "more is a slip of the keyboard")
ON_MATS = Budget(20_000, "shapes to lay on mats", "a bedcover of small pieces")
MAT = Budget(3_000, "mm, the side of a mat", "no machine is larger")
FRAMED = Budget(
    1_000, "mm, the side of a framed block", "templates of 5 ft took a minute and a gigabyte to lay out"
)
LAID_OUT = Budget(20_000, "mm, any length of a layout", "a banner across a street")
