"""Commands killed, starved of disk or locked out at any moment: the folder is the old one or the new one afterwards.

``python -m tests.crash --times 100`` kills each command so many times; the normal suite does so a few times.
An approach worth knowing: how SQLite is tested (https://sqlite.org/testing.html, crash and out-of-disk tests).
"""
