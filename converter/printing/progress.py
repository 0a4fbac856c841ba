"""Telling how far the printing is, for sets that take minutes."""

from collections.abc import Callable

# What is being done, how much of it is done, of how much; 0 of 1 where it is one piece of work.
Tell = Callable[[str, int, int], None]


def nothing(what: str, done: int, of: int) -> None:
    """Tells nobody."""


def counting(tell: Tell, what: str, of: int) -> Callable[[int], None]:
    """To be told how much more is done of ``of``."""
    done = 0

    def more(count: int) -> None:
        nonlocal done
        done += count
        tell(what, done, of)

    tell(what, 0, of)
    return more
