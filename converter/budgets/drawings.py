"""What a drawing may ask for.

What is over a budget ends in one line, before the work is done. With all of them used up, a check still takes
less than 5 s and 300 MB on a common machine (``tests/redesign/test_budgets.py``).
"""

from converter.budgets.budget import Budget

BYTES = Budget(
    16_000_000,
    "bytes",
    "a block of a hundred pieces has 50,000; a photo to trace, embedded, some millions",
)
ELEMENTS = Budget(
    20_000, "elements", "a block of 400 pieces has 2,000, an editor's own leavings as many again"
)
DEPTH = Budget(100, "groups in each other", "editors nest layers and groups, hardly ever ten deep")
NESTING = Budget(200, "groups and copies in each other", "a copy of a copy is usual, a chain of them is not")
VISITS = Budget(30_000, "elements and copies", "half as many again as there may be elements")
ENTITIES = Budget(50, "entities", "some editors declare a dozen name spaces so")
ENTITY = Budget(300, "characters in an entity", "an address of a name space has fewer than a hundred")
GROWTH = Budget(4_000_000, "characters out of entities", "what is left of a doubled drawing's text")
ATTRIBUTE = Budget(10_000, "characters in an attribute", "an editor's style of a text has a thousand")
PATH = Budget(500_000, "characters in a path", "20,000 points as the longest-winded editor writes them")
LENGTH = Budget(60, "characters in a length", "a number with all its digits and a unit has twenty")
PATHS = Budget(1_500_000, "characters in all paths", "a traced picture in the layers that count has fewer")
POINTS = Budget(20_000, "points in one element", "a traced picture, say; a hand draws hundreds")
STYLES = Budget(
    300_000, "characters of styles", "a thousand different styles; the same one again costs nothing"
)
BRACKETS = Budget(30, "brackets in each other", "no style has more than three")
SEAMS = Budget(600, "seams", "a block of 400 pieces, half of its seams drawn in parts")
SHAPES = Budget(3_000, "coloured shapes", "a block of 400 pieces with seven shapes to each")
CORNERS = Budget(50_000, "corners of coloured shapes", "a hundred traced shapes have fewer")
TANGLES = Budget(
    5_000, "corners more by shapes that cross themselves", "a bow tie has one more, a scribble some hundreds"
)
OVERLAP = Budget(1_000_000, "corners to compare", "400 pieces, each under 50 shapes of 50 corners")
SHAPE_EDGES = Budget(200, "edges", "no block is sewn from as many pieces as that makes; a letter has twenty")
PIECES = Budget(400, "pieces", "no block is sewn from so many; sorting out is deep as they are many")
