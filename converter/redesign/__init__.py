"""A designer's hand: blocks edited in any vector editor are read, rebuilt, planned and judged again."""
