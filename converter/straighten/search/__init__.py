"""The search for better figures: moves that change one a little, and the pool that says which is changed next."""
