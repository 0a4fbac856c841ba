"""The one kind of error that a user is meant to read."""


class InputError(Exception):
    """Something the user gave cannot be used; the message is one line that says what, where and what to do.

    The command line prints it without a traceback and ends with exit code 2.
    """
