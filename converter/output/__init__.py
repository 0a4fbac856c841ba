"""Writes finished files: all of them or none, in the place of nothing but what the program wrote itself."""

from converter.output.holding import one_run_at_a_time, settle
from converter.output.ledger import LEDGER, digest, is_inside
from converter.output.putting import add_file, check_places, replace_file, write_folder
from converter.output.swap import file_digest

__all__ = [
    "LEDGER", "add_file", "check_places", "digest", "file_digest", "is_inside", "one_run_at_a_time", "replace_file",
    "settle", "write_folder",
]  # fmt: skip
