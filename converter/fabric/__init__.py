"""Fabric: the patch for each piece, what to buy, how to cut it, and what finishes a sewn piece."""
