"""The placed outline, and what is read from it: its corners and runs, symmetry, crests, strokes, an alphabet's hand."""
