"""From a straight-edged figure to pieces, sections, sewing order and joins."""
