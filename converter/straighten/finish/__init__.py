"""The last steps: the hand of the alphabet, seams that save a section, the figures that are kept."""
