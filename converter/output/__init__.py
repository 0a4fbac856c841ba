"""Writes finished files: all of them or none, in the place of nothing but what the program wrote itself."""

from converter.output.holding import one_run_at_a_time, settle
from converter.output.ledger import LEDGER, digest
from converter.output.putting import add_file, check_places, write_folder
from converter.output.swap import file_digest

__all__ = [
    "LEDGER", "add_file", "check_places", "digest", "file_digest", "one_run_at_a_time", "settle", "write_folder",
]  # fmt: skip
