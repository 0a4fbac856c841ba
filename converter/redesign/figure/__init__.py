"""A block from its straight-edged figure: what is drawn made one clean figure, and the seams that follow from it."""
