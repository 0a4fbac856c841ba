"""What all tests have in common."""

import os

# No test takes a block that another one made, nor leaves any in the user's cache; those of the store say otherwise.
os.environ["FONT2FOUNDATION_NO_CACHE"] = "1"
