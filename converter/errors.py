"""The one kind of error that a user is meant to read."""


class InputError(Exception):
    """Something the user gave cannot be used; the message is one line that says what, where and what to do.

    The command line prints it without a traceback and ends with exit code 2.

    >>> from converter import Settings
    >>> Settings(block=(1, 100))
    Traceback (most recent call last):
    converter.errors.InputError: block: a side must be 20.0 mm to 1000.0 mm, not 1.0 mm.
    """
