"""First figures: rows of straight edges along an outline, the cheapest at several prices of truth."""
