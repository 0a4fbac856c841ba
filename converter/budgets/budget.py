"""What a budget is."""

from typing import NamedTuple


class Budget(NamedTuple):
    """At most so many ``of`` something, and why so many.

    >>> str(Budget(600, "seams", "half of them drawn in parts"))
    '600 seams'
    """

    most: int
    of: str
    reason: str

    def __str__(self) -> str:
        return f"{self.most} {self.of}"
