"""Lines for the terminal: short enough to be read, and nothing in them that would steer it."""

import unicodedata
from collections.abc import Sequence

_STEERING = {"Cc", "Cf", "Cs", "Zl", "Zp"}  # Unicode general categories
_MOST_LISTED = 30  # names in one line
_LONGEST = 560  # characters in one message


def visible(text: str) -> str:
    r"""Text on one line, with what would steer a terminal or reorder a line written out.

    >>> visible("sea\x1b[31m kelp\n\u202e")
    'sea\\x1b[31m kelp\\n\\u202e'
    """
    return "".join(
        repr(character)[1:-1] if unicodedata.category(character) in _STEERING else character
        for character in text
    )


def shortened(message: str) -> str:
    """A message that names something endless, without its middle."""
    if len(message) <= _LONGEST:
        return message
    return f"{message[: _LONGEST // 2]} … {message[-_LONGEST // 2 :]}"


def listed(names: Sequence[str]) -> str:
    """The first of the names, and how many more there are."""
    more = len(names) - _MOST_LISTED
    return ", ".join(names[:_MOST_LISTED]) + (f" and {more} more" if more > 0 else "")
