"""What a figure costs, worked out on numbers: how far it breaks limits, what it takes to sew, how untrue it is."""
